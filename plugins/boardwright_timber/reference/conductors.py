"""Conductors: resistance, outer diameter, current, and how full a hole may be.

Claim: a conductor's loop never drops more in copper of the named class than worked out here, at the stated
temperature; terminals and plugs are not counted.

Glossary
    class 5         fine stranded flexible conductor (IEC 60228)
    outer diameter  over the insulation, at most
    fill            cross-sections of all cores over their insulation ÷ cross-section of the hole

What this does not know: any maker's cable; alternating-current effects (none at these lengths); mains.
"""

from __future__ import annotations

import math

import msgspec


class Conductor(msgspec.Struct, frozen=True, kw_only=True):
    """``ohm_per_km`` at 20 °C. ``amps`` is what it may carry; see each row's source."""

    name: str
    area_mm2: float
    ohm_per_km: float
    outer_mm: float
    amps: float
    source: str


_FLEX = "IEC 60228 class 5 plain, read"
_THIN = "DIN VDE 0295-type table, read; not in IEC 60228"
_OUTER = "outer: cable datasheet (EN 50525-2-31), read"
_PRACTICE = "outer and amperes: common practice, no source"


def _row(area: float, ohm: float, outer: float, amps: float, source: str) -> Conductor:
    return Conductor(
        name=f"{area:g} mm²", area_mm2=area, ohm_per_km=ohm, outer_mm=outer, amps=amps, source=source
    )


# Resistances: read. Outer 0.5 to 1.0 and amperes 3, 6, 10: cable datasheet, read. Outer 1.5 to 4: from
# trunking factors, calc. Outer below 0.5 (0.22: memory) and all other amperes: common practice, no source.
CONDUCTORS: dict[str, Conductor] = {
    c.name: c
    for c in (
        _row(0.14, 134.0, 1.1, 1.0, f"{_THIN}; {_PRACTICE}"),
        _row(0.22, 96.0, 1.2, 1.5, f"{_THIN}; {_PRACTICE}"),
        _row(0.25, 76.0, 1.3, 1.5, f"{_THIN}; {_PRACTICE}"),
        _row(0.34, 53.0, 1.4, 2.0, f"{_THIN}; {_PRACTICE}"),
        _row(0.5, 39.0, 2.5, 3.0, f"{_FLEX}; {_OUTER}"),
        _row(0.75, 26.0, 2.7, 6.0, f"{_FLEX}; {_OUTER}"),
        _row(1.0, 19.5, 2.8, 10.0, f"{_FLEX}; {_OUTER}"),
        _row(1.5, 13.3, 3.3, 12.0, f"{_FLEX}; outer: calc; amperes: common practice, no source"),
        _row(2.5, 7.98, 4.0, 16.0, f"{_FLEX}; outer: calc; amperes: common practice, no source"),
        _row(4.0, 4.95, 4.6, 20.0, f"{_FLEX}; outer: calc; amperes: common practice, no source"),
    )
}

COPPER_OHM_MM2_PER_KM = 17.241  # read
PER_DEGREE = 0.00393  # copper, from 20 °C; read


def gauge(number: int) -> Conductor:
    """Solid copper wire of an AWG number, ASTM B258: d = 0.127 × 92^((36 − n) / 39), read.

    Insulation adds 0.8 mm to the diameter, and it carries 8 A per mm²: common practice, no source.

    >>> round(gauge(20).area_mm2, 3), round(gauge(20).ohm_per_km, 1)
    (0.519, 33.2)
    """
    d = 0.127 * 92 ** ((36 - number) / 39)
    area = math.pi / 4 * d * d
    return Conductor(
        name=f"AWG {number}",
        area_mm2=round(area, 6),
        ohm_per_km=round(COPPER_OHM_MM2_PER_KM / area, 6),
        outer_mm=round(d + 0.8, 3),
        amps=round(8 * area, 2),
        source="ASTM B258, read; outer and amperes: common practice, no source",
    )


def conductor(name: str) -> Conductor:
    """A conductor by its name: ``1.5 mm²`` (or just ``1.5``) or ``AWG 20``. Raises ``ValueError``."""
    plain = name.strip().casefold().removesuffix("mm²").removesuffix("mm2").strip()
    if plain.startswith("awg") and plain[3:].strip().isdecimal() and 0 < int(plain[3:]) <= 36:
        return gauge(int(plain[3:]))
    found = next((c for c in CONDUCTORS.values() if f"{c.area_mm2:g}" == plain.rstrip()), None)
    if found is None:
        known = ", ".join(f"{c.area_mm2:g}" for c in CONDUCTORS.values())
        raise ValueError(f"no conductor called {name}; known: {known} (mm²), and AWG 1 to AWG 36")
    return found


def ohm_per_metre(wire: Conductor, celsius: float) -> float:
    """Resistance of one core at a temperature: R20 × (1 + 0.00393 (t − 20)), read.

    >>> round(ohm_per_metre(CONDUCTORS["1.5 mm²"], 20) * 2 * 5 * 6, 3)   # 6 A over 5 m of pair
    0.798
    """
    return wire.ohm_per_km / 1000 * (1 + PER_DEGREE * (celsius - 20))


def fill_limit(cores: int) -> float:
    """How full a hole may be: 53 % with one, 31 % with two, 40 % with more (NEC chapter 9 table 1, read)."""
    return {1: 0.53, 2: 0.31}.get(cores, 0.40)


def fill(outers_mm: tuple[float, ...], hole_mm: float) -> float:
    """Share of a hole's cross-section that cores of these outer diameters take."""
    return float(sum(d * d for d in outers_mm)) / (hole_mm * hole_mm)


def hole_for_mm(outers_mm: tuple[float, ...]) -> float:
    """The least hole diameter these cores fit through within the fill limit; 0 for none."""
    if not outers_mm:
        return 0.0
    return math.sqrt(sum(d * d for d in outers_mm) / fill_limit(len(outers_mm)))
