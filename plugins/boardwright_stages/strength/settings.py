"""The ``[strength]`` and ``[supports]`` tables.

Loads, limits and places of legs: common practice or our own judgement, no source. Two supports at 0.22 of the
length from each end leave an evenly loaded beam straightest: arithmetic. Wall anchors 400 mm apart at most,
50 mm from a batten's ends, two a bracket: common practice, no source; walls defer to local practice.
The strips round a round well turn on each other, and no joist reaches most of them: tried on wells of 600
to 2200 mm, a leg for every 200 mm of edge and four more keep the limits. Nearer, legs would be foot to foot.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from boardwright import Section
from boardwright.plan.model import Point

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


class SupportSettings(Section, frozen=True, kw_only=True, table="supports"):
    """What stands under each board."""

    kind: Annotated[
        Literal["legs", "trestles", "brackets"],
        Meta(
            description="legs: pairs, under both edges; trestles: a beam across, under all it crosses; "
            "brackets: arms across from a wall, under all they cross."
        ),
    ] = "legs"
    floor_below_mm: Annotated[
        float,
        Meta(ge=0, le=3000, description="The floor lies so far below the drawing's level 0: legs' length."),
    ] = 1000.0
    foot_mm: Annotated[
        float, Meta(ge=0, le=200, description="Height of an adjustable foot in its middle position; 0: none.")
    ] = 25.0
    leg_mm: Annotated[
        float, Meta(gt=0, le=150, description="Side of the square timber for legs and braces.")
    ] = 44.0
    from_end: Annotated[
        float,
        Meta(
            ge=0,
            lt=0.5,
            description="Place of two pairs from each end, as a share of the length; more stand nearer.",
        ),
    ] = 0.22
    max_spacing_mm: Annotated[
        float, Meta(gt=0, description="Farther apart than this, more pairs come between.")
    ] = 1200.0
    shared: Annotated[
        bool,
        Meta(
            description="Legs: at each joint one pair, under the end of the first of its two boards in name "
            "order, carries both; each board's other end gets a pair of its own."
        ),
    ] = False
    push_n: Annotated[
        float,
        Meta(
            ge=0,
            le=500,
            description="Boards on legs must stand a push so strong sideways at the deck, empty and bolted "
            "together; 0: not asked.",
        ),
    ] = 50.0
    most_added: Annotated[
        int,
        Meta(
            ge=0,
            le=12,
            description="Single legs that may be added where a board gives too much, besides one for each "
            "side more than four (two on girders) and those round its wells; 0: none, there neither.",
        ),
    ] = 4
    well_leg_every_mm: Annotated[
        float,
        Meta(
            ge=0,
            description="For so much edge of the board's wells one leg more may be added; 0: none for wells.",
        ),
    ] = 200.0
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
    anchor_screw: Annotated[
        str,
        Meta(
            pattern=r"^\d+(\.\d+)?x\d+$",
            description="Screw through a batten or bracket into the wall, diameter x length. Which holds in "
            "your wall is for local practice and a competent person.",
        ),
    ] = "6x100"
    anchor_plug: Annotated[
        str,
        Meta(
            pattern=r"^(\d+(\.\d+)?x\d+)?$",
            description="Plug for it in a solid wall, diameter x length; empty: none, screwed into timber.",
        ),
    ] = "8x50"
    anchor_spacing_mm: Annotated[
        float, Meta(gt=0, description="Greatest distance between two anchors of a batten.")
    ] = 400.0
    anchor_from_end_mm: Annotated[
        float, Meta(ge=0, description="From a batten's end to its first anchor; less in a short batten.")
    ] = 50.0
    anchors_per_bracket: Annotated[int, Meta(ge=0, le=12, description="Anchors of each wall bracket.")] = 2

    def __post_init__(self) -> None:
        into_wall = _length(self.anchor_screw) - BATTEN_MM
        if self.battens and self.anchor_plug and into_wall < _length(self.anchor_plug):
            raise ValueError(
                f'anchor_screw = "{self.anchor_screw}" reaches {into_wall:g} mm into the wall behind a '
                f"batten of {BATTEN_MM:g} mm, less than its plug {self.anchor_plug}: take a longer screw"
            )


def _length(size: str) -> float:
    """The second figure of a size such as 6x100."""
    return float(size.split("x")[1])
