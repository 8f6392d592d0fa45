"""Screws and blocks behind strips along edges, as lines of the list of hardware.

Claim: a screw for each height of each hold; a block for each hold on one, all of one length.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from boardwright_timber.model import BoardEdging, HardwareLine, HoldKind

from ..hardware.blocking import BLOCK_MM, block_strip
from ..hardware.screwing import screw_line

INTO = {
    HoldKind.FACE: "faces of members",
    HoldKind.END: "ends of members",
    HoldKind.UPRIGHT: "upright blocks",
    HoldKind.UNDER: "blocks below the deck",
}


def edging_lines(edging: BoardEdging) -> Iterator[HardwareLine]:
    """What holds the strips of one board, but the glue."""
    into: dict[tuple[float, float], Counter[HoldKind]] = {}
    for hold in (h for s in edging.strips for h in s.holds):
        into.setdefault(hold.screw, Counter())[hold.kind] += len(hold.heights_mm)
    for (diameter, length), counted in sorted(into.items()):
        why = ", ".join(f"{n} into {INTO[kind]}" for kind, n in sorted(counted.items()))
        yield screw_line(diameter, length, counted.total(), f"strips along edges: {why}")
    if edging.blocks:
        why = f"{edging.blocks} of {edging.block_mm:g} behind strips along edges"
        yield block_strip([edging.block_mm] * edging.blocks, why)


def edging_mm2(edging: BoardEdging) -> float:
    """Area of the blocks that is glued: to a member or the deck."""
    return edging.blocks * BLOCK_MM * edging.block_mm
