"""How many of the whole layout are built: a club's modules, all alike."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from boardwright import Section


class SeriesSettings(Section, frozen=True, kw_only=True, table="series"):
    """Identical copies of everything in the plan: designed once, bought and cut together."""

    copies: Annotated[
        int,
        Meta(
            ge=1,
            le=1000,
            description="How many of the whole plan are built, all alike. Sheets are shared by the copies.",
        ),
    ] = 1
    spare_ends: Annotated[
        int,
        Meta(
            ge=0,
            le=100,
            description="Spare end plates of each kind, cut with the rest: of ends that mate with the next "
            "module.",
        ),
    ] = 0


ONE_COPY = SeriesSettings()
