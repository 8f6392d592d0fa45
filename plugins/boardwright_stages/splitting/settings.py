"""The ``[splitting]`` table of the project file.

Weights are counted in boards: a weight of 0.1 says "I would rather have this ten times than one board more".
Sizes and weights are common practice or our own judgement, no source, unless a line says otherwise.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

import msgspec

from boardwright import Section

from ..joints import room
from ..joints.settings import JointSettings
from .limits import LIFTING_KG, Opening, mass_kg, widest

Meta = msgspec.Meta
OFF_MM = 100_000.0  # a limit that is off: larger than any layout
STANDARD_GAUGE_MM = 1435.0  # of the real railway; common practice, no source


class LiftOutSpot(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A point on a board that lifts out."""

    x_mm: Annotated[float, Meta(description="To the right of the drawing's origin.")]
    y_mm: Annotated[float, Meta(description="Up from the drawing's origin.")]


class NamedSpot(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A name that stays with the board on which a point lies."""

    name: Annotated[
        str,
        Meta(
            pattern="^[A-Za-z0-9][A-Za-z0-9_-]{0,11}$",
            description="The board's name: B05, yard-2.",
            extra={"form": 'up to 12 letters from A to Z, figures, "-" and "_", such as yard-2'},
        ),
    ]
    x_mm: Annotated[float, Meta(description="A point well inside the board: right of the drawing's origin.")]
    y_mm: Annotated[float, Meta(description="And up from the drawing's origin.")]
    level_mm: Annotated[
        float | None, Meta(description="Height of the board's level; left out: whichever board lies there.")
    ] = None


class SplittingSettings(Section, frozen=True, kw_only=True, table="splitting"):
    """How the layout is split into boards."""

    max_length_mm: Annotated[
        float, Meta(ge=0, description="Longest board wanted: what passes your door; 0: no limit.")
    ] = 1200.0
    max_width_mm: Annotated[
        float,
        Meta(ge=0, description="Widest board wanted: what you can reach across and carry; 0: no limit."),
    ] = 750.0
    min_length_mm: Annotated[
        float,
        Meta(ge=0, description="Smallest side of a board wanted; less only when there is no other way."),
    ] = 250.0
    openings: Annotated[
        tuple[Opening, ...], Meta(description="Doors, hatches, cars: what every board must pass.")
    ] = ()
    height_mm: Annotated[
        float, Meta(ge=0, description="Height of a board: frame and deck, and what stands above the deck.")
    ] = 200.0
    reach_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="How far you reach across, from one side; left out: no limit."),
    ] = None
    sheet_length_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="Sheet a deck must come out of whole: length; left out: no limit."),
    ] = None
    sheet_width_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="Sheet a deck must come out of whole: width; left out: no limit."),
    ] = None
    people: Annotated[
        Literal[0, 1, 2],
        Meta(description="People who lift a board: 1 keeps it to 15 kg, 2 to 20 kg, 0 asks nothing."),
    ] = 0
    max_mass_kg: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="Heaviest finished board wanted; left out: no limit."),
    ] = None
    kg_per_m2: Annotated[
        float,
        Meta(
            ge=0, description="Mass thought of per square metre: 6.4 deck, 1.9 joists, 3 track and scenery."
        ),
    ] = 11.3
    kg_per_m: Annotated[
        float, Meta(ge=0, description="Mass thought of per metre of edge: sides and ends, 12 by 90 mm ply.")
    ] = 0.75
    turnout_clear_mm: Annotated[
        float, Meta(ge=0, description="Free distance between a joint and any turnout's footprint.")
    ] = 60.0
    device_clear_mm: Annotated[
        float,
        Meta(ge=0, description="Free distance between a joint and a device's own clearance, or an obstacle."),
    ] = 10.0
    max_off_square_deg: Annotated[
        float,
        Meta(gt=0, le=90, description="How far from a right angle a track may cross a joint; 90: no limit."),
    ] = 30.0
    gauge_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="Distance between the rails; left out: 1,435 mm at the layout's scale."),
    ] = None
    rail_end_clear_mm: Annotated[
        float, Meta(ge=0, description="Free distance between a joint's end and any rail; 0: not asked.")
    ] = 5.0
    rail_beside_clear_mm: Annotated[
        float,
        Meta(ge=0, description="Free distance from a joint to rails that run along it; 0: not asked."),
    ] = 5.0
    shortest_joint_mm: Annotated[
        Annotated[float, Meta(ge=0)] | None,
        Meta(description="Shortest joint made while there is a choice; left out: what its bolts need."),
    ] = None
    roomy_joint_mm: Annotated[
        Annotated[float, Meta(ge=0)] | None,
        Meta(description="A joint shorter than this costs; left out: what its bolts and dowels need."),
    ] = None
    drawn_reach_mm: Annotated[
        float,
        Meta(ge=0, description="A drawn joint that stops this short of an edge is made to reach it."),
    ] = 10.0
    lift_out_clear_mm: Annotated[
        float,
        Meta(ge=0, le=20, description="Working clearance: how far a lift-out stands back from each joint."),
    ] = 1.0
    lift_outs: Annotated[
        tuple[LiftOutSpot, ...], Meta(description="Boards that lift out or fold up, besides those marked.")
    ] = ()
    names: Annotated[
        tuple[NamedSpot, ...], Meta(description="Names that stay with their places when the plan changes.")
    ] = ()
    step_mm: Annotated[float, Meta(gt=0, description="Distance between the joint positions tried.")] = 25.0
    prove_pieces: Annotated[
        int,
        Meta(
            ge=0,
            description="Pieces looked at to prove a wide table the cheapest; 100 take a second.",
        ),
    ] = 300
    joint_length_weight: Annotated[float, Meta(ge=0, description="Cost of a metre of joint, in boards.")] = (
        0.1
    )
    short_joint_weight: Annotated[
        float, Meta(ge=0, description="Cost of a joint too short for bolts and dowels, in boards.")
    ] = 0.5
    track_weight: Annotated[float, Meta(ge=0, description="Cost of cutting one track, in boards.")] = 0.03
    off_square_weight: Annotated[
        float, Meta(ge=0, description="Cost of a track crossing at the off-square limit, in boards.")
    ] = 0.2
    beside_weight: Annotated[
        float, Meta(ge=0, description="Cost of a metre of track along a joint within 40 mm, in boards.")
    ] = 2.0
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
    sheet_weight: Annotated[
        float,
        Meta(
            ge=0,
            description="Cost of a deck that leaves its whole sheet to waste, in boards: needs the sheet.",
        ),
    ] = 0.1
    edge_weight: Annotated[
        float, Meta(ge=0, description="Cost of a joint that meets an edge at 45° and not square, in boards.")
    ] = 0.3
    corner_weight: Annotated[
        float, Meta(ge=0, description="Cost of a joint's end within 40 mm of a corner, in boards.")
    ] = 0.05

    @property
    def box_mm(self) -> tuple[float, float]:
        """Longer and shorter side of the largest board, by all limits that are on.

        For an opening: the longest board that fits its length, and the widest of that length that passes.
        """
        sides = self.max_length_mm or OFF_MM, self.max_width_mm or OFF_MM
        long, short = max(sides), min(*sides, self.reach_mm or math.inf)
        sheet = (self.sheet_length_mm or math.inf, self.sheet_width_mm or math.inf)
        long, short = min(long, max(sheet)), min(short, min(sheet))
        for opening in self.openings:
            if opening.length_mm is not None:
                long = min(long, opening.length_mm)
            short = min(short, widest(long, self.height_mm, opening))
        return long, min(long, short)

    def rail_mm(self, scale_ratio: float) -> float:
        """Distance of a rail from the track's centre line, mm."""
        return (self.gauge_mm or STANDARD_GAUGE_MM / scale_ratio) / 2

    @property
    def most_kg(self) -> float | None:
        """Heaviest board wanted; None: no limit."""
        limits = [m for m in (self.max_mass_kg, LIFTING_KG.get(self.people)) if m is not None]
        return min(limits, default=None)

    def thought_kg(self, area_mm2: Any, edge_mm: Any) -> Any:
        """Finished mass thought of for boards of this area and length of edge, kg."""
        return mass_kg(area_mm2, edge_mm, self.kg_per_m2, self.kg_per_m)

    def settled(self, joints: JointSettings) -> SplittingSettings:
        """The same limits as plain numbers, worked out once: the search asks for them many thousand times."""
        values = {name: getattr(self, name) for name in SplittingSettings.__struct_fields__}
        long, short = self.box_mm
        off: dict[str, Any] = {"openings": (), "reach_mm": None, "people": 0, "max_mass_kg": self.most_kg}
        sizes = {"max_length_mm": long, "max_width_mm": short}
        shortest, roomy = self.shortest_joint_mm, self.roomy_joint_mm
        lengths = {
            "shortest_joint_mm": room.bolted_mm(joints) if shortest is None else shortest,
            "roomy_joint_mm": room.located_mm(joints) if roomy is None else roomy,
        }
        return SplittingSettings(**(values | off | sizes | lengths))
