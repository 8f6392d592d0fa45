"""Where joists had better not stand, so that holes can be made: bolts, dowels and wires of a joint on a side.

Claim: where there is a choice, no joist ends on a side right behind a place that a joint's bolts, dowels or
wire holes take first, and none is so short that it cannot be given a wire hole. The number of joists and the
span of the deck come before; evenness comes after.

What this does not know: joists behind an end, which run along it: ``joists.min_gap_mm`` keeps them off.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from boardwright_timber.model import Board

from ..joints.bores import bolt_bore, dowel_bore
from ..joints.settings import Bore, JointSettings
from ..wiring.settings import WiringSettings
from .pieces import pieces_at
from .region import Region

ALONG_DEG = 45.0  # a joint nearer to the board's own length than this lies on a side of it
WIRE_ROOM_MM = 10.0  # air round a wire hole, as the wiring asks for
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
    for joint in board.joints:
        a, b = map(board.to_local, (joint.start, joint.end))
        length = joint.length_mm
        if abs(b[0] - a[0]) < length * math.cos(math.radians(ALONG_DEG)):
            continue
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


def hampers(region: Region, x: float, thickness_mm: float, taken: tuple[Taken, ...], wire_mm: float) -> int:
    """How many holes a joist at x would be in the way of, and how many of its pieces could not be drilled."""
    short = sum(p.shortest_mm < DIAMETERS * wire_mm for p in pieces_at(region, x, thickness_mm))
    return short + sum(t.low < x < t.high for t in taken)
