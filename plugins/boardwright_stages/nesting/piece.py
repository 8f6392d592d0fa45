"""A sheet as a tree of pieces: each divided edge to edge by parallel cuts, in whole units of 0.01 mm.

Glossary
    piece     a rectangle of wood: the sheet, a strip ripped from it, a length cut from the strip
    blank     the rectangle a part is made from
    sound     the tree can be sawn: pieces in rising order, exactly one kerf (or more) between neighbours

What this does not know: which tree is good.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import msgspec

UNITS_PER_MM = 100


def units_up(mm: float) -> int:
    """Whole units, rounded up (sizes of parts, kerf, trim). Noise below 1e-6 mm is not rounded up."""
    return math.ceil(round(mm * UNITS_PER_MM, 4))


def units_down(mm: float) -> int:
    """Whole units, rounded down (sizes of stock)."""
    return math.floor(round(mm * UNITS_PER_MM, 4))


def mm(units: int) -> float:
    return units / UNITS_PER_MM


class Blank(msgspec.Struct, frozen=True, kw_only=True):
    """Equal blanks of several parts, as they lie on the sheet when not turned: ``length`` along the sheet.

    ``lies_turned``: the part's own length already lies across the sheet. ``parts`` are ids in name order.
    """

    length: int
    width: int
    may_turn: bool
    lies_turned: bool
    parts: tuple[str, ...]

    @property
    def ways(self) -> tuple[tuple[int, int], ...]:
        """Sizes it may have on the sheet."""
        if self.may_turn and self.length != self.width:
            return ((self.length, self.width), (self.width, self.length))
        return ((self.length, self.width),)

    def fits(self, length: int, width: int) -> bool:
        return any(x <= length and y <= width for x, y in self.ways)

    def held_by(self, areas: Sequence[Area]) -> Blank:
        """Itself, not to be turned where it would fit nowhere when turned: a rail on a bar."""
        turns = any(self.width <= a.length and self.length <= a.width for a in areas)
        lies = any(self.length <= a.length and self.width <= a.width for a in areas)
        return msgspec.structs.replace(self, may_turn=False) if lies and not turns else self


class Area(msgspec.Struct, frozen=True, kw_only=True):
    """The usable rectangle of one kind of sheet. ``quantity`` None: as many as needed."""

    kind: int
    length: int
    width: int
    quantity: int | None


class Piece(msgspec.Struct, frozen=True):
    left: int
    bottom: int
    right: int
    top: int
    children: tuple[Piece, ...] = ()
    blank: int | None = None

    @property
    def length(self) -> int:
        return self.right - self.left

    @property
    def width(self) -> int:
        return self.top - self.bottom

    @property
    def is_waste(self) -> bool:
        return self.blank is None and all(c.is_waste for c in self.children)

    @property
    def ripped(self) -> bool:
        """Children lie one above the other: the cuts run along the sheet's length."""
        return all(c.left == self.left and c.right == self.right for c in self.children)

    def blanks(self) -> Iterator[Piece]:
        """All pieces that are blanks, in the order of the tree."""
        if self.blank is not None:
            yield self
        for child in self.children:
            yield from child.blanks()

    def waste(self) -> Iterator[Piece]:
        """Largest pieces that hold no blank."""
        if self.is_waste:
            yield self
        else:
            for child in self.children:
                yield from child.waste()


class SheetTree(msgspec.Struct, frozen=True):
    """One sheet of a kind, cut up; the root is its usable area, from (0, 0)."""

    kind: int
    root: Piece

    @property
    def used(self) -> int:
        return sum(p.length * p.width for p in self.root.blanks())

    @property
    def offcut(self) -> int:
        """Area of the largest piece left over."""
        return max((p.length * p.width for p in self.root.waste()), default=0)
