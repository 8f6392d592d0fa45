"""Make a cut tree good to saw, without moving a blank.

Waste is not cut up; what is left at the end of a piece is one offcut; and where a solver would first trim a
whole piece and then divide it, the division comes first: strips are ripped full length, then cross-cut
(common practice, no source). Neither the depth of the tree nor the place of any blank grows or changes.
"""

from __future__ import annotations

import itertools

import msgspec

from .piece import Piece


def tidy(piece: Piece, kerf: int, grow: tuple[bool, bool] = (True, True)) -> Piece:
    """``grow``: rips may become longer by it; cross-cuts may, and come before a rip."""
    if piece.blank is not None or piece.is_waste:
        return msgspec.structs.replace(piece, children=())
    kept = [tidy(c, kerf, grow) for c in piece.children]
    while kept[-1].is_waste:
        kept.pop()
    first = kept[0]
    if len(kept) == 1:
        if (first.right, first.top) == (piece.right, piece.top):
            return first
        trimmed_end = first.top == piece.top  # the cut that frees it runs across the sheet
        divided = sum(not c.is_waste for c in first.children) > 1
        if divided and first.ripped == trimmed_end and grow[0 if first.ripped else 1]:
            later = tuple(_stretched(c, piece, trimmed_end) for c in first.children)
            return tidy(msgspec.structs.replace(piece, children=later), kerf, grow)
    return msgspec.structs.replace(piece, children=(*kept, *_rest(piece, kept[-1], kerf)))


def _stretched(child: Piece, piece: Piece, along: bool) -> Piece:
    """The child with the end left on that was trimmed off its parent."""
    longer = (
        msgspec.structs.replace(child, right=piece.right)
        if along
        else msgspec.structs.replace(child, top=piece.top)
    )
    if child.is_waste or (child.children and child.ripped != along):
        return longer
    return msgspec.structs.replace(longer, children=(child,), blank=None)


def _rest(piece: Piece, last: Piece, kerf: int) -> tuple[Piece, ...]:
    """The offcut beyond the last child, if more than a kerf is left."""
    if last.right < piece.right:
        left = last.right + kerf
        return (Piece(left, piece.bottom, piece.right, piece.top),) if left < piece.right else ()
    bottom = last.top + kerf
    return (Piece(piece.left, bottom, piece.right, piece.top),) if bottom < piece.top else ()


def is_sound(piece: Piece, kerf: int) -> bool:
    """It can be sawn: children fill their parent across, lie in rising order, at least a kerf apart."""
    children = piece.children
    if not children:
        return piece.right > piece.left and piece.top > piece.bottom
    if piece.blank is not None or not all(is_sound(c, kerf) for c in children):
        return False
    if piece.ripped:
        spans = [(c.bottom, c.top) for c in children]
        start, end = piece.bottom, piece.top
    elif all(c.bottom == piece.bottom and c.top == piece.top for c in children):
        spans = [(c.left, c.right) for c in children]
        start, end = piece.left, piece.right
    else:
        return False
    exact = all(b[0] == a[1] + kerf for a, b in itertools.pairwise(spans))
    return exact and spans[0][0] == start and spans[-1][1] <= end
