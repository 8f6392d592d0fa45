"""The ``[space]`` table. 150 mm: trains, and a hand that rights them; common practice, no source."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from boardwright import Section


class SpaceSettings(Section, frozen=True, kw_only=True, table="space"):
    """Room between one level and the next above it."""

    headroom_mm: Annotated[
        float,
        Meta(ge=0, le=2000, description="Height wanted free above a deck that another level passes over."),
    ] = 150.0
