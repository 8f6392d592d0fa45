"""Screws, bolts, dowels and glue: what is bought by number or measure, not sawn."""

from __future__ import annotations

from functools import lru_cache

import msgspec

#: Stages of construction, in order of work.
STAGES = ("frames", "decks", "assembly", "joints", "supports", "wiring", "finish")
_STARTS = {
    "joints": ("bolt-", "hex-bolt-", "nut-", "wing-nut-", "tee-nut-", "washer-", "timber-washer-", "dowel-"),
    "supports": ("leg-", "adjustable-foot", "trestle", "wall-"),
    "wiring": ("wire-", "plug-", "terminal-"),
    "finish": ("sealer", "underlay", "abrasive"),
}


@lru_cache(1024)
def stage_of(item: str) -> str:
    """The stage of construction an item of hardware is for; what holds a board together is ``assembly``."""
    if item == "toggle-catch":
        return "joints"
    return next((stage for stage, starts in _STARTS.items() if item.startswith(starts)), "assembly")


class HardwareLine(msgspec.Struct, frozen=True, kw_only=True):
    """``item`` is the key of the price table; ``why`` says what the quantity was counted from.

    ``priced_as`` names the item whose price holds where this one has none of its own (a wire of any colour).
    ``at_most_mm``: a screw or bolt up to so long does as well; 0: just this one. ``pieces_mm``: lengths of
    the pieces sawn of it, which lengths as they are sold must give whole; empty: any measure does.
    """

    item: str
    says: str
    quantity: float
    unit: str
    why: str
    priced_as: str = ""
    at_most_mm: float = 0.0
    pieces_mm: tuple[float, ...] = ()


class BoardHardware(msgspec.Struct, frozen=True, kw_only=True):
    """Hardware to build one board. A joint's hardware is counted by the first board of its name."""

    board: str
    lines: tuple[HardwareLine, ...] = ()


class WireHardware(msgspec.Struct, frozen=True, kw_only=True):
    """Wire, plugs and terminal strips of one board."""

    lines: tuple[HardwareLine, ...] = ()
