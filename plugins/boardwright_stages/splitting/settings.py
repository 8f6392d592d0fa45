"""The ``[splitting]`` table of the project file.

Weights are counted in boards: a weight of 0.1 says "I would rather have this ten times than one board more".
Sizes and weights are common practice or our own judgement, no source, unless a line says otherwise.
"""

from __future__ import annotations

from typing import Annotated

import msgspec

from boardwright import Section

Meta = msgspec.Meta


class SplittingSettings(Section, frozen=True, kw_only=True, table="splitting"):
    """How the layout is split into boards."""

    max_length_mm: Annotated[
        float, Meta(gt=0, description="Longest board wanted: what passes your door.")
    ] = 1200.0
    max_width_mm: Annotated[
        float, Meta(gt=0, description="Widest board wanted: what you can reach across and carry.")
    ] = 750.0
    min_length_mm: Annotated[
        float,
        Meta(ge=0, description="Smallest side of a board wanted; less only when there is no other way."),
    ] = 250.0
    turnout_clear_mm: Annotated[
        float, Meta(ge=0, description="Free distance between a joint and any turnout's footprint.")
    ] = 60.0
    device_clear_mm: Annotated[
        float,
        Meta(ge=0, description="Free distance between a joint and a device's own clearance, or an obstacle."),
    ] = 10.0
    max_off_square_deg: Annotated[
        float,
        Meta(gt=0, le=90, description="How far from a right angle a track may cross a joint."),
    ] = 30.0
    drawn_reach_mm: Annotated[
        float,
        Meta(ge=0, description="A drawn joint that stops this short of an edge is made to reach it."),
    ] = 10.0
    step_mm: Annotated[float, Meta(gt=0, description="Distance between the joint positions tried.")] = 25.0
    joint_length_weight: Annotated[float, Meta(ge=0, description="Cost of a metre of joint, in boards.")] = (
        0.1
    )
    track_weight: Annotated[float, Meta(ge=0, description="Cost of cutting one track, in boards.")] = 0.03
    off_square_weight: Annotated[
        float, Meta(ge=0, description="Cost of a track crossing at the off-square limit, in boards.")
    ] = 0.2
    curve_weight: Annotated[
        float, Meta(ge=0, description="Cost of cutting a track on a curve of 500 mm radius, in boards.")
    ] = 0.05
    near_weight: Annotated[
        float,
        Meta(
            ge=0, description="Cost of a joint just outside a turnout's or device's free distance, in boards."
        ),
    ] = 0.05
    skew_weight: Annotated[
        float,
        Meta(ge=0, description="Cost of a joint at 45° to the layout's main directions, in boards."),
    ] = 0.2
    uneven_weight: Annotated[
        float, Meta(ge=0, description="Cost of unequal boards: each board's share of the largest, squared.")
    ] = 0.4
    shape_weight: Annotated[
        float, Meta(ge=0, description="Cost of a board that fills none of its rectangle, in boards.")
    ] = 0.8
    edge_weight: Annotated[
        float, Meta(ge=0, description="Cost of a joint that meets an edge at 45° and not square, in boards.")
    ] = 0.3

    @property
    def box_mm(self) -> tuple[float, float]:
        """Longer and shorter side of the largest board."""
        return (
            max(self.max_length_mm, self.max_width_mm),
            min(self.max_length_mm, self.max_width_mm),
        )
