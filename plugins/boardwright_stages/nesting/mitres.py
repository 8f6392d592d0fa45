"""Slanted ends of parts cut from bars, and how pieces lie nose to tail: two ends alike share one cut.

Claim: the room a set of pieces needs on a bar is the least there is when only ends of one kind and angle
share a cut. Pieces are linked by their ends into runs (Euler: as many ends as can be paired are paired; a run
closed into a ring is opened where least is lost). Any piece may be turned end for end and rolled over.

Glossary
    bevel    an end cut with the blade tilted: slanted through the thickness
    mitre    an end cut with the saw turned: slanted across the width
    lean     how much further along the bar the end lies at its far side (lower face, upper edge) than at its
             near side (upper face, lower edge)
    run      the lean without its sign: what a slanted end takes of a bar beyond its short point
    rolled   turned over about its length: the drawn face lies below

What this does not know: ends slanted both ways at once, and ends that are no straight line; they are cut
square and shaped afterwards.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import Literal

import msgspec

from boardwright_timber.model import Part

from .piece import units_down, units_up

STRAIGHT_MM = 0.05
STEPS_PER_DEGREE = 100  # ends whose angles agree to this are cut as one

type Kind = tuple[str, int]  # bevel or mitre, and its angle in hundredths of a degree
SQUARE: Kind = ("", 0)


class End(msgspec.Struct, frozen=True):
    """``across_mm``: what it is slanted through, the thickness or the width."""

    kind: Kind
    lean_mm: float
    across_mm: float

    def seen(self, half_turn: bool, rolled: bool) -> End:
        """The end of a piece turned end for end, rolled over, or both."""
        lean = self.lean_mm
        if half_turn and self.kind[0] == "bevel":
            lean = -lean
        return End(self.kind, -lean if rolled else lean, self.across_mm)


SQUARE_END = End(SQUARE, 0.0, 1.0)


class Stick(msgspec.Struct, frozen=True):
    """One part, and its two ends as it is drawn; ``number`` tells copies apart."""

    number: int
    part: Part
    left: End
    right: End

    def ends(self, half_turn: bool, rolled: bool) -> tuple[End, End]:
        one, two = (self.right, self.left) if half_turn else (self.left, self.right)
        return one.seen(half_turn, rolled), two.seen(half_turn, rolled)


class Laid(msgspec.Struct, frozen=True):
    """A stick as it lies; ``shared_mm``: how much nearer the next one lies than long point to long point and
    a kerf, 0 where the two share no slanted cut."""

    stick: Stick
    half_turn: bool
    rolled: bool
    shared_mm: float = 0.0

    @property
    def right(self) -> End:
        return self.stick.ends(self.half_turn, self.rolled)[1]


def stick_of(number: int, part: Part) -> Stick:
    """Raises nothing: an end that is no plain bevel or mitre counts as square."""
    sides = _mitred_sides(part)
    ends = []
    for bevel, mitre, sign in (
        (part.left_bevel_deg, sides[0], 1),
        (part.right_bevel_deg, sides[1], -1),
    ):
        run = part.thickness_mm * math.tan(math.radians(bevel))
        if abs(run) > STRAIGHT_MM and abs(mitre) <= STRAIGHT_MM:
            ends.append(End(("bevel", _hundredths(abs(bevel))), sign * run, part.thickness_mm))
        elif abs(mitre) > STRAIGHT_MM and abs(run) <= STRAIGHT_MM:
            angle = math.degrees(math.atan2(abs(mitre), part.width_mm))
            ends.append(End(("mitre", _hundredths(angle)), mitre, part.width_mm))
        else:
            ends.append(SQUARE_END)
    return Stick(number, part, *ends)


def _mitred_sides(part: Part) -> tuple[float, float]:
    """Lean of the left and the right side of a profile with four corners, two on either edge; else 0, 0."""
    low = sorted(x for x, y in part.ring if abs(y) < STRAIGHT_MM)
    high = sorted(x for x, y in part.ring if abs(y - part.width_mm) < STRAIGHT_MM)
    if len(part.ring) != 4 or len(low) != 2 or len(high) != 2:
        return 0.0, 0.0
    return high[0] - low[0], high[1] - low[1]


def _hundredths(angle_deg: float) -> int:
    return round(angle_deg * STEPS_PER_DEGREE)


def saved_mm(end: End, kerf_mm: float) -> float:
    """What a cut shared by two such ends saves. Along the bar the kerf of a slanted cut is longer."""
    if end.kind == SQUARE:
        return 0.0
    along = kerf_mm * math.hypot(1.0, end.lean_mm / end.across_mm)
    return max(abs(end.lean_mm) + kerf_mm - along, 0.0)


class Room(msgspec.Struct, frozen=True):
    """Units (0.01 mm) a set of sticks takes, a kerf after each: add sticks and ask again."""

    kerf_mm: float

    def of(self, sticks: Sequence[Stick]) -> int:
        return sum(self.step(laid) for laid in nose_to_tail(sticks, self.kerf_mm))

    def step(self, laid: Laid) -> int:
        """From the long point of one stick to the long point of the next."""
        return units_up(laid.stick.part.length_mm - laid.shared_mm) + units_up(self.kerf_mm)

    def fewest(self, stick: Stick) -> int:
        """What a stick and a kerf take of a bar however they are cut: no less than its wood."""
        run = (abs(stick.left.lean_mm) + abs(stick.right.lean_mm)) / 2
        return units_down(stick.part.length_mm - run) + units_down(self.kerf_mm)

    def shared(self, stick: Stick) -> int:
        """What a stick takes when both its ends are shared, half of each saving counted to it; not more."""
        half = (saved_mm(stick.left, self.kerf_mm) + saved_mm(stick.right, self.kerf_mm)) / 2
        return units_up(stick.part.length_mm - half) + units_up(self.kerf_mm) - 2


def nose_to_tail(sticks: Sequence[Stick], kerf_mm: float) -> tuple[Laid, ...]:
    """All sticks in the order they lie, with as much shared as can be."""
    laid: list[Laid] = []
    for run in _runs(sticks, kerf_mm):
        before: Laid | None = None
        for n, (stick, half_turn) in enumerate(run):
            left = stick.ends(half_turn, False)[0]
            rolled = before is not None and before.right.lean_mm * left.lean_mm < 0
            if before is not None:
                laid[-1] = msgspec.structs.replace(before, shared_mm=saved_mm(before.right, kerf_mm))
            before = Laid(stick, half_turn, rolled)
            laid.append(before)
            assert n == 0 or left.kind != SQUARE, "only slanted ends are linked"
    return tuple(laid)


# -- runs --------------------------------------------------------------------------------------------------

type Node = tuple[Literal["kind"], Kind] | tuple[Literal["end"], int, int] | tuple[Literal["out"]]
OUT: Node = ("out",)


def _runs(sticks: Sequence[Stick], kerf_mm: float) -> list[list[tuple[Stick, bool]]]:
    """Sticks linked by ends alike, each with whether it is turned end for end."""
    nodes: list[tuple[Node, Node]] = []
    worth: dict[Node, float] = {}
    for n, stick in enumerate(sticks):
        ends: list[Node] = []
        for side, end in enumerate((stick.left, stick.right)):
            saves = saved_mm(end, kerf_mm)
            node: Node = ("kind", end.kind) if saves > 0 else ("end", n, side)
            worth[node] = min(saves, worth.get(node, saves))
            ends.append(node)
        nodes.append((ends[0], ends[1]))
    degree = Counter(node for pair in nodes for node in pair)
    odd = [node for node in degree if degree[node] % 2]
    links = [*nodes, *((node, OUT) for node in odd)]
    found: list[list[tuple[Stick, bool]]] = []
    used = [False] * len(links)
    at: dict[Node, list[int]] = {}
    for i, (a, b) in enumerate(links):
        at.setdefault(a, []).append(i)
        if b != a:
            at.setdefault(b, []).append(i)
    starts = ([OUT] if odd else []) + sorted(set(degree), key=lambda node: (worth[node], str(node)))
    for start in starts:
        run: list[tuple[Stick, bool]] = []
        for i, backwards in _circuit(start, links, at, used):
            if i >= len(nodes):  # by way of the outside: one run ends, the next begins
                found += [run] if run else []
                run = []
            else:
                run.append((sticks[i], backwards))
        found += [run] if run else []
    return found


def _circuit(
    start: Node, links: Sequence[tuple[Node, Node]], at: dict[Node, list[int]], used: list[bool]
) -> list[tuple[int, bool]]:
    """Every link that can be reached from a node, once, in one round (Hierholzer); all degrees are even.
    With each whether it is walked from its second node to its first."""
    stack: list[tuple[Node, tuple[int, bool] | None]] = [(start, None)]
    round_: list[tuple[int, bool]] = []
    while stack:
        node, by = stack[-1]
        waiting = at.get(node, [])
        while waiting and used[waiting[-1]]:
            waiting.pop()
        if not waiting:
            stack.pop()
            if by is not None:
                round_.append(by)
            continue
        i = waiting.pop()
        used[i] = True
        backwards = links[i][0] != node
        stack.append((links[i][0] if backwards else links[i][1], (i, backwards)))
    return round_[::-1]
