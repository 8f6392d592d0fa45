"""Screws: one for each pilot hole of a butt joint; shorter ones along all sides of the deck, three per joist.

All of it is common practice, no source. A deck screw is about three deck thicknesses long.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from boardwright_timber.model import BoardParts, Frame, HardwareLine, HoleKind, Joists

from .settings import HardwareSettings

# Lengths wood screws are sold in, mm: memory.
SCREW_LENGTHS_MM = (12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120)


def screw_lines(
    frame: Frame, joists: Joists, parts: BoardParts, settings: HardwareSettings
) -> Iterator[HardwareLine]:
    pilots = Counter(
        h.screw for p in parts.parts for h in p.holes if h.kind is HoleKind.PILOT and h.screw is not None
    )
    for (diameter, length), number in sorted(pilots.items()):
        yield _screws(diameter, length, number, f"{number} pilot holes of butt joints")
    for deck in (p for p in parts.parts if p.role == "deck"):
        along = sum(math.ceil(m.length_mm / settings.deck_screw_spacing_mm - 1e-9) for m in frame.members)
        across = settings.deck_screws_per_joist * len(joists.members)
        if along + across:
            yield _screws(
                settings.deck_screw_diameter_mm,
                deck_screw_length_mm(deck.thickness_mm, settings),
                along + across,
                f"{along} along sides, ends and wells at most {settings.deck_screw_spacing_mm:g} mm apart, "
                f"{across} into {len(joists.members)} joists",
            )


def deck_screw_length_mm(deck_mm: float, settings: HardwareSettings) -> int:
    """Next length sold, from the wanted number of deck thicknesses; the longest when none is enough.

    >>> deck_screw_length_mm(9, HardwareSettings())   # 3 × 9 = 27
    30
    """
    wanted = deck_mm * settings.deck_screw_length_in_thicknesses
    return next((n for n in SCREW_LENGTHS_MM if n >= wanted), SCREW_LENGTHS_MM[-1])


def _screws(diameter_mm: float, length_mm: float, number: int, why: str) -> HardwareLine:
    return HardwareLine(
        item=f"screw-{diameter_mm:g}x{length_mm:g}",
        says=f"Wood screw {diameter_mm:g} × {length_mm:g}, countersunk",
        quantity=number,
        unit="piece",
        why=why,
    )
