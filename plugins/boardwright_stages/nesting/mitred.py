"""Bars whose parts have slanted ends, cut nose to tail.

Three ways compete: the plan with square cuts, its pieces put nose to tail; each piece into the fullest bar
that takes it; and the one-dimensional search on the lengths pieces have when every end is shared, what then
fits no bar moved on. The least price wins, then the fewest bars, then the longest offcut.

What this does not know: whether a cheaper plan exists, unless it meets the bound.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import msgspec
from msgspec.structs import replace

from boardwright_timber.model import Cut, CutPiece, CutSheet, Part, PlacedPart

from .lengths import cut_lengths
from .mitres import STEPS_PER_DEGREE, Laid, Room, Stick, nose_to_tail, saved_mm, stick_of
from .piece import Area, Piece, units_up
from .sawing import Sawn, Spot, laid_out
from .settings import CuttingSettings, StockSheet
from .shown import shown
from .solver import SolverError


class Bar(msgspec.Struct, frozen=True):
    """One bar of a kind of stock, and its sticks from the left."""

    kind: int
    laid: tuple[Laid, ...]

    @property
    def shared(self) -> int:
        """Cuts that make two ends at once."""
        return sum(laid.shared_mm > 0 for laid in self.laid)

    def spot(self, stock: StockSheet, settings: CuttingSettings, area: Area) -> Spot:
        """The bar with its pieces; a piece ends where the cut shared with the next begins."""
        kerf, left = units_up(settings.kerf_mm), 0
        pieces, sawn = [], {}
        for laid in self.laid:
            part, length = laid.stick.part, laid.stick.part.length_mm - laid.shared_mm
            right = left + units_up(length)
            pieces.append(Piece(left, 0, right, area.width, (), 0))
            sawn[left, 0] = Sawn(part.id, round(length, 6), part.width_mm, False)
            left = right + kerf
        if left < area.length:
            pieces.append(Piece(left, 0, area.length, area.width))
        return laid_out(Piece(0, 0, area.length, area.width, tuple(pieces)), stock, settings, sawn)

    def slanted(self, sheet: CutSheet, spot: Spot) -> CutSheet:
        """The sheet with its parts from long point to long point, and its shared cuts slanted."""
        lies = {p.left: laid for p, laid in zip(spot.parts, self.laid, strict=False)}
        cuts = list(_cuts(sheet, list(lies.items())))
        tree = None if sheet.tree is None else _tree(sheet.tree, lies)
        placed = tuple(
            PlacedPart(
                part=laid.stick.part.id,
                x_mm=at,
                y_mm=0.0,
                length_mm=laid.stick.part.length_mm,
                width_mm=laid.stick.part.width_mm,
                half_turn=laid.half_turn,
                rolled=laid.rolled,
            )
            for at, laid in lies.items()
        )
        return replace(
            sheet, parts=tuple(sorted(placed, key=lambda p: (p.part, p.x_mm))), cuts=tuple(cuts), tree=tree
        )

    def done(self) -> dict[int, frozenset[str]]:
        """Which ends of its sticks, as they are drawn, the saw has cut to their slant."""
        ready: dict[int, set[str]] = {laid.stick.number: set() for laid in self.laid}
        for before, after in zip(self.laid, self.laid[1:], strict=False):
            if before.shared_mm > 0:
                ready[before.stick.number].add("left" if before.half_turn else "right")
                ready[after.stick.number].add("right" if after.half_turn else "left")
        return {number: frozenset(sides) for number, sides in ready.items()}


def _tree(tree: CutPiece, lies: dict[float, Laid]) -> CutPiece:
    pieces = tuple(_tree(p, lies) if p.pieces else _whole(p, lies) for p in tree.pieces)
    return replace(tree, pieces=pieces)


def _whole(piece: CutPiece, lies: dict[float, Laid]) -> CutPiece:
    laid = lies.get(piece.x_mm)
    return piece if laid is None or not piece.part else replace(piece, length_mm=laid.stick.part.length_mm)


def _cuts(sheet: CutSheet, lies: Sequence[tuple[float, Laid]]) -> Iterator[Cut]:
    """Its cuts, those between pieces that share one slanted, with how to set the saw and lay the bar."""
    rolled, angle, slanted = False, 0, False
    frees = iter(lies)
    for cut in sheet.cuts:
        if cut.says.startswith("Trim"):
            yield cut
            continue
        at, laid = next(frees)
        part, end = laid.stick.part, laid.right
        if not laid.shared_mm:
            square = " Set the saw back to square." if angle else ""
            angle = 0
            says = cut.says.removesuffix(_STAYS) if slanted else cut.says
            yield replace(cut, says=f"{says}{_LONG if slanted else ''}{square}")
            slanted = False
            continue
        slanted = True
        turn = "Turn the bar over about its length. " if rolled != (end.lean_mm < 0) else ""
        rolled = end.lean_mm < 0
        kind, hundredths = end.kind
        set_ = f"{shown(hundredths / STEPS_PER_DEGREE)}° off square"
        how = (
            f"the blade tilted {set_} (what lies left of it longer below)"
            if kind == "bevel"
            else f"the saw turned {set_} (what lies left of it longer at its far edge)"
        )
        stays = " The saw stays so." if angle == hundredths else ""
        angle = hundredths
        far = round(at + part.length_mm, 6)
        yield replace(
            cut,
            at_mm=round(far - max(end.lean_mm, 0.0), 6),
            setting_mm=part.length_mm,
            slant="bevel" if kind == "bevel" else "mitre",
            lean_mm=round(end.lean_mm, 6),
            says=f"{turn}Cross-cut {'the bar' if cut.piece == 'sheet' else 'piece ' + cut.piece} with {how}, "
            f"{shown(part.length_mm)} mm from its left end, long point to long point: part {part.id}. "
            f"The same cut is the left end of the next piece.{stays}",
        )


_STAYS = " The setting stays."
_LONG = " Measure from the long point of its left end."


class Chained(msgspec.Struct, frozen=True):
    """``bound``: fewest bars possible, however ends are shared."""

    bars: tuple[Bar, ...]
    bound: int

    @property
    def shared(self) -> int:
        return sum(bar.shared for bar in self.bars)


def chained(
    plain: Sequence[tuple[int, Sequence[Part]]],
    areas: Sequence[Area],
    prices: Sequence[float],
    kerf_mm: float,
) -> Chained | None:
    """Bars cut nose to tail from the ``plain`` plan's (kind of stock, parts); None where no two ends are
    alike, or sharing gives nothing."""
    bars: list[tuple[int, list[Stick]]] = []
    number = 0
    for kind, parts in plain:
        bars.append((kind, [stick_of(number + n, part) for n, part in enumerate(parts)]))
        number += len(parts)
    sticks = [stick for _, bar in bars for stick in bar]
    alike = Counter(e.kind for s in sticks for e in (s.left, s.right) if saved_mm(e, kerf_mm) > 0)
    if max(alike.values(), default=0) < 2:
        return None
    place = {a.kind: (a, p) for a, p in zip(areas, prices, strict=True)}
    room = Room(kerf_mm)
    ways = [bars, *_anew(sticks, areas, prices, room)]
    best = min(ways, key=lambda way: _worth(way, place, room))
    laid = tuple(Bar(kind, nose_to_tail(bar, kerf_mm)) for kind, bar in best)
    found = Chained(laid, _bound(sticks, areas, room))
    return found if found.shared else None


def _worth(
    bars: Sequence[tuple[int, Sequence[Stick]]], place: dict[int, tuple[Area, float]], room: Room
) -> tuple[float, int, int]:
    left = max(place[kind][0].length - room.of(bar) for kind, bar in bars)
    return round(sum(place[kind][1] for kind, _ in bars), 6), len(bars), -left


def _bound(sticks: Sequence[Stick], areas: Sequence[Area], room: Room) -> int:
    kerf = units_up(room.kerf_mm)
    longest = max(a.length for a in areas)
    wood = Counter(room.fewest(s) for s in sticks)
    by_sum = -(-sum(length * n for length, n in wood.items()) // (longest + kerf))
    try:
        lengths = [(length - kerf, n) for length, n in sorted(wood.items(), reverse=True)]
        return max(1, by_sum, cut_lengths(lengths, longest, kerf).bound)
    except SolverError:
        return max(1, by_sum)


def _anew(
    sticks: Sequence[Stick], areas: Sequence[Area], prices: Sequence[float], room: Room
) -> Iterator[list[tuple[int, list[Stick]]]]:
    limited = sorted((a for a in areas if a.quantity is not None), key=lambda a: (a.length, a.kind))
    endless = [a for a in areas if a.quantity is None]
    for main in endless:
        others = [a for a in endless if a is not main]
        for few in ([], limited) if limited else ([],):
            yield _fitted(sticks, [], [*few, main, *others], room)
        if all(room.of([s]) <= main.length + units_up(room.kerf_mm) for s in sticks):
            try:
                yield _fitted([], _by_search(sticks, main, room), [main], room)
            except SolverError:
                continue  # the others stand


def _by_search(sticks: Sequence[Stick], main: Area, room: Room) -> list[tuple[int, list[Stick]]]:
    kerf = units_up(room.kerf_mm)
    alike: dict[int, list[Stick]] = {}
    for stick in sticks:
        alike.setdefault(room.shared(stick) - kerf, []).append(stick)
    lengths = sorted(((length, len(group)) for length, group in alike.items()), reverse=True)
    return [
        (main.kind, [alike[lengths[i][0]].pop() for i in bar])
        for bar in cut_lengths(lengths, main.length, kerf).bars
    ]


def _fitted(
    loose: Sequence[Stick], begun: list[tuple[int, list[Stick]]], areas: Sequence[Area], room: Room
) -> list[tuple[int, list[Stick]]]:
    """Every stick, the longest first, into the fullest bar that takes it; of bars ``begun`` that hold too
    much the shortest sticks are taken out first."""
    whole = {a.kind: a.length + units_up(room.kerf_mm) for a in areas}
    bars = begun
    waiting = list(loose)
    for kind, bar in bars:
        while room.of(bar) > whole[kind]:
            shortest = min(bar, key=lambda s: (room.shared(s), s.number))
            bar.remove(shortest)
            waiting.append(shortest)
    for stick in sorted(waiting, key=lambda s: (-s.part.length_mm, s.part.id, s.number)):
        takes = []
        for n, (kind, bar) in enumerate(bars):
            if sum(map(room.shared, bar)) + room.shared(stick) <= whole[kind]:
                left = whole[kind] - room.of([*bar, stick])
                takes += [(left, n)] if left >= 0 else []
        if takes:
            bars[min(takes)[1]][1].append(stick)
        else:
            bars.append((_opened(stick, bars, areas, room), [stick]))
    return [bar for bar in bars if bar[1]]


def _opened(
    stick: Stick, bars: Sequence[tuple[int, Sequence[Stick]]], areas: Sequence[Area], room: Room
) -> int:
    used = Counter(kind for kind, _ in bars)
    for area in areas:
        there = area.quantity is None or used[area.kind] < area.quantity
        if there and room.of([stick]) <= area.length + units_up(room.kerf_mm):
            return area.kind
    raise LookupError(f"no bar left for {stick.part.id}")
