"""Which sheets a router cuts instead of a saw, and with what tool. Defaults: common practice, no source."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from boardwright import Section

from .settings import CuttingSettings


class RouterSettings(Section, frozen=True, kw_only=True, table="router"):
    """Cutting by router, true shapes side by side: drawn on layers, no machine's own language."""

    thicknesses_mm: Annotated[
        tuple[Annotated[float, Meta(gt=0)], ...],
        Meta(description="Sheets of these nominal thicknesses are cut by router; all others are sawn."),
    ] = ()
    tool_mm: Annotated[float, Meta(gt=0, le=30, description="Diameter of the cutter.")] = 6.0
    lead_mm: Annotated[
        float,
        Meta(
            ge=1,
            le=50,
            description="Room beside an outline in which the cutter goes down and comes in: parts lie the "
            "cutter's diameter and this apart.",
        ),
    ] = 4.0
    edge_mm: Annotated[
        float, Meta(ge=0, description="Kept free along the sheet's edges, for clamps and edges not true.")
    ] = 20.0
    tab_mm: Annotated[
        float, Meta(ge=0, description="Length of a bridge that holds a part in its sheet; 0: none.")
    ] = 8.0
    tab_height_mm: Annotated[
        float, Meta(gt=0, description="How thick a bridge is left, from the sheet's lower face.")
    ] = 2.0
    tab_every_mm: Annotated[
        float, Meta(ge=50, description="One bridge for so much of an outline, two at least.")
    ] = 400.0
    drill_up_to_mm: Annotated[
        float,
        Meta(
            ge=0,
            description="Holes up to this are drilled with a drill of their size; wider ones are milled on a "
            "helix, if the cutter goes into them.",
        ),
    ] = 10.0
    relieve: Annotated[
        bool,
        Meta(
            description="Cut inside corners a little further, so that a square edge goes right into them "
            "(dog-bones)."
        ),
    ] = True

    @property
    def gap_mm(self) -> float:
        """Between any two parts."""
        return self.tool_mm + self.lead_mm


SAWN = RouterSettings()


def as_if_sawn(settings: CuttingSettings, router: RouterSettings) -> CuttingSettings:
    """Settings under which the saw's own search keeps a router's gap and edges."""
    return CuttingSettings(
        kerf_mm=router.gap_mm,
        trim_mm=router.edge_mm,
        stages=0,
        grain=settings.grain,
        keep_length_mm=settings.keep_length_mm,
        keep_width_mm=settings.keep_width_mm,
    )
