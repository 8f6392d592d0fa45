"""How much wood and rails move: swelling with damp, lengthening with warmth.

Claim: every row carries its source and a mark. A size D changes by D × coefficient × change of moisture
content in percent (Wood Handbook FPL-GTR-190, equation 13-2, good from 6 to 14 % moisture; read).

Glossary
    along     in the plane of a panel, or along the grain of solid timber
    across    in the plane of a panel, or across the grain of solid timber
    moisture  percent of dry mass; 7 to 9 in a heated room, about 12 at 65 % humidity, 20 at 85 % (read)

What this does not know: how damp your room gets. A paint that seals slows it; nothing stops it.
"""

from __future__ import annotations

import msgspec

from .materials import Mark

NICKEL_SILVER_PER_K = 17e-6  # memory; steel is about 12e-6


class Swelling(msgspec.Struct, frozen=True, kw_only=True):
    """Shares of a size per 1 % of moisture content."""

    material: str
    along: float
    across: float
    source: str
    mark: Mark


SWELLINGS: tuple[Swelling, ...] = (
    *(
        Swelling(
            material=material,
            along=0.0002,
            across=0.0002,
            source="plywood in its plane, 0.15 to 0.2 mm a metre for 1 %",
            mark="memory",
        )
        for material in ("birch ply", "conifer ply")
    ),
    Swelling(
        material="mdf",
        along=0.001 / 3,
        across=0.001 / 3,
        source="panel industry's leaflet: 1 mm a metre from 9 to 12 %",
        mark="read",
    ),
    Swelling(
        material="osb3",
        along=0.0003,
        across=0.0003,
        source="OSB in its plane, 0.2 to 0.3 mm a metre for 1 %",
        mark="memory",
    ),
    Swelling(
        material="softwood",
        along=0.00005,
        across=0.00263,
        source="Wood Handbook table 13-5, Sitka spruce, tangential (read); along the grain from memory",
        mark="read",
    ),
    Swelling(
        material="foam",
        along=0.0,
        across=0.0,
        source="closed cells take up no damp to speak of",
        mark="memory",
    ),
)

#: Wood Handbook table 13-5 (read): radial and tangential change for 1 %, more species for comparison.
PAPER_BIRCH_RADIAL, PAPER_BIRCH_TANGENTIAL = 0.00219, 0.00304


def swelling_row(material: str) -> Swelling:
    """Raises ``KeyError`` for a material without a row."""
    for row in SWELLINGS:
        if row.material == material:
            return row
    raise KeyError(material)


def change_mm(size_mm: float, per_percent: float, percent: float) -> float:
    """Change of a size when moisture content rises by ``percent``.

    >>> round(change_mm(1000, swelling_row("mdf").along, 3), 3)
    1.0
    """
    return size_mm * per_percent * percent


def rail_growth_mm(length_mm: float, kelvin: float, per_k: float = NICKEL_SILVER_PER_K) -> float:
    """How much a rail lengthens when it warms up."""
    return length_mm * per_k * kelvin
