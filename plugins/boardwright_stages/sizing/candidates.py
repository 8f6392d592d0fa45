"""What sizes there are to try: strips ripped from sheets of the stock, bars as they are, decks of sheets.

Claim: only what is listed in the stock, or in ``sizing.strips``, is tried; only materials with known
stiffness; every strip stands on edge. A strip's price is its share of the sheet it is ripped from, a saw cut
with it (the last strip of a sheet and what is left over are not counted).

What this does not know: how many are in the stock, and offcuts.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardwright_timber.model import Strip
from boardwright_timber.reference import STRENGTHS, density_kg_m3

from ..nesting.settings import CuttingSettings, StockSettings, StockSheet
from .settings import SizingSettings

KNOWN = frozenset(row.material for row in STRENGTHS)
THINNEST_MM = 6.0  # no screw holds in the edge of thinner wood: skins are made of it, not strips
FLOPPY = frozenset({"foam"})  # carries as a deck, never as a strip


def strips(settings: SizingSettings, stock: StockSettings, cutting: CuttingSettings) -> list[Strip]:
    """Every strip there is, without twins."""
    if settings.strips:
        sizes = [(s.thickness_mm, s.depth_mm, s.material) for s in settings.strips]
    else:
        sizes = [
            (s.thickness_mm, depth, s.material)
            for s in stock.sheets
            if s.material in KNOWN - FLOPPY and s.thickness_mm >= THINNEST_MM
            for depth in ((s.width_mm,) if s.bar else settings.depths_mm)
            if depth >= s.thickness_mm
        ]
    return [
        Strip(
            thickness_mm=t,
            depth_mm=d,
            material=material,
            kg_per_m=round(t * d * density_kg_m3(material, t) * 1e-6, 6),
            price=_price(t, d, material, stock, cutting),
        )
        for t, d, material in sorted(set(sizes))
    ]


def decks(material: str, stock: StockSettings) -> list[tuple[float, float, float | None]]:
    """Thicknesses of deck that the stock has in this material: (mm, kg/m², price of a m²)."""
    sheets = [s for s in stock.sheets if s.material == material and not s.bar and material in KNOWN]
    return [
        (
            t,
            round(t * density_kg_m3(material, t) * 1e-3, 6),
            _least(_per_m2(s) for s in sheets if s.thickness_mm == t),
        )
        for t in sorted({s.thickness_mm for s in sheets})
    ]


def by_mass(strip: Strip) -> tuple[float, ...]:
    return (strip.kg_per_m, strip.thickness_mm, strip.depth_mm)


def by_price(strip: Strip) -> tuple[float, ...]:
    assert strip.price is not None
    return (strip.price, *by_mass(strip))


def _price(
    t: float, depth: float, material: str, stock: StockSettings, cutting: CuttingSettings
) -> float | None:
    fits = [s for s in stock.sheets if s.material == material and s.thickness_mm == t]
    bars = [
        float(s.price) / s.length_mm * 1e3
        for s in fits
        if s.bar and s.width_mm == depth and s.price is not None
    ]
    ripped = [
        per * (depth + cutting.kerf_mm) * 1e-3 for s in fits if not s.bar and (per := _per_m2(s)) is not None
    ]
    return _least([*bars, *ripped])


def _per_m2(sheet: StockSheet) -> float | None:
    return None if sheet.price is None else float(sheet.price) / (sheet.length_mm * sheet.width_mm) * 1e6


def _least(prices: Iterable[float | None]) -> float | None:
    known = [p for p in prices if p is not None]
    return round(min(known), 6) if known else None
