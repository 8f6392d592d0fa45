"""The ``[wiring]`` table."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from boardwright import Section

from ..joints.settings import refuse_lopsided


class WiringSettings(Section, frozen=True, kw_only=True, table="wiring"):
    """Wire holes through joists and joints.

    22 mm is just under a quarter of a 90 mm deep joist: UK guidance for floor joists (building-control pages,
    read) allows 0.25 × depth, on the centre line, three diameters apart, from 0.25 to 0.40 of the span. It is
    written for solid timber, not for plywood on edge: here it is a careful default. The spacing is common
    practice, no source.
    """

    hole_diameter_mm: Annotated[
        float, Meta(gt=0, le=100, description="Diameter of a wire hole where nothing is measured.")
    ] = 22.0
    made_to_measure: Annotated[
        bool,
        Meta(
            description="Joints get holes as large and as many as the wires and the plug that cross ask for, "
            "and one spare; false: as set here. No joint gets fewer than holes_per_joint."
        ),
    ] = True
    hole_spacing_mm: Annotated[
        float,
        Meta(gt=0, description="Spacing of the wire holes in a row along a whole joist, middle to middle."),
    ] = 100.0
    hole_zone: Annotated[
        Literal["span", "whole"],
        Meta(
            description="Where along a joist: span: from 0.25 to 0.40 of it from either end, as guidance for "
            "floor joists has it; whole: a row along all of it."
        ),
    ] = "span"
    end_margin_mm: Annotated[
        float,
        Meta(ge=0, description="Wood left between a joist's end and its first wire hole; screws end in it."),
    ] = 50.0
    holes_per_joint: Annotated[
        int, Meta(ge=0, le=24, description="Wire holes wanted through every joint.")
    ] = 2
    joint_holes_at_mm: Annotated[
        tuple[float, ...],
        Meta(
            description="Wire holes of joints where a club's rule has them, from the joint's middle, of "
            "hole_diameter_mm; empty: chosen, and made to measure."
        ),
    ] = ()
    joint_holes_below_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="How far below the frame's top these are; left out: in the middle."),
    ] = None
    fixing_gap_diameters: Annotated[
        float,
        Meta(
            ge=0.5,
            description="Least distance from a wire hole to a bolt or dowel hole, middle to middle, in sums "
            "of their diameters.",
        ),
    ] = 1.25

    def __post_init__(self) -> None:
        refuse_lopsided(self.joint_holes_at_mm)
