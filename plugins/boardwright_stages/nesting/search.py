"""The best cutting found for one material and thickness.

Strips first, then the solver in several set-ups. The least price wins (with one kind of sheet: the fewest
sheets), then the fewest sheets, then the largest offcut, then the fewest pieces to handle. The search stops
early when it meets the lower bound.

What this does not know: whether a better cutting exists, unless it meets the bound.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import msgspec

from .piece import Area, Blank, Piece, SheetTree
from .shelves import shelves
from .solver import SetUp, SolverError, solve
from .tidy import is_sound, tidy

# Work is counted as copies × kinds × weight of the queue; 60 000 is about two seconds on an ordinary machine.
EFFORT = 60_000
MOST_EFFORT = 300_000  # of the first set-up; above it the strips must do
WEIGHTS = {16: 1, 128: 2, 1024: 6}


class Found(msgspec.Struct, frozen=True):
    """``failures``: set-ups of the solver that gave nothing, and why."""

    sheets: tuple[SheetTree, ...]
    failures: tuple[str, ...] = ()


def search(
    blanks: Sequence[Blank],
    areas: Sequence[Area],
    prices: Sequence[float],
    bound: int,
    kerf: int,
    stages: int,
) -> Found:
    """The best cutting of all blanks. Each must fit an endless area; ``prices`` in the order of ``areas``."""
    price_of = {a.kind: p for a, p in zip(areas, prices, strict=True)}
    failures: list[str] = []
    best: list[SheetTree] | None = None
    for taken, main in _strategies(blanks, areas, kerf):
        for rest in _cuttings(_without(blanks, taken), main, bound - len(taken), kerf, stages, failures):
            sheets = [*taken, *rest]
            if best is None or _worth(sheets, price_of) < _worth(best, price_of):
                best = sheets
    assert best is not None, "the strips place every blank that fits an endless area"
    in_order = sorted(best, key=lambda s: (s.kind, -s.used))
    return Found(tuple(in_order), tuple(failures))


def _worth(sheets: Sequence[SheetTree], price_of: dict[int, float]) -> tuple[float, int, int, int]:
    """Less is better."""
    price = sum(price_of[s.kind] for s in sheets)
    offcut = max((s.offcut for s in sheets), default=0)
    return (price, len(sheets), -offcut, sum(_pieces(s.root) for s in sheets))


def _pieces(piece: Piece) -> int:
    return 1 + sum(_pieces(c) for c in piece.children)


def _strategies(
    blanks: Sequence[Blank], areas: Sequence[Area], kerf: int
) -> Iterator[tuple[list[SheetTree], Area]]:
    """Sheets already cut, and the kind of sheet for the rest: limited kinds first, or not at all."""
    limited = sorted((a for a in areas if a.quantity is not None), key=lambda a: (a.length * a.width, a.kind))
    endless = [a for a in areas if a.quantity is None]
    for main in endless:
        others = [a for a in endless if a is not main]
        for few in ([], limited) if limited else ([],):
            cut = shelves(blanks, [*few, main, *others], kerf)
            yield [_finished(s, kerf) for s in cut if s.kind != main.kind], main


def _without(blanks: Sequence[Blank], taken: Sequence[SheetTree]) -> list[tuple[int, Blank]]:
    """Blanks still to be cut, with their places in the list; which copy is which does not matter yet."""
    gone = Counter(p.blank for s in taken for p in s.root.blanks())
    return [
        (i, msgspec.structs.replace(b, parts=b.parts[gone[i] :]))
        for i, b in enumerate(blanks)
        if len(b.parts) > gone[i]
    ]


def _cuttings(
    numbered: Sequence[tuple[int, Blank]],
    area: Area,
    enough: int,
    kerf: int,
    stages: int,
    failures: list[str],
) -> Iterator[list[SheetTree]]:
    """Cuttings of all blanks from one kind of sheet, from several set-ups."""
    blanks = [b for _, b in numbered]
    numbers = [i for i, _ in numbered]
    if not blanks:
        yield []
        return
    whole = msgspec.structs.replace(area, quantity=None)
    best = shelves(blanks, [whole], kerf)
    yield [_finished(_numbered(s, numbers), kerf) for s in best]
    fewest = len(best)
    effort = sum(len(b.parts) for b in blanks) * len(blanks)
    spent = 0
    for n, how in enumerate(_set_ups(stages)):
        spent += effort * WEIGHTS[how.queue]
        if spent > (MOST_EFFORT if n == 0 else EFFORT) or (n > 1 and fewest <= enough):
            return
        try:
            sheets = [_finished(s, kerf) for s in solve(blanks, area, kerf, how)]
            if not all(is_sound(s.root, kerf) for s in sheets):
                raise SolverError("its cuts cannot be sawn")
        except SolverError as error:
            failures.append(f"{how.stages or 'any'} stages, {how.first.lower()} first: {error}")
            continue
        fewest = min(fewest, len(sheets))
        yield [_numbered(s, numbers) for s in sheets]


def _set_ups(stages: int) -> Iterator[SetUp]:
    most = stages or 3
    yield SetUp(most, "Any", 16)
    yield SetUp(most, "Horizontal", 16)
    yield SetUp(most, "Any", 128)
    yield SetUp(most, "Horizontal", 128)
    if not stages:
        yield SetUp(0, "Any", 16)
        yield SetUp(0, "Any", 128)
    yield SetUp(most, "Any", 1024)


def _finished(sheet: SheetTree, kerf: int) -> SheetTree:
    return SheetTree(sheet.kind, tidy(sheet.root, kerf))


def _numbered(sheet: SheetTree, numbers: Sequence[int]) -> SheetTree:
    """The tree with the places of its blanks in the full list."""
    return SheetTree(sheet.kind, _renumbered(sheet.root, numbers))


def _renumbered(piece: Piece, numbers: Sequence[int]) -> Piece:
    blank = None if piece.blank is None else numbers[piece.blank]
    return msgspec.structs.replace(
        piece, children=tuple(_renumbered(c, numbers) for c in piece.children), blank=blank
    )
