"""How boards are screwed, bolted and glued."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from boardwright import Section


class HardwareSettings(Section, frozen=True, kw_only=True, table="hardware"):
    """Screws, washers and glue. All defaults: common practice, no source."""

    deck_screw_spacing_mm: Annotated[
        float, Meta(gt=0, description="Greatest distance between deck screws along sides, ends and wells.")
    ] = 150.0
    deck_screws_per_joist: Annotated[
        int, Meta(ge=0, le=50, description="Deck screws into every joist: near each side and in the middle.")
    ] = 3
    deck_screw_diameter_mm: Annotated[float, Meta(gt=0, le=10, description="Diameter of deck screws.")] = 3.5
    deck_screw_length_in_thicknesses: Annotated[
        float, Meta(ge=2, le=6, description="Least length of a deck screw, in thicknesses of the deck.")
    ] = 3.0
    washer: Annotated[
        Literal["timber", "plain"],
        Meta(description="Washer under a nut: timber (DIN 440, wide) or plain (ISO 7089)."),
    ] = "timber"
    sealer_ml_per_m2: Annotated[
        float,
        Meta(ge=0, le=5000, description="Sealer for a square metre of face, all coats; 0: none."),
    ] = 0.0
    underlay_dm2_per_m2: Annotated[
        float,
        Meta(ge=0, le=200, description="Underlay for a square metre of deck; 100 covers it all, 0: none."),
    ] = 0.0
    abrasive_sheets_per_m2: Annotated[
        float, Meta(ge=0, le=20, description="Sheets of abrasive paper for a square metre of face; 0: none.")
    ] = 0.5
    rail_fixing: Annotated[
        Literal["plates", "screws", "none"],
        Meta(
            description="What holds the rails at a joint, for each track on each board: a copper-clad plate, "
            "two brass screws (one under each rail), or nothing from here."
        ),
    ] = "plates"
    glue_ml_per_m2: Annotated[
        float, Meta(ge=0, description="Wood glue per square metre of joint; end grain drinks it.")
    ] = 200.0
