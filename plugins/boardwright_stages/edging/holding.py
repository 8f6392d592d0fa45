"""What a strip is screwed to.

Claim: from INSET_MM off each end of every length, as far apart as the setting (but for ends of members, which
are where they are); into the face of a member where one stands behind (or less than PACKED_MM off: pack it),
else into the end of a joist near that place; else into a block, upright on a member set back no farther than
the block is thick (a chord behind a curve, a joist that ends short of the edge), or flat below the deck.
Where none of these is there is no screw, and that is told. Two screws one above the other where the wood is
TWO_MM high, else one in its middle. Common practice, no source.

What this does not know: bolts, wire holes, legs and screws of the frame that stand just there: move a screw
aside; how well a screw holds in the end of ply (published rules allow it no load in withdrawal there): glue
it; sides of two skins, whose blocks it does not seek.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from boardwright_timber.geometry import path_length
from boardwright_timber.model import EdgeHold, EdgePiece, HoldKind

from ..hardware.blocking import BLOCK_MM
from ..hardware.screwing import SCREW_LENGTHS_MM
from .behind import AGAINST_MM, Behind, Wood

INSET_MM = 20.0
FACE_CLEAR_MM = 6.0
TWO_MM = 50.0
EDGE_MM = 15.0
PACKED_MM = 6.0  # a gap too thin for a block
BELOW_POINT_MM = 1.0  # of wood left before a screw's point comes out


class Screwing(NamedTuple):
    """Greatest distance along, the strip's thickness, a screw's diameter, a block's length."""

    spacing_mm: float
    thick_mm: float
    diameter_mm: float
    block_mm: float


def holds(pieces: Sequence[EdgePiece], wood: Behind, how: Screwing) -> tuple[EdgeHold, ...]:
    found: dict[float, EdgeHold] = {}
    for piece in pieces:
        for hold in _of(piece, wood, how):
            found.setdefault(hold.at_mm, hold)
    return tuple(found[at] for at in sorted(found))


def _of(piece: EdgePiece, wood: Behind, how: Screwing) -> Iterator[EdgeHold]:
    long = path_length(piece.inner)
    inset = min(INSET_MM, long / 4)
    gaps = max(1, math.ceil((long - 2 * inset) / how.spacing_mm - 1e-9))
    apart = (long - 2 * inset) / gaps
    for n in range(gaps + 1):
        at = round(piece.from_mm + inset + n * apart, 3)
        near = apart / 2 if 0 < n < gaps else min(2 * INSET_MM, apart / 2)
        face, tip = wood.face_at(at, FACE_CLEAR_MM), wood.tip_near(at, near)
        ends = piece.from_mm + FACE_CLEAR_MM, piece.from_mm + long - FACE_CLEAR_MM
        if tip and not ends[0] <= tip.middle_mm <= ends[1]:
            tip = None
        back = wood.set_back(at, BLOCK_MM)
        if face:
            yield _hold(HoldKind.FACE, at, (face.bottom_mm, face.top_mm), how, face.thick_mm, face.name)
        elif tip and tip.gap_mm <= AGAINST_MM:
            middle, into = round(tip.middle_mm, 3), tip.wood
            yield _hold(HoldKind.END, middle, (into.bottom_mm, into.top_mm), how, BLOCK_MM, into.name)
        elif back and back[1] < PACKED_MM:
            into, gap = back
            most = gap + into.thick_mm
            yield _hold(HoldKind.FACE, at, (into.bottom_mm, into.top_mm), how, most, into.name)
        elif back:
            yield _on_block(at, back[0], how)
        elif tip:
            yield _on_block(round(tip.middle_mm, 3), tip.wood, how)
        elif wood.has_deck(at):
            yield _hold(HoldKind.UNDER, at, (-BLOCK_MM, 0.0), how, BLOCK_MM, "")


def _on_block(at: float, into: Wood, how: Screwing) -> EdgeHold:
    low = max(into.top_mm - how.block_mm, into.bottom_mm)
    return _hold(HoldKind.UPRIGHT, at, (low, into.top_mm), how, BLOCK_MM, into.name)


def _hold(
    kind: HoldKind, at: float, heights: tuple[float, float], how: Screwing, into_mm: float, on: str
) -> EdgeHold:
    """The longest screw whose point stays in the wood."""
    most = how.thick_mm + into_mm - BELOW_POINT_MM
    length = next((n for n in reversed(SCREW_LENGTHS_MM) if n <= most), SCREW_LENGTHS_MM[0])
    bottom, top = heights
    high = (top - EDGE_MM, bottom + EDGE_MM) if top - bottom >= TWO_MM else ((top + bottom) / 2,)
    return EdgeHold(
        kind=kind,
        at_mm=at,
        heights_mm=tuple(round(z, 3) for z in high),
        screw=(how.diameter_mm, float(length)),
        on=on,
    )
