"""The ``[sizing]`` table: strips to try. Sizes: common practice, no source."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from boardwright import Section


class StripSize(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A strip that sides, ends and joists could be ripped to."""

    thickness_mm: Annotated[float, Meta(gt=0, le=100, description="Thickness.")]
    depth_mm: Annotated[float, Meta(gt=0, le=1000, description="Depth.")]
    material: Annotated[str, Meta(min_length=1, description="Material.")] = "birch ply"


class SizingSettings(Section, frozen=True, kw_only=True, table="sizing"):
    """Asks for the lightest strip of a list whose frame keeps every limit; it changes nothing."""

    advise: Annotated[
        bool, Meta(description="Say for each board which strip of the list is the lightest.")
    ] = False
    strips: Annotated[
        tuple[StripSize, ...], Meta(min_length=1, description="Strips to try, in any order.")
    ] = tuple(
        StripSize(thickness_mm=t, depth_mm=d) for t in (9.0, 12.0, 18.0) for d in (50.0, 70.0, 90.0, 120.0)
    )
