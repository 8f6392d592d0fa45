"""The ``[fascia]`` table: off until the project file asks for it.

Defaults: common practice, no source (hardboard or ply of 3 to 6 mm, from a little above the deck to below the
frame).
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from boardwright import Section
from boardwright.plan.model import Point


class FasciaSettings(Section, frozen=True, kw_only=True, table="fascia", optional=True):
    """A thin strip outside the free edges of boards, which hides the edge of the deck and the frame."""

    edges: Annotated[
        Literal["none", "free"],
        Meta(
            description="free: along every outer edge that no joint lies on and no wall batten along; none: "
            "only along those that near names."
        ),
    ] = "none"
    boards: Annotated[
        tuple[str, ...], Meta(description="Names of the boards that edges is for; empty: all.")
    ] = ()
    near: Annotated[
        tuple[Point, ...],
        Meta(
            description="Points [x, y] of the drawing, each near an edge that gets a fascia: from corner to "
            "corner, on over the joints of boards in line."
        ),
    ] = ()
    not_near: Annotated[
        tuple[Point, ...],
        Meta(description="Points near edges that get none, such as those against a wall; near goes first."),
    ] = ()
    wells: Annotated[
        bool, Meta(description="true: the edges of wells count as free; false: only where near names one.")
    ] = False
    material: Annotated[str, Meta(min_length=1, description="Material; [stock] must offer it.")] = "birch ply"
    thickness_mm: Annotated[
        float,
        Meta(
            ge=1,
            le=12,
            description="Thickness; [stock] must offer it. The board grows by it: draw the edge that much "
            "farther in where room is short.",
        ),
    ] = 4.0
    above_mm: Annotated[
        float, Meta(ge=-50, le=500, description="How far it stands above the top of the deck.")
    ] = 5.0
    below_mm: Annotated[
        float,
        Meta(ge=-500, le=1000, description="How far it reaches down below the frame; negative: less far."),
    ] = 10.0
    joint_gap_mm: Annotated[
        float,
        Meta(ge=0, le=50, description="Gap between the strips of two boards at their joint."),
    ] = 2.0
    screw_spacing_mm: Annotated[
        float, Meta(ge=50, le=1000, description="Greatest distance between its screws along it.")
    ] = 200.0

    @property
    def asked(self) -> bool:
        return self.edges != "none" or bool(self.near)
