"""The ``[l_girder]`` table: two girders along a board, joists across on top of them.

Sizes and the place of girders: common practice, no source. Two supports at 0.22 of the length from each end
leave an evenly loaded beam straightest (arithmetic); so do girders under a joist.
"""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from boardwright import Section


class GirderSettings(Section, frozen=True, kw_only=True, table="l_girder"):
    """For the framing styles l-girder and l-girder-open. Webs, ends and joists are of the material of
    ``[framing]``."""

    web_depth_mm: Annotated[float, Meta(gt=0, le=1000, description="Depth of a girder's web.")] = 70.0
    flange_width_mm: Annotated[float, Meta(gt=0, le=300, description="Width of a girder's flange.")] = 44.0
    flange_thickness_mm: Annotated[
        float, Meta(gt=0, le=100, description="Thickness of a girder's flange, glued on top of the web.")
    ] = 12.0
    flange_material: Annotated[
        str, Meta(min_length=1, description="Material of flanges: ply, or softwood of the stock list.")
    ] = "birch ply"
    joist_depth_mm: Annotated[float, Meta(gt=0, le=1000, description="Depth of the joists.")] = 90.0
    from_edge: Annotated[
        float,
        Meta(gt=0, lt=0.5, description="Place of the girders from each edge, as a share of the width."),
    ] = 0.22
