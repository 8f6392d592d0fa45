"""The ``[movement]`` table. Swings by class of room: judgement, no source."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from boardwright import Section


class MovementSettings(Section, frozen=True, kw_only=True, table="movement"):
    """How much damp and warmth change where the layout lives."""

    moisture_percent: Annotated[
        Annotated[float, Meta(ge=0, le=20)] | None,
        Meta(
            description="By how many percent the wood's moisture changes over the year; left out: 3 in "
            "service class 1 (a heated room), 6 in class 2.",
        ),
    ] = None
    temperature_k: Annotated[
        Annotated[float, Meta(ge=0, le=80)] | None,
        Meta(
            description="By how many degrees it may be warmer than when track was laid; left out: 15 in "
            "service class 1, 30 in class 2.",
        ),
    ] = None

    def swings(self, service_class: int) -> tuple[float, float]:
        """Moisture (%) and temperature (K) for a room of this class.

        >>> MovementSettings().swings(1), MovementSettings(moisture_percent=4.0).swings(2)
        ((3.0, 15.0), (4.0, 30.0))
        """
        moisture, warmth = (3.0, 15.0) if service_class == 1 else (6.0, 30.0)
        return (
            moisture if self.moisture_percent is None else self.moisture_percent,
            warmth if self.temperature_k is None else self.temperature_k,
        )
