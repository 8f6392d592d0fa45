"""The ``[templates]`` table."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from boardwright import Section


class TemplateSettings(Section, frozen=True, kw_only=True, table="templates"):
    """Full-size paper templates, one PDF a board."""

    print: Annotated[
        Literal["decks and ends", "all parts", "nothing"],
        Meta(
            description="Which parts get a full-size template: decks (edge, tracks, devices, holes) and the "
            "ends that meet other boards (holes), all parts, or nothing."
        ),
    ] = "decks and ends"
    paper: Annotated[
        Literal["office", "A4", "A3", "A2", "A1", "A0", "Letter", "Tabloid", "roll"],
        Meta(
            description="Paper in the printer. `office` is A4, or Letter where `[display] paper` is Letter "
            "or Tabloid; a roll is as wide as roll_width_mm and as long as needed."
        ),
    ] = "office"
    roll_width_mm: Annotated[float, Meta(ge=200, le=2000, description="Width of a roll of paper.")] = 610.0
    margin_mm: Annotated[
        float, Meta(ge=0, le=30, description="Edge of the paper that the printer leaves white.")
    ] = 8.0
    overlap_mm: Annotated[
        float, Meta(ge=5, le=50, description="How far neighbouring pages show the same part of the drawing.")
    ] = 10.0
