"""Where joists had better not stand, so that holes can be made: bolts, dowels and wires of a joint on a side.

Claim: the span of the deck comes first. Then no joist stands where it spoils a hole (``side_joints``) nor is
too short for a wire hole, if up to ``HOLE_JOISTS`` joists more for each such hole prevent that. Then the
fewest joists. Among equally few none ends right behind a place that a joint's bolts, dowels or wire holes
take first, where there is a choice. Evenness comes last.

What this does not know: joists behind an end, which run along it: ``joists.min_gap_mm`` keeps them off; and
what stands behind a joint in the neighbour.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from msgspec.structs import replace

from boardwright_timber.model import Board

from ..joints.bores import bolt_bore, dowel_bore
from ..joints.settings import Bore, JointSettings
from ..wiring.settings import WiringSettings
from .choose import Row, choose
from .pieces import Piece
from .side_joints import WIRE_ROOM_MM, SideJoint, on_sides

DIAMETERS = 3.0  # the least length of a joist that gets a wire hole, in its diameters


class Taken(NamedTuple):
    """Positions of a joist's middle, between ``low`` and ``high``, where it is in the way of a hole."""

    low: float
    high: float


def taken_by_holes(
    board: Board, joints: JointSettings, wiring: WiringSettings, thickness_mm: float
) -> tuple[Taken, ...]:
    """For every joint on a side: the places its fixings take first, and its middle for wires."""
    bolt, dowel = bolt_bore(joints), dowel_bore(joints)
    wire = wiring.hole_diameter_mm
    found = []
    for joint in on_sides(board):
        a, b = map(board.to_local, (joint.start, joint.end))
        length = joint.length_mm
        outer = joints.corner_mm + max(bolt.end_margin_mm, bolt.room_mm / 2)
        places: list[tuple[float, float]] = []
        if joints.bolts_per_joint:
            places += [(outer, _room(bolt)), (length - outer, _room(bolt))]
        if joints.dowels_per_joint:
            next_to = outer + joints.spacing_mm
            places += [(next_to, _room(dowel)), (length - next_to, _room(dowel))]
        if wiring.holes_per_joint:
            half = 1.5 * wire * (wiring.holes_per_joint - 1)
            places.append((length / 2, half + wire / 2 + WIRE_ROOM_MM))
        for at, room in places:
            x = a[0] + at / length * (b[0] - a[0])
            wide = (room * abs(b[0] - a[0]) / length) + thickness_mm / 2
            found.append(Taken(round(x - wide, 6), round(x + wide, 6)))
    return tuple(sorted(found))


def _room(bore: Bore) -> float:
    return bore.room_mm / 2


def hampers(pieces: Sequence[Piece], x: float, taken: tuple[Taken, ...], wire_mm: float) -> int:
    """How many holes a joist at x would be in the way of, and how many of its pieces could not be drilled."""
    return undrilled(pieces, wire_mm) + sum(t.low < x < t.high for t in taken)


def undrilled(pieces: Sequence[Piece], wire_mm: float, shortest_mm: float = 0.0) -> int:
    """How many pieces of a joist are too short for a wire hole; those below ``shortest_mm`` may go."""
    return sum(p.shortest_mm < DIAMETERS * wire_mm and p.longest_mm >= shortest_mm for p in pieces)


def choose_for_holes(row: Row, sides: Sequence[SideJoint]) -> tuple[int, ...]:
    """The best choice; where its joists together spoil what none of them does alone, as few of them behind
    that joint as can be, if that spoils less."""

    def alone(side: SideJoint, chosen: tuple[int, ...]) -> int:
        return sum(side.spoilt(row.positions[i]) for i in chosen)

    def together(side: SideJoint, chosen: tuple[int, ...]) -> int:
        return side.spoilt(*(row.positions[i] for i in chosen))

    def lost(chosen: tuple[int, ...]) -> int:
        undrilled = sum(row.spoils(i) for i in chosen) - sum(alone(s, chosen) for s in sides)
        return undrilled + sum(together(s, chosen) for s in sides)

    chosen = choose(row)
    crowded = [s for s in sides if together(s, chosen) > alone(s, chosen)]
    if not crowded:
        return chosen
    counts = (row.spoils(i) + sum(s.behind(x) for s in crowded) for i, x in enumerate(row.positions))
    return min(chosen, choose(replace(row, spoilt=tuple(counts))), key=lost)
