"""Sheet after sheet: each is filled as well as the solver can, and cut as often as there are parts for it.

For long lists, and for mixes of several kinds of sheet: of all kinds the one that gives most for its price
is next, so free offcuts go first; as soon as one kind holds all the rest, the cheapest such ends the list.

Claim: work is bounded by ``solves``, not by a clock. The solver's tables grow with the number of units a
sheet is long (measured: 36 s at hundredths of a millimetre, 0.3 s at whole ones), so it works on a coarse
grid with sizes rounded up, and the pattern is laid out again with the true sizes.

What this does not know: the sheets to come; a full first sheet can leave an awkward rest.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import msgspec

from .piece import Area, Blank, Piece, SheetTree
from .shelves import shelves
from .solver import SetUp, SolverError, fill
from .tidy import is_sound, tidy

MOST_UNITS = 2500  # along a sheet: about a millimetre on the usual ones
MOST_KINDS = 60  # looked at for one sheet, the largest first


def filled(
    blanks: Sequence[Blank],
    areas: Sequence[Area],
    prices: Sequence[float],
    kerf: int,
    how: SetUp,
    solves: int,
) -> list[SheetTree]:
    """Sheets for all blanks; what is left when the solves are used up is cut in plain strips.

    Raises SolverError when a limited stock is used up before all blanks are placed.
    """
    left = [len(b.parts) for b in blanks]
    used: Counter[int] = Counter()
    sheets: list[SheetTree] = []
    while any(left) and solves > 0:
        offers = []
        for n, area in enumerate(areas):
            there = max(left) if area.quantity is None else area.quantity - used[area.kind]
            if there > 0 and solves > 0:
                solves -= 1
                root = _filled(blanks, left, area, kerf, how)
                if root is not None:
                    offers.append((n, root, there))
        if not offers:
            break
        n, root, there = _best(offers, left, blanks, prices)
        counts = Counter(p.blank for p in root.blanks())
        times = min(there, *(left[b] // c for b, c in counts.items() if b is not None))
        sheets += [SheetTree(areas[n].kind, root)] * times
        used[areas[n].kind] += times
        for b, c in counts.items():
            if b is not None:
                left[b] -= c * times
    return sheets + _rest(blanks, left, areas, used, kerf)


def _best(
    offers: Sequence[tuple[int, Piece, int]],
    left: Sequence[int],
    blanks: Sequence[Blank],
    prices: Sequence[float],
) -> tuple[int, Piece, int]:
    """The cheapest that ends the list, else the one that gives most area for its price."""
    waiting = sum(left)
    last = [o for o in offers if sum(1 for _ in o[1].blanks()) == waiting]
    if last:
        return min(last, key=lambda o: (prices[o[0]], o[0]))

    def dear(offer: tuple[int, Piece, int]) -> tuple[float, int, int]:
        area = sum(p.length * p.width for p in offer[1].blanks())
        return (prices[offer[0]] / area, -area, offer[0])

    return min(offers, key=dear)


def _filled(blanks: Sequence[Blank], left: Sequence[int], area: Area, kerf: int, how: SetUp) -> Piece | None:
    """The best pattern on one sheet, in true sizes; None when nothing fits."""
    fitting = [i for i, b in enumerate(blanks) if left[i] and b.fits(area.length, area.width)]
    chosen = sorted(fitting, key=lambda i: (-blanks[i].length * blanks[i].width, i))[:MOST_KINDS]
    if not chosen:
        return None
    unit = max(1, -(-max(area.length, area.width) // MOST_UNITS))
    coarse = [
        msgspec.structs.replace(
            blanks[i],
            length=-(-blanks[i].length // unit),
            width=-(-blanks[i].width // unit),
            parts=blanks[i].parts[: left[i]],
        )
        for i in chosen
    ]
    place = msgspec.structs.replace(area, length=area.length // unit, width=area.width // unit, quantity=1)
    fits = [n for n, b in enumerate(coarse) if b.fits(place.length, place.width)]
    try:
        if not fits:
            raise SolverError("nothing fits the coarse grid")
        found = fill([coarse[n] for n in fits], place, -(-kerf // unit), how)
        named = [chosen[n] for n in fits]
        root = tidy(relaid(found, place, area, named, blanks, kerf), kerf)
        if is_sound(root, kerf):
            return root
    except SolverError:
        pass  # one in plain strips will do
    some = [msgspec.structs.replace(blanks[i], parts=blanks[i].parts[: left[i]]) for i in chosen]
    first = shelves(some, [msgspec.structs.replace(area, quantity=None)], kerf)[0]
    return tidy(_named(first.root, chosen), kerf)


def _named(piece: Piece, names: Sequence[int]) -> Piece:
    children = tuple(_named(c, names) for c in piece.children)
    return msgspec.structs.replace(
        piece, children=children, blank=None if piece.blank is None else names[piece.blank]
    )


def _rest(
    blanks: Sequence[Blank], left: Sequence[int], areas: Sequence[Area], used: Counter[int], kerf: int
) -> list[SheetTree]:
    still = [i for i, n in enumerate(left) if n]
    if not still:
        return []
    some = [msgspec.structs.replace(blanks[i], parts=blanks[i].parts[: left[i]]) for i in still]
    there = [
        a if a.quantity is None else msgspec.structs.replace(a, quantity=a.quantity - used[a.kind])
        for a in areas
    ]
    try:
        cut = shelves(some, there, kerf)
    except (LookupError, StopIteration) as problem:
        raise SolverError("the limited sheets do not hold all") from problem
    return [SheetTree(s.kind, tidy(_named(s.root, still), kerf)) for s in cut]


# -- true sizes ------------------------------------------------------------------------------------------


def relaid(
    found: Piece, place: Area, area: Area, names: Sequence[int], blanks: Sequence[Blank], kerf: int
) -> Piece:
    """A pattern on a coarse grid with the true sizes of its blanks: everything moves to the lower left.

    Waste between blanks closes up; a blank smaller than its piece keeps one more trimming cut.
    """
    assert (found.length, found.width) == (place.length, place.width), "the pattern is of another sheet"
    lean = _Lean.of(found, names, blanks, kerf)
    if lean is None:
        raise SolverError("an empty pattern")
    if lean.length > area.length or lean.width > area.width:
        raise SolverError("the pattern grew")
    return lean.laid(0, 0, area.length, area.width, kerf)


class _Lean(msgspec.Struct, frozen=True):
    """What a piece needs at least."""

    length: int
    width: int
    ripped: bool
    children: tuple[_Lean, ...]
    blank: int | None

    @staticmethod
    def of(piece: Piece, names: Sequence[int], blanks: Sequence[Blank], kerf: int) -> _Lean | None:
        if piece.blank is not None:
            name = names[piece.blank]
            ways = blanks[name].ways
            upright = (piece.length > piece.width) == (ways[0][0] > ways[0][1])
            length, width = ways[0] if len(ways) == 1 or upright else ways[1]
            return _Lean(length, width, False, (), name)
        inside = [_Lean.of(c, names, blanks, kerf) for c in piece.children]
        kept = tuple(c for c in inside if c is not None)
        if not kept:
            return None
        if len(kept) == 1:
            return kept[0]
        between = kerf * (len(kept) - 1)
        if piece.ripped:
            return _Lean(max(c.length for c in kept), sum(c.width for c in kept) + between, True, kept, None)
        return _Lean(sum(c.length for c in kept) + between, max(c.width for c in kept), False, kept, None)

    def laid(self, left: int, bottom: int, right: int, top: int, kerf: int) -> Piece:
        """Itself in a box at least as large as it needs."""
        if self.blank is not None:
            return _trimmed(self.blank, self.length, self.width, left, bottom, right, top)
        children = []
        at = bottom if self.ripped else left
        for child in self.children:
            if self.ripped:
                children.append(child.laid(left, at, right, at + child.width, kerf))
                at += child.width + kerf
            else:
                children.append(child.laid(at, bottom, at + child.length, top, kerf))
                at += child.length + kerf
        return Piece(left, bottom, right, top, tuple(children))


def _trimmed(blank: int, length: int, width: int, left: int, bottom: int, right: int, top: int) -> Piece:
    """A blank freed from a box that may be longer and wider."""
    piece = Piece(left, bottom, left + length, bottom + width, (), blank)
    if bottom + width < top:
        piece = Piece(left, bottom, left + length, top, (piece,))
    if left + length < right:
        piece = Piece(left, bottom, right, top, (piece,))
    return piece
