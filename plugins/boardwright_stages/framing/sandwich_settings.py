"""The ``[sandwich]`` table: light sides and ends of two thin skins with blocks between them.

Sizes and spacing: common practice, no source (skins of 3 to 6 mm ply, blocks of what the joists are made of).
"""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta
from msgspec.structs import replace

from boardwright import Section
from boardwright_timber.model import Member, Sandwich


class SandwichSettings(Section, frozen=True, kw_only=True, table="sandwich"):
    """For ``framing.sides = "sandwich"``. A skin is of the material of ``[framing]``."""

    skin_thickness_mm: Annotated[
        float, Meta(gt=0, le=20, description="Thickness of each of the two skins; [stock] must offer it.")
    ] = 4.0
    block_thickness_mm: Annotated[
        float, Meta(gt=0, le=100, description="Thickness of the blocks: how far the skins stand apart.")
    ] = 12.0
    block_material: Annotated[str, Meta(min_length=1, description="Material of the blocks.")] = "birch ply"
    block_length_mm: Annotated[
        float,
        Meta(ge=20, le=500, description="Length of a block along the side; longer where bolts need it."),
    ] = 40.0
    block_spacing_mm: Annotated[
        float,
        Meta(ge=50, le=1000, description="The most from middle to middle of two blocks: holds the skins."),
    ] = 160.0

    def __post_init__(self) -> None:
        """Raises ValueError for blocks that would overlap."""
        if self.block_spacing_mm <= self.block_length_mm:
            raise ValueError(
                f"block_spacing_mm ({self.block_spacing_mm:g}) must be more than block_length_mm "
                f"({self.block_length_mm:g}): there would be no room between blocks"
            )

    @property
    def thickness_mm(self) -> float:
        """Of the whole side."""
        return 2 * self.skin_thickness_mm + self.block_thickness_mm

    def made(self, member: Member) -> Member:
        """The same member, as a sandwich."""
        return replace(
            member,
            sandwich=Sandwich(
                skin_mm=self.skin_thickness_mm,
                block_material=self.block_material,
                block_mm=self.block_length_mm,
                spacing_mm=self.block_spacing_mm,
            ),
        )


SOLID = SandwichSettings()
