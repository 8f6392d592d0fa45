"""The ``[strength]`` and ``[supports]`` tables.

Loads, limits and places of legs: common practice or our own judgement, no source. Two supports at 0.22 of the
length from each end leave an evenly loaded beam straightest: arithmetic. Wall anchors 400 mm apart at most,
50 mm from a batten's ends, two a bracket: common practice, no source; walls defer to local practice.
The strips round a round well turn on each other, and no joist reaches most of them: tried on wells of 600
to 2200 mm, a leg for every 200 mm of edge and four more keep the limits. Nearer, legs would be foot to foot.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from boardwright import Section
from boardwright.plan.model import Point

from .support_fields import (
    AnchorFromEndMm,
    AnchorPlug,
    AnchorScrew,
    AnchorSpacingMm,
    AnchorsPerBracket,
    FootMm,
    FromEnd,
    Kind,
    LegLapMm,
    LegMm,
    MaxSpacingMm,
    MostAdded,
    PostClearMm,
    Shared,
    WellLegEveryMm,
)

LEVEL_MM = 0.5  # a level is known by its height to this
BATTEN_MM = 44.0  # thickness and height of a wall batten: common practice, no source


class StrengthSettings(Section, frozen=True, kw_only=True, table="strength"):
    """What a board must carry and how little it may sag."""

    layout_kg_per_m2: Annotated[
        float, Meta(ge=0, le=200, description="Allowance for track, scenery and trains: it stays.")
    ] = 10.0
    hand_n: Annotated[
        float, Meta(ge=0, le=1000, description="A hand that leans on the worst place; 200 N is 20 kg.")
    ] = 200.0
    psi_2: Annotated[
        float, Meta(ge=0, le=1, description="Share of the hand's load that counts as lasting (EN 1990).")
    ] = 0.0
    service_class: Annotated[
        Literal[1, 2],
        Meta(description="1: a heated room; 2: damp at times, as a shed, a loft, a garage (EN 1995-1-1)."),
    ] = 2
    room: Annotated[
        Literal["house", "shed", "loft", ""],
        Meta(
            description="Where the layout lives: house (heated all year) is service class 1, shed and "
            "loft 2. Left empty, service_class counts."
        ),
    ] = ""
    deck_counts: Annotated[
        Literal["no", "screwed", "glued"],
        Meta(
            description="Whether the deck stiffens what it lies on: glued counts both as one section, "
            "screwed what its screws pass on (EN 1995-1-1 Annex B: little), no leaves it out, the safe side."
        ),
    ] = "no"
    frame_sag_mm: Annotated[
        float, Meta(gt=0, description="How far the frame may sag for good, with years of creep.")
    ] = 1.0
    deck_sag_mm: Annotated[
        float, Meta(gt=0, description="How far the deck may sag for good between two joists.")
    ] = 0.5
    hand_sag_mm: Annotated[
        float, Meta(gt=0, description="How far frame or deck may give under the hand; it springs back.")
    ] = 2.0
    carried_sag_mm: Annotated[
        float,
        Meta(gt=0, description="How far a board may bend while it is carried by its ends; it springs back."),
    ] = 5.0
    gradient_percent: Annotated[
        float, Meta(gt=0, le=10, description="The steepest slope that lasting sag may give a level track.")
    ] = 0.5

    @property
    def climate(self) -> Literal[1, 2]:
        """The service class that counts: EN 1995-1-1 2.3.1.3 (read); which room is which: judgement.

        >>> StrengthSettings(room="house").climate, StrengthSettings(room="loft").climate
        (1, 2)
        """
        if not self.room:
            return self.service_class
        return 1 if self.room == "house" else 2


class LevelSupports(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What stands under the boards of one level, where that is otherwise than [supports] says for all."""

    level_mm: Annotated[
        float, Meta(description="Height of the level, as its height_mm in the drawing's levels.")
    ]
    kind: Kind | None = None
    foot_mm: FootMm | None = None
    leg_mm: LegMm | None = None
    leg_lap_mm: LegLapMm | None = None
    from_end: FromEnd | None = None
    max_spacing_mm: MaxSpacingMm | None = None
    shared: Shared | None = None
    most_added: MostAdded | None = None
    well_leg_every_mm: WellLegEveryMm | None = None
    post_clear_mm: PostClearMm = None
    anchor_screw: AnchorScrew | None = None
    anchor_plug: AnchorPlug | None = None
    anchor_spacing_mm: AnchorSpacingMm | None = None
    anchor_from_end_mm: AnchorFromEndMm | None = None
    anchors_per_bracket: AnchorsPerBracket | None = None

    def over(self, supports: SupportSettings) -> SupportSettings:
        """The settings for this level: its own where it says so, else those of all.

        >>> walled = LevelSupports(level_mm=250.0, kind="brackets", max_spacing_mm=800.0)
        >>> here = walled.over(SupportSettings(leg_mm=34.0))
        >>> here.kind, here.max_spacing_mm, here.leg_mm
        ('brackets', 800.0, 34.0)
        """
        own = {
            n: v for n in self.__struct_fields__ if n != "level_mm" and (v := getattr(self, n)) is not None
        }
        return supports.changed(levels=(), **own)


class SupportSettings(Section, frozen=True, kw_only=True, table="supports"):
    """What stands under each board."""

    kind: Kind = "legs"
    floor_below_mm: Annotated[
        float,
        Meta(ge=0, le=3000, description="The floor lies so far below the drawing's level 0: legs' length."),
    ] = 1000.0
    foot_mm: FootMm = 25.0
    leg_mm: LegMm = 44.0
    leg_lap_mm: LegLapMm = 70.0
    from_end: FromEnd = 0.22
    max_spacing_mm: MaxSpacingMm = 1200.0
    shared: Shared = False
    push_n: Annotated[
        float,
        Meta(
            ge=0,
            le=500,
            description="Boards on legs must stand a push so strong sideways at the deck, empty and bolted "
            "together; 0: not asked.",
        ),
    ] = 50.0
    most_added: MostAdded = 4
    well_leg_every_mm: WellLegEveryMm = 200.0
    post_clear_mm: PostClearMm = None
    points: Annotated[
        dict[str, tuple[Point, ...]],
        Meta(
            description="Board → places of its own supports [[x, y], …] on the board, in place of the rule."
        ),
    ] = msgspec.field(default_factory=dict)
    battens: Annotated[
        dict[str, tuple[tuple[Point, Point], ...]],
        Meta(description="Board → lines [[[x, y], [x, y]], …] along which a wall batten carries its frame."),
    ] = msgspec.field(default_factory=dict)
    anchor_screw: AnchorScrew = "6x100"
    anchor_plug: AnchorPlug = "8x50"
    anchor_spacing_mm: AnchorSpacingMm = 400.0
    anchor_from_end_mm: AnchorFromEndMm = 50.0
    anchors_per_bracket: AnchorsPerBracket = 2
    levels: Annotated[
        tuple[LevelSupports, ...],
        Meta(
            description="What is otherwise on one level than on the rest: brackets above, legs below. "
            "Each has the height of its level."
        ),
    ] = ()

    def __post_init__(self) -> None:
        for low, high in pairwise(sorted(level.level_mm for level in self.levels)):
            if high - low <= 2 * LEVEL_MM:
                raise ValueError(
                    f"levels speaks of the level at {low:g} mm twice: write what is said of it in one table"
                )
        for level in self.levels:
            level.over(self)
        into_wall = _length(self.anchor_screw) - BATTEN_MM
        if self.battens and self.anchor_plug and into_wall < _length(self.anchor_plug):
            raise ValueError(
                f'anchor_screw = "{self.anchor_screw}" reaches {into_wall:g} mm into the wall behind a '
                f"batten of {BATTEN_MM:g} mm, less than its plug {self.anchor_plug}: take a longer screw"
            )


def _length(size: str) -> float:
    """The second figure of a size such as 6x100."""
    return float(size.split("x")[1])
