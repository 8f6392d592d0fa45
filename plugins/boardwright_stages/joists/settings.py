"""The ``[joists]`` table: how far apart joists may be and what they keep clear of.

400 mm under 9 mm ply: common practice, no source (boards are built with 300 to 500 mm). A hand 60 mm wide:
our judgement, no source.
"""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from boardwright import Section


class JoistSettings(Section, frozen=True, kw_only=True, table="joists"):
    """Joists run across a board, square to its length."""

    spacing_mm: Annotated[
        float,
        Meta(
            gt=0,
            description="Largest distance between supports of the deck along the board, centre to centre.",
        ),
    ] = 400.0
    by_deck: Annotated[
        bool,
        Meta(
            description="Set joists closer than spacing_mm where the deck would not keep the limits of "
            "[strength] on them."
        ),
    ] = True
    min_gap_mm: Annotated[
        float,
        Meta(
            ge=0,
            description="Least free room between a joist and the next joist or end: a hand and a drill.",
        ),
    ] = 60.0
    hand_mm: Annotated[
        float,
        Meta(
            ge=0,
            le=200,
            description="A hand so wide must get beside each device from below; 0: do not look.",
        ),
    ] = 60.0
    trim: Annotated[
        bool,
        Meta(
            description="Where devices leave no place for a joist, cut it and trim the opening with noggins."
        ),
    ] = True
    step_mm: Annotated[
        float, Meta(gt=0, le=50, description="Distance between the joist positions tried.")
    ] = 2.0
    shortest_joist_mm: Annotated[
        float,
        Meta(
            ge=0,
            description="A joist shorter than this is left out where the deck is held without it.",
        ),
    ] = 40.0
