"""The best cutting found for one material and thickness.

Plain strips first, then strips cut like bars, then the solver in several set-ups, then sheet after sheet
with the kinds of sheet there are. The least price wins (with one kind of sheet: the fewest sheets), then the
fewest sheets, then the fewest cuts that only shave, then the fewest settings of the fence, then the largest
offcut, then the fewest pieces to handle. A cutting the saw cannot make is worse than any it can.
The search stops early when it meets the lower bound.

What this does not know: whether a better cutting exists, unless it meets the bound.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Literal

import msgspec

from .filling import filled
from .lengths import one_row, strips
from .limits import Limits, beyond, shavings
from .piece import Area, Blank, Piece, SheetTree
from .shelves import shelves
from .solver import SetUp, SolverError, solve
from .tidy import is_sound, tidy

# Work in microseconds on an ordinary machine, estimated from copies and kinds (measured on lists of 20 to 300
# parts); a set-up that would go beyond the sum is left out.
EFFORT = 1_500_000
FILLS = 40  # sheets filled one after the other, before plain strips take the rest


type Worth = tuple[float, float, int, int, int, int, int]


class Found(msgspec.Struct, frozen=True):
    """``bound``: fewest sheets possible, raised where the search proved more than it was given.
    ``failures``: set-ups of the solver that gave nothing, and why."""

    sheets: tuple[SheetTree, ...]
    bound: int = 0
    failures: tuple[str, ...] = ()


def search(
    blanks: Sequence[Blank],
    areas: Sequence[Area],
    prices: Sequence[float],
    bound: int,
    limits: Limits,
    stages: int,
) -> Found:
    """The best cutting of all blanks. Each must fit an endless area; ``prices`` in the order of ``areas``.

    All sizes are divided by what they share: the same problem, and less work for the solver.
    """
    sizes = [s for b in blanks for s in (b.length, b.width)] + [s for a in areas for s in (a.length, a.width)]
    shared = math.gcd(limits.kerf, *sizes)
    small = [msgspec.structs.replace(b, length=b.length // shared, width=b.width // shared) for b in blanks]
    places = [msgspec.structs.replace(a, length=a.length // shared, width=a.width // shared) for a in areas]
    found = _search(small, places, prices, bound, limits.shrunk(shared), stages)
    sheets = tuple(SheetTree(s.kind, _grown(s.root, shared)) for s in found.sheets)
    return msgspec.structs.replace(found, sheets=sheets)


def _grown(piece: Piece, by: int) -> Piece:
    return Piece(
        piece.left * by,
        piece.bottom * by,
        piece.right * by,
        piece.top * by,
        tuple(_grown(c, by) for c in piece.children),
        piece.blank,
    )


def _search(
    blanks: Sequence[Blank],
    areas: Sequence[Area],
    prices: Sequence[float],
    bound: int,
    limits: Limits,
    stages: int,
) -> Found:
    kerf = limits.kerf
    price_of = {a.kind: p for a, p in zip(areas, prices, strict=True)}
    failures: list[str] = []
    best: list[SheetTree] = []
    least: Worth | None = None

    def look_at(sheets: list[SheetTree]) -> None:
        nonlocal best, least
        worth = _worth(sheets, price_of, limits)
        if least is None or worth < least:
            best, least = sheets, worth

    if len(areas) == 1 and one_row(blanks, areas[0], kerf):
        bound = max(bound, _row_bound(blanks, areas[0], kerf))
    for taken, main in _strategies(blanks, areas, limits):
        rest = _without(blanks, taken)
        for found in _ripped(rest, main, limits, failures):
            look_at([*taken, *found])
    assert least is not None, "the strips place every blank that fits an endless area"
    for sheets in _searched(blanks, _main(areas, price_of), bound, limits, stages, failures):
        look_at(sheets)
    for sheets in _one_by_one(blanks, areas, prices, len(best) <= bound, limits, stages, failures):
        look_at(sheets)
    best = [_smaller(s, areas, price_of, Counter(t.kind for t in best), limits) for s in best]
    in_order = sorted(best, key=lambda s: (s.kind, -s.used))
    return Found(tuple(in_order), bound, tuple(failures))


def _row_bound(blanks: Sequence[Blank], area: Area, kerf: int) -> int:
    try:
        return strips(blanks, area, kerf)[1]
    except SolverError:
        return 0


def _smaller(
    sheet: SheetTree, areas: Sequence[Area], price_of: dict[int, float], used: Counter[int], limits: Limits
) -> SheetTree:
    """The same tree on a cheaper kind of sheet, when all its blanks lie within one that is there."""
    right = max(p.right for p in sheet.root.blanks())
    top = max(p.top for p in sheet.root.blanks())
    for area in sorted(areas, key=lambda a: (price_of[a.kind], a.length * a.width, a.kind)):
        if price_of[area.kind] >= price_of[sheet.kind]:
            return sheet
        there = area.quantity is None or used[area.kind] < area.quantity
        if there and right <= area.length and top <= area.width:
            root = _clipped(sheet.root, area.length, area.width)
            if root is not None and is_sound(tidy(root, limits.kerf, limits.grow), limits.kerf):
                used[area.kind] += 1
                used[sheet.kind] -= 1
                return SheetTree(area.kind, tidy(root, limits.kerf, limits.grow))
    return sheet


def _clipped(piece: Piece, length: int, width: int) -> Piece | None:
    """What lies within a smaller sheet; blanks are never clipped."""
    if piece.left >= length or piece.bottom >= width:
        return None
    children = tuple(c for c in (_clipped(p, length, width) for p in piece.children) if c is not None)
    return msgspec.structs.replace(
        piece, right=min(piece.right, length), top=min(piece.top, width), children=children
    )


def _worth(sheets: Sequence[SheetTree], price_of: dict[int, float], limits: Limits) -> Worth:
    """Less is better."""
    price = round(sum(price_of[s.kind] for s in sheets), 6)
    offcut = max((s.offcut for s in sheets), default=0)
    settings = sum(len(set(_settings(s.root))) for s in sheets)
    shaved = sum(shavings(s.root, limits.kerf) for s in sheets)
    impossible = sum(beyond(s.root, limits) for s in sheets)
    return (impossible, price, len(sheets), shaved, settings, -offcut, sum(_pieces(s.root) for s in sheets))


def _settings(piece: Piece) -> Iterator[tuple[bool, int]]:
    """Widths and lengths the fence is set to."""
    for child in piece.children:
        if not child.is_waste:
            yield (piece.ripped, child.width if piece.ripped else child.length)
        yield from _settings(child)


def _pieces(piece: Piece) -> int:
    return 1 + sum(_pieces(c) for c in piece.children)


def _strategies(
    blanks: Sequence[Blank], areas: Sequence[Area], limits: Limits
) -> Iterator[tuple[list[SheetTree], Area]]:
    """Sheets already cut, and the kind of sheet for the rest: limited kinds first, or not at all."""
    limited = sorted((a for a in areas if a.quantity is not None), key=lambda a: (a.length * a.width, a.kind))
    endless = [a for a in areas if a.quantity is None]
    for main in endless:
        others = [a for a in endless if a is not main]
        for few in ([], limited) if limited else ([],):
            cut = shelves(blanks, [*few, main, *others], limits.kerf)
            yield [_finished(s, limits) for s in cut if s.kind != main.kind], main


def _without(blanks: Sequence[Blank], taken: Sequence[SheetTree]) -> list[tuple[int, Blank]]:
    """Blanks still to be cut, with their places in the list; which copy is which does not matter yet."""
    gone = Counter(p.blank for s in taken for p in s.root.blanks())
    return [
        (i, msgspec.structs.replace(b, parts=b.parts[gone[i] :]))
        for i, b in enumerate(blanks)
        if len(b.parts) > gone[i]
    ]


def _ripped(
    numbered: Sequence[tuple[int, Blank]], area: Area, limits: Limits, failures: list[str]
) -> Iterator[list[SheetTree]]:
    """All blanks from one kind of sheet in plain strips, and in strips cut like bars."""
    blanks = [b for _, b in numbered]
    numbers = [i for i, _ in numbered]
    if not blanks:
        yield []
        return
    whole = msgspec.structs.replace(area, quantity=None)
    yield [_finished(_numbered(s, numbers), limits) for s in shelves(blanks, [whole], limits.kerf)]
    try:
        yield [_finished(_numbered(s, numbers), limits) for s in strips(blanks, whole, limits.kerf)[0]]
    except SolverError as error:
        failures.append(f"strips: {error}")


def _main(areas: Sequence[Area], price_of: dict[int, float]) -> Area | None:
    """The endless kind that gives most area for its price; None when every kind is limited."""
    endless = [a for a in areas if a.quantity is None]
    return min(endless, key=lambda a: (price_of[a.kind] / (a.length * a.width), a.kind), default=None)


def _searched(
    blanks: Sequence[Blank],
    area: Area | None,
    enough: int,
    limits: Limits,
    stages: int,
    failures: list[str],
) -> Iterator[list[SheetTree]]:
    """Cuttings of all blanks from one kind of sheet, from several set-ups of the solver."""
    if area is None or not all(b.fits(area.length, area.width) for b in blanks):
        return
    kerf = limits.kerf
    fewest = sum(len(b.parts) for b in blanks)
    for n, how in enumerate(_affordable(blanks, area, limits, stages)):
        if n > 1 and not _limited(area, limits) and fewest <= enough:
            return
        try:
            sheets = [_finished(s, limits) for s in solve(blanks, area, kerf, how)]
            if not all(is_sound(s.root, kerf) for s in sheets):
                raise SolverError("its cuts cannot be sawn")
        except SolverError as error:
            failures.append(f"{how.called}: {error}")
            continue
        fewest = min(fewest, len(sheets))
        yield sheets


def _one_by_one(
    blanks: Sequence[Blank],
    areas: Sequence[Area],
    prices: Sequence[float],
    enough: bool,
    limits: Limits,
    stages: int,
    failures: list[str],
) -> Iterator[list[SheetTree]]:
    """Sheet after sheet, from every kind there is and from as many of each; ``enough``: none is better."""
    if enough and len(areas) == 1:
        return
    kerf = limits.kerf
    for queue in _queues(sum(len(b.parts) for b in blanks), len(areas)):
        how = SetUp(min(stages, 3) or 3, "Horizontal" if limits.rips_first else "Any", queue)
        try:
            sheets = [_finished(s, limits) for s in filled(blanks, areas, prices, kerf, how, FILLS)]
            if not all(is_sound(s.root, kerf) for s in sheets):
                raise SolverError("its cuts cannot be sawn")
        except SolverError as error:
            failures.append(f"one by one, {how.called}: {error}")
            continue
        yield sheets


def _queues(copies: int, kinds: int) -> tuple[int, ...]:
    """Queues tried one by one: both on short lists, the longer on middling ones of one kind of sheet."""
    if copies <= 150:
        return (16, 4)
    return (16,) if copies <= 250 and kinds == 1 else (4,)


def _limited(area: Area, limits: Limits) -> bool:
    """The saw does not reach along or across this sheet."""
    return 0 < limits.longest_rip < area.length or 0 < limits.longest_cross_cut < area.width


def _affordable(blanks: Sequence[Blank], area: Area, limits: Limits, stages: int) -> Iterator[SetUp]:
    """Set-ups whose work stays within the sum."""
    copies = sum(len(b.parts) for b in blanks)
    left = EFFORT
    for how in _set_ups(area, limits, stages):
        work = copies * len(blanks) * (10 + 2 * how.queue)
        if work <= left:
            left -= work
            yield how


def _set_ups(area: Area, limits: Limits, stages: int) -> Iterator[SetUp]:
    most = min(stages, 3) or 3
    either: Literal["Horizontal", "Any"] = "Horizontal" if limits.rips_first else "Any"
    if 0 < limits.longest_rip < area.length:  # cross-cut first, into lengths that can be ripped
        yield SetUp(most, "Vertical", 16, limits.longest_rip)
        yield SetUp(most, "Vertical", 128, limits.longest_rip)
    if 0 < limits.longest_cross_cut < area.width:
        yield SetUp(most, "Horizontal", 16, limits.longest_cross_cut)
        yield SetUp(most, "Horizontal", 128, limits.longest_cross_cut)
    for queue in (16, 128):
        yield SetUp(most, either, queue)
        yield SetUp(most, "Horizontal", queue)
    if not stages:
        yield SetUp(0, either, 16)
        yield SetUp(0, either, 128)
    yield SetUp(most, either, 1024)
    yield SetUp(most, either, 4)


def _finished(sheet: SheetTree, limits: Limits) -> SheetTree:
    return SheetTree(sheet.kind, tidy(sheet.root, limits.kerf, limits.grow))


def _numbered(sheet: SheetTree, numbers: Sequence[int]) -> SheetTree:
    """The tree with the places of its blanks in the full list."""
    return SheetTree(sheet.kind, _renumbered(sheet.root, numbers))


def _renumbered(piece: Piece, numbers: Sequence[int]) -> Piece:
    blank = None if piece.blank is None else numbers[piece.blank]
    return msgspec.structs.replace(
        piece, children=tuple(_renumbered(c, numbers) for c in piece.children), blank=blank
    )
