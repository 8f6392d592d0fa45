"""What may be said of the supports of the whole layout and of those of one level alike, with its range."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

Kind = Annotated[
    Literal["legs", "trestles", "brackets", "posts"],
    Meta(
        description="legs: pairs, under both edges; trestles: a beam across, under all it crosses; "
        "brackets: arms across from a wall, under all they cross; posts: pairs, on the frame of the board "
        "below."
    ),
]
FootMm = Annotated[
    float, Meta(ge=0, le=200, description="Height of an adjustable foot in its middle position; 0: none.")
]
LegLapMm = Annotated[
    float,
    Meta(
        ge=0,
        le=300,
        description="How far a leg runs up beside the member it carries, bolted through it; at most as far "
        "as the member is deep. 0: it ends under the frame, and what holds it there is yours. Common "
        "practice, no source.",
    ),
]
LegMm = Annotated[float, Meta(gt=0, le=150, description="Side of the square timber for legs and braces.")]
FromEnd = Annotated[
    float,
    Meta(
        ge=0,
        lt=0.5,
        description="Place of two pairs from each end, as a share of the length; more stand nearer.",
    ),
]
MaxSpacingMm = Annotated[float, Meta(gt=0, description="Farther apart than this, more pairs come between.")]
Shared = Annotated[
    bool,
    Meta(
        description="Legs: at each joint one pair, under the end of the first of its two boards in name "
        "order, carries both; each board's other end gets a pair of its own."
    ),
]
MostAdded = Annotated[
    int,
    Meta(
        ge=0,
        le=12,
        description="Single legs that may be added where a board gives too much, besides one for each "
        "side more than four (two on girders) and those round its wells; 0: none, there neither.",
    ),
]
WellLegEveryMm = Annotated[
    float,
    Meta(
        ge=0,
        description="For so much edge of the board's wells one leg more may be added; 0: none for wells.",
    ),
]
AnchorScrew = Annotated[
    str,
    Meta(
        pattern=r"^\d+(\.\d+)?x\d+$",
        description="Screw through a batten or bracket into the wall, diameter x length. Which holds in "
        "your wall is for local practice and a competent person.",
        extra={"form": "diameter x length in mm, such as 6x100"},
    ),
]
AnchorPlug = Annotated[
    str,
    Meta(
        pattern=r"^(\d+(\.\d+)?x\d+)?$",
        description="Plug for it in a solid wall, diameter x length; empty: none, screwed into timber.",
        extra={"form": "diameter x length in mm, such as 8x50, or empty"},
    ),
]
AnchorSpacingMm = Annotated[
    float, Meta(gt=0, description="Greatest distance between two anchors of a batten.")
]
AnchorFromEndMm = Annotated[
    float, Meta(ge=0, description="From a batten's end to its first anchor; less in a short batten.")
]
AnchorsPerBracket = Annotated[int, Meta(ge=0, le=12, description="Anchors of each wall bracket.")]
PostClearMm = Annotated[
    Annotated[float, Meta(ge=0, le=500)] | None,
    Meta(
        description="Posts: free from a track's centre line to their nearest side; left out: 2,610 mm of the "
        "prototype, 30 mm in 1:87."
    ),
]
