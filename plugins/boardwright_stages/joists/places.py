"""Where joists may stand: positions along the board that are clear of everything, and what lies against each.

Claim: a strip at a legal position is clear of every device's keep-out by CLEAR_MM at least, of every corner
of the region that a joist cannot stand on, and of ends and well sides that run nearly along it.

What this does not know: how far apart joists may be (see ``choose``).
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence

import msgspec

from boardwright.plan.model import Device
from boardwright_timber.geometry import line_through
from boardwright_timber.model import Board

from .pieces import Piece
from .region import Region, RegionEdge

CLEAR_MM = 0.01
GENTLE_DEG = 45.0  # corners that turn less can be straddled
STEEP_DEG = 15.0  # an edge within this of the joists' direction wants a gap to the next joist
SHORT_EDGE_MM = 60.0  # shorter edges leave room to work past them


def hangs_above(device: Device, top_mm: float) -> bool:
    """Whether a device under a raised deck ends above wood whose top is at ``top_mm`` (below 0)."""
    return top_mm < 0 and device.depth_mm <= -top_mm


class Blocked(msgspec.Struct, frozen=True):
    """Positions between ``low`` and ``high`` (not the limits themselves) are taken. ``device``: by whom."""

    low: float
    high: float
    device: str | None = None


def blocked_by_devices(
    board: Board, region: Region, devices: tuple[Device, ...], thickness_mm: float, top_mm: float = 0.0
) -> list[Blocked]:
    """What keep-outs take; one entry for every part of a keep-out that lies in the region.

    A device that hangs no lower than the joists' tops (``top_mm``, below a raised deck) takes nothing.
    A keep-out that comes within CLEAR_MM of the region takes its place there, so that no rounding decides.
    """
    import shapely

    half = thickness_mm / 2
    found = []
    for device in sorted(devices, key=lambda d: d.id):
        if hangs_above(device, top_mm):
            continue
        keepout = shapely.Polygon([board.to_local(p) for p in device.keepout()])
        taken = keepout.buffer(CLEAR_MM, join_style="mitre").intersection(region.shape)
        if taken.is_empty:  # a neighbour's device at a joint may not reach into the room at all
            continue
        for part in shapely.get_parts(taken):
            low, _, high, _ = part.bounds
            found.append(Blocked(low - half, high + half, device.id))
    return found


def blocked_by_frame(region: Region, thickness_mm: float, min_gap_mm: float) -> list[Blocked]:
    """What corners, ends and well sides take."""
    half = thickness_mm / 2
    found = []
    for ring in region.rings:
        for k, at in enumerate(ring):
            before, after = ring[k - 1], ring[(k + 1) % len(ring)]
            if not _can_straddle(RegionEdge(before, at), RegionEdge(at, after)):
                found.append(Blocked(at[0] - half, at[0] + half))
    for e in region.edges:
        rise = e.b[1] - e.a[1]
        if abs(rise) < SHORT_EDGE_MM or e.high_x - e.low_x > abs(rise) * math.tan(math.radians(STEEP_DEG)):
            continue
        room = min_gap_mm + half
        found.append(
            Blocked(e.low_x - room, e.high_x + half) if rise > 0 else Blocked(e.low_x - half, e.high_x + room)
        )
    return found


def _can_straddle(arriving: RegionEdge, leaving: RegionEdge) -> bool:
    """A gentle bend in a face that a joist's end passes under; not one where the room begins or ends."""
    runs = (arriving.b[0] - arriving.a[0]) * (leaving.b[0] - leaving.a[0])
    if runs <= 0:
        return False
    turn = line_through(arriving.a, arriving.b).turn_to(line_through(leaving.a, leaving.b))
    return abs(turn) < GENTLE_DEG


class Legal(msgspec.Struct, frozen=True):
    """Positions not blocked, as closed intervals from left to right."""

    intervals: tuple[tuple[float, float], ...]

    def holds(self, x: float) -> bool:
        at = bisect.bisect_right(self.intervals, (x, math.inf)) - 1
        return at >= 0 and x <= self.intervals[at][1]

    def last_up_to(self, x: float) -> float | None:
        """The largest legal position that is not beyond x."""
        at = bisect.bisect_right(self.intervals, (x, math.inf)) - 1
        return None if at < 0 else min(x, self.intervals[at][1])

    def first_from(self, x: float) -> float | None:
        """The smallest legal position that is not before x."""
        return next((max(low, x) for low, high in self.intervals if high >= x), None)


def legal(low: float, high: float, blocked: list[Blocked]) -> Legal:
    """What is left of low … high."""
    free, at = [], low
    for b in sorted(blocked, key=lambda b: (b.low, b.high)):
        if b.low >= at:
            free.append((at, min(b.low, high)))
        at = max(at, b.high)
    free.append((at, high))
    return Legal(tuple((a, b) for a, b in free if a <= b))


def reluctance(pieces: Sequence[Piece], thickness_mm: float, steep_deg: float) -> int | None:
    """How many ends of a joist are straddled or cut more than ``steep_deg`` off square; None: no joist."""
    if not pieces:
        return None
    steep = sum(b > steep_deg for piece in pieces for b in piece.bevels_deg(thickness_mm))
    return steep + sum(piece.straddles for piece in pieces)
