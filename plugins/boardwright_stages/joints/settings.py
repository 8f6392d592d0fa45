"""The ``[joints]`` table: bolts pull two boards together, dowels put them in line."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from boardwright import Section
from boardwright_timber.model import Board
from boardwright_timber.reference import TEE_NUTS

type Fastener = Literal["cup bolt", "hex bolt", "toggle catch"]
type Grade = Literal["4.6", "4.8", "5.6", "5.8", "8.8"]


class JointSettings(Section, frozen=True, kw_only=True, table="joints"):
    """Sizes and room for the fixings of a joint.

    End, edge and spacing: EN 1995-1-1 Table 8.4 (a3,c = 4d, a4,c = 3d, a1 = 5d; read), which is written for
    bolts loaded sideways in structural joints and is a practical check here. Rooms: a large washer for M8 is
    24 mm wide (ISO 7093, memory), a timber washer 28 (DIN 440, read); 30 clears both. Numbers of bolts and
    dowels, two rows in deep frames, rails fixed for 50 to 75 mm, catches with dowels on a lift-out: common
    practice, no source. A hand 60 mm wide: our judgement.
    """

    fastener: Annotated[
        Fastener,
        Meta(
            description="What pulls boards together: a bolt through both ends (a cup-head bolt's square neck "
            "holds it; a hex bolt wants two spanners) or toggle-type catches on the sides."
        ),
    ] = "cup bolt"
    nut: Annotated[
        Literal["hex nut", "wing nut", "tee nut"],
        Meta(
            description="What a bolt goes into; a wing nut needs no spanner, a tee nut stays in the wood and "
            "wants hex bolts."
        ),
    ] = "hex nut"
    lift_out_fastener: Annotated[
        Fastener, Meta(description="The same for the joints of a lift-out, which is taken out often.")
    ] = "toggle catch"
    pattern: Annotated[
        Literal["symmetric", "handed"],
        Meta(
            description="symmetric: a board fits turned round, too; handed: one dowel stands nearer, so that "
            "it fits one way only."
        ),
    ] = "symmetric"
    jigs: Annotated[
        bool,
        Meta(
            description="A drill jig for every joint, cut with the parts: turned over, it drills both ends."
        ),
    ] = False
    bolts_at_mm: Annotated[
        tuple[float, ...],
        Meta(description="Bolts where a club's rule has them, from the joint's middle; empty: chosen."),
    ] = ()
    dowels_at_mm: Annotated[
        tuple[float, ...],
        Meta(description="The same for dowels."),
    ] = ()
    fixings_below_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="How far below the frame's top bolts and dowels go; left out: in the middle."),
    ] = None
    bolt_size: Annotated[
        Literal["M4", "M5", "M6", "M8", "M10", "M12"],
        Meta(description="Bolt size; its hole is taken from ISO 273."),
    ] = "M8"
    bolt_grade: Annotated[
        Grade,
        Meta(description="Property class of the bolts (ISO 898-1), as you buy them; the wood gives first."),
    ] = "4.6"
    bolt_fit: Annotated[
        Literal["fine", "medium", "coarse"],
        Meta(description="How loose the bolt sits in its hole (ISO 273); the dowels do the locating."),
    ] = "medium"
    bolts_per_joint: Annotated[
        int,
        Meta(ge=0, le=24, description="Bolts in a row of every joint; long joints and heavy ones get more."),
    ] = 2
    bolt_gap_mm: Annotated[
        float,
        Meta(gt=0, description="Bolts further apart than this get others between them, spread evenly."),
    ] = 800.0
    two_rows_from_mm: Annotated[
        float,
        Meta(
            ge=0,
            description="Frames so deep get two rows of bolts, near the top and near the bottom; 0: only "
            "where one row cannot hold a hand that leans on the joint.",
        ),
    ] = 140.0
    dowel_diameter_mm: Annotated[
        float, Meta(gt=0, le=30, description="Diameter of a dowel and of its hole.")
    ] = 10.0
    dowels_per_joint: Annotated[int, Meta(ge=0, le=24, description="Dowels wanted in every joint.")] = 2
    end_distance_diameters: Annotated[
        float,
        Meta(
            ge=1,
            description="Least distance from a member's end to the middle of a fixing, in its diameters.",
        ),
    ] = 4.0
    edge_distance_diameters: Annotated[
        float,
        Meta(
            ge=1,
            description="Least distance from top or bottom edge to the middle of a fixing, in its diameters.",
        ),
    ] = 3.0
    spacing_mm: Annotated[
        float,
        Meta(gt=0, description="Least distance between the middles of two fixings (5 × 8 mm for M8)."),
    ] = 40.0
    corner_mm: Annotated[
        float,
        Meta(
            ge=0,
            description="What the board's side takes of a joint at each end: as thick as its members are.",
        ),
    ] = 12.0
    spanner_room_mm: Annotated[
        float,
        Meta(
            gt=0,
            description="Diameter kept clear round a bolt, behind each end, for washer, nut and socket.",
        ),
    ] = 30.0
    dowel_room_mm: Annotated[
        float, Meta(gt=0, description="Diameter kept clear round a dowel, behind each end.")
    ] = 20.0
    reach_mm: Annotated[
        float, Meta(gt=0, description="How far behind the ends that room reaches: bolt end, nut and spanner.")
    ] = 40.0
    hand_mm: Annotated[
        float,
        Meta(
            ge=0,
            le=200,
            description="A hand so wide must get to each bolt from below, behind both ends; 0: do not look.",
        ),
    ] = 60.0
    rail_strip_mm: Annotated[
        float,
        Meta(
            gt=0,
            le=300,
            description="How far from a joint rails are fixed: a strip that is drawn and kept clear.",
        ),
    ] = 60.0

    def __post_init__(self) -> None:
        for places in (self.bolts_at_mm, self.dowels_at_mm):
            refuse_lopsided(places)
        if self.nut == "tee nut" and "cup bolt" in (self.fastener, self.lift_out_fastener):
            raise ValueError('a tee nut wants a bolt that can be turned: fastener = "hex bolt"')
        if self.nut == "tee nut" and self.bolt_size not in TEE_NUTS:
            raise ValueError(f"no tee nut {self.bolt_size} is tabulated; there are {', '.join(TEE_NUTS)}")

    def fastener_of(self, *boards: Board) -> Fastener:
        """What holds a joint of these boards."""
        return self.lift_out_fastener if any(b.lift_out for b in boards) else self.fastener

    @property
    def bolt_diameter_mm(self) -> float:
        return float(self.bolt_size.removeprefix("M"))


def refuse_lopsided(places_mm: tuple[float, ...]) -> None:
    """Places fixed by a rule must be mirrored about the joint's middle: no end of it comes first."""
    if sorted(places_mm) != sorted(-p for p in places_mm):
        raise ValueError("places must be mirrored about the joint's middle, as [-150, 0, 150]")


class Bore(msgspec.Struct, frozen=True, kw_only=True):
    """What one kind of hole through a joint asks for: its diameter, the room behind it, its margins."""

    diameter_mm: float
    room_mm: float
    end_margin_mm: float
    edge_margin_mm: float
