"""The ``[open_top]`` table: a deck only where tracks are, on risers above the joists.

All sizes: common practice, no source (risers of 50 to 100 mm, 25 to 50 mm of them on the joist's face).
Screws 4 mm thick, drilled for, keep 3 diameters or 12 mm from edges (EN 1995-1-1 Table 8.2, memory): a riser
30 mm wide gives them that, its two nearer to each other than that table wants (the fastening stage says so).
"""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from boardwright import Section


class OpenTopSettings(Section, frozen=True, kw_only=True, table="open_top"):
    """For the framing styles open-top, where sides, ends and joists are those of ``[framing]``, set lower,
    and l-girder-open, where ``[l_girder]`` has them."""

    rise_mm: Annotated[
        float, Meta(gt=0, le=500, description="Height of the deck's underside above sides and joists.")
    ] = 60.0
    beside_track_mm: Annotated[
        float,
        Meta(gt=0, le=1000, description="How far the deck reaches to each side of a track's centreline."),
    ] = 40.0
    riser_spacing_mm: Annotated[
        float,
        Meta(
            gt=0,
            le=1000,
            description="Largest distance along a track between supports of its narrow deck: joists and "
            "noggins with risers stand no farther apart (9 mm ply 80 mm wide gives 2 mm by hand at 270).",
        ),
    ] = 250.0
    riser_lap_mm: Annotated[
        float, Meta(gt=0, le=500, description="How much of a riser lies on its joist's face, screwed to it.")
    ] = 30.0
    riser_least_mm: Annotated[
        float,
        Meta(
            ge=15,
            le=100,
            description="How wide a riser is at least: a narrower one splits at its screws. At least half of "
            "it stands below the deck; where there is no room for it a narrower one is made, and told.",
        ),
    ] = 30.0
