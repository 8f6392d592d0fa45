"""The ``[sizing]`` table: what to try, and whether it is taken. Depths: common practice, no source."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from boardwright import Section


class StripSize(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A strip that sides, ends and joists could be ripped to."""

    thickness_mm: Annotated[float, Meta(gt=0, le=100, description="Thickness.")]
    depth_mm: Annotated[float, Meta(gt=0, le=1000, description="Depth.")]
    material: Annotated[str, Meta(min_length=1, description="Material.")] = "birch ply"


class SizingSettings(Section, frozen=True, kw_only=True, table="sizing"):
    """Finds the lightest or cheapest strip and deck of the stock that keep every limit."""

    choose: Annotated[
        Literal["fixed", "lightest", "cheapest"],
        Meta(
            description="fixed: [framing] says the sizes, and they are judged. lightest or cheapest: the "
            "strip and deck of the stock with the least mass or price that keep every limit on all boards "
            "are taken, in place of member_thickness_mm, depth_mm, member_material and deck_thickness_mm."
        ),
    ] = "fixed"
    advise: Annotated[
        bool, Meta(description="Say for each board which strip is the lightest; nothing is changed by that.")
    ] = False
    depths_mm: Annotated[
        tuple[Annotated[float, Meta(gt=0, le=1000)], ...],
        Meta(
            min_length=1,
            description="Depths that sheets of the stock may be ripped to; bars are as they are.",
        ),
    ] = (50.0, 70.0, 90.0, 120.0)
    strips: Annotated[
        tuple[StripSize, ...],
        Meta(description="Strips to try in place of those the stock gives, in any order."),
    ] = ()
