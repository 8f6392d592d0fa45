"""What a saw cannot do: cuts too long for its rail, pieces too small to be held, shavings.

Glossary
    beyond    cuts longer than the saw reaches, and pieces sawn that are smaller than can be held
    shaving   a cut that takes off less than the blade is wide

What this does not know: the trims; they are made by moving the guide along.
"""

from __future__ import annotations

import msgspec

from .piece import Piece


class Limits(msgspec.Struct, frozen=True, kw_only=True):
    """Whole units, as the tree counts them; 0: no limit. ``rips_first``: strips before all."""

    kerf: int
    longest_rip: int = 0
    longest_cross_cut: int = 0
    smallest: int = 0
    rips_first: bool = False

    @property
    def grow(self) -> tuple[bool, bool]:
        """Whether tidying may make rips longer, and cross-cuts longer and earlier."""
        return not self.longest_rip, not (self.longest_cross_cut or self.rips_first)

    def shrunk(self, by: int) -> Limits:
        """The same in larger units: no longer cut and no smaller piece slips through."""
        return Limits(
            kerf=self.kerf // by,
            longest_rip=self.longest_rip and max(1, self.longest_rip // by),
            longest_cross_cut=self.longest_cross_cut and max(1, self.longest_cross_cut // by),
            smallest=-(-self.smallest // by),
            rips_first=self.rips_first,
        )


def beyond(piece: Piece, limits: Limits) -> int:
    """How many cuts are too long, and how many pieces with a blank in them too small."""
    if not piece.children:
        return 0
    most = limits.longest_rip if piece.ripped else limits.longest_cross_cut
    last = piece.children[-1]
    ends = last.top == piece.top if piece.ripped else last.right == piece.right
    cuts = len(piece.children) - (1 if ends else 0)
    too_long = cuts if most and (piece.length if piece.ripped else piece.width) > most else 0
    too_small = sum(min(c.length, c.width) < limits.smallest for c in piece.children if not c.is_waste)
    return too_long + too_small + sum(beyond(c, limits) for c in piece.children)


def shavings(piece: Piece, kerf: int) -> int:
    """Cuts within a piece that take off less than the blade is wide."""
    if not piece.children:
        return 0
    last = piece.children[-1]
    left = piece.top - last.top if piece.ripped else piece.right - last.right
    return (0 < left < kerf) + sum(shavings(c, kerf) for c in piece.children)
