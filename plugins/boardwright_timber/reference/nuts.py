"""Nuts for fingers, nuts that stay in the wood, and hex bolts to go with them.

Claim: sizes in millimetres; each table says where its rows come from.

Glossary
    wing nut   turned by hand; its wings sweep a circle as wide as ``span_mm``
    tee nut    a threaded barrel with a spiked flange, pulled into the far face of the wood

What this does not know: strength grades, and how often a tee nut may be pulled before it turns in the wood.
"""

from __future__ import annotations

import msgspec

from .fasteners import BOLT_LENGTHS_MM, NUTS, BoltChoice, Washer


class WingNut(msgspec.Struct, frozen=True, kw_only=True):
    """DIN 315, German form, memory: ``height_mm`` is the threaded part, ``over_all_mm`` with the wings."""

    height_mm: float
    over_all_mm: float
    span_mm: float


WING_NUTS: dict[str, WingNut] = {  # DIN 315: memory
    size: WingNut(height_mm=m, over_all_mm=h, span_mm=e)
    for size, m, h, e in (
        ("M4", 4.6, 10.5, 20.0),
        ("M5", 6.5, 13.0, 26.0),
        ("M6", 8.0, 17.0, 33.0),
        ("M8", 10.0, 20.0, 39.0),
        ("M10", 12.0, 25.0, 51.0),
        ("M12", 14.0, 33.5, 65.0),
    )
}


class TeeNut(msgspec.Struct, frozen=True, kw_only=True):
    """As commonly sold; no standard. ``hole_mm`` is what its barrel is driven into."""

    hole_mm: float
    barrel_mm: float
    flange_mm: float


TEE_NUTS: dict[str, TeeNut] = {  # common practice, no source
    "M5": TeeNut(hole_mm=6.5, barrel_mm=8.0, flange_mm=17.0),
    "M6": TeeNut(hole_mm=8.0, barrel_mm=9.0, flange_mm=19.0),
    "M8": TeeNut(hole_mm=10.0, barrel_mm=11.0, flange_mm=22.0),
    "M10": TeeNut(hole_mm=12.0, barrel_mm=13.0, flange_mm=26.0),
}

PITCH_MM: dict[str, float] = {  # ISO 261 coarse series; M5 to M12 as in DIN 603 (read), M4: memory
    "M4": 0.7,
    "M5": 0.8,
    "M6": 1.0,
    "M8": 1.25,
    "M10": 1.5,
    "M12": 1.75,
}


def hex_bolt_for(
    size: str, grip_mm: float, washers: tuple[Washer, ...], nut_mm: float | None = None
) -> BoltChoice:
    """Shortest hex bolt threaded to its head: grip + washers + nut + one pitch, next length sold.

    ``nut_mm`` is the height of what it goes into beyond the washers (None: a hex nut's, ISO 4032); 0 for a
    tee nut, whose barrel lies in the wood. Raises ``ValueError`` when no length is long enough.

    >>> from .fasteners import PLAIN_WASHERS
    >>> hex_bolt_for("M8", 24, (PLAIN_WASHERS["M8"],) * 2).length_mm   # 24 + 3.2 + 6.8 + 1.25 = 35.25
    40.0
    """
    nut = NUTS[size].height_max_mm if nut_mm is None else nut_mm
    nut_starts = round(grip_mm + sum(w.thickness_mm for w in washers), 6)
    stack_up = round(nut_starts + nut + PITCH_MM[size], 6)
    length = next((n for n in BOLT_LENGTHS_MM if n >= stack_up), None)
    if length is None:
        raise ValueError(f"no {size} bolt is {stack_up:g} mm long; longest is {BOLT_LENGTHS_MM[-1]:g} mm")
    return BoltChoice(
        size=size, stack_up_mm=stack_up, length_mm=length, thread_starts_mm=0.0, nut_starts_mm=nut_starts
    )
