"""Things of the plan that several views draw: boards' edges, members, track, devices."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from boardwright.plan.heights import height_at, off_mm, slopes
from boardwright.plan.model import Device, Point, Track, Turnout
from boardwright_timber.model import Board, Member

from ..drawing import Role
from ..pen import Pen
from ..placing import Place, moved

APART = 10.0  # heights of text between two heights along a track
NEAR_MM = 1.0  # a place this near a track is on it


def draw_edges(pen: Pen, board: Board, place: Place) -> None:
    """Deck edge, wells and joint lines; ``place`` takes plan coordinates."""
    for ring in (board.ring, *board.wells):
        pen.ring(Role.OUTLINE, moved(ring, place))
    for joint in (*board.joints, *board.ends):
        pen.run(Role.JOINT, moved((joint.start, joint.end), place))


def draw_track(pen: Pen, tracks: Iterable[Track], turnouts: Iterable[Turnout], place: Place) -> None:
    for track in tracks:
        pen.run(Role.TRACK, moved(track.points, place))
    for turnout in turnouts:
        pen.ring(Role.TURNOUT, moved(turnout.ring, place))


def label_climb(
    pen: Pen, track: Track, crossings: Iterable[Point], place: Place, shown: Sequence[Track]
) -> None:
    """Heights at a whole track's ends, at joints and where its gradient changes; gradients between them. Only
    where one of the pieces of it that are ``shown`` is."""
    found = slopes(track)
    if all(s.grade == 0 for s in found):
        return
    h = 0.7 * pen.text_mm
    ends = [(track.points[k], track.heights_mm[k]) for k in (found[0].first, found[-1].last)]
    told = [*ends, *((at, height_at(track, at)) for at in crossings)]
    for slope in found[1:]:
        at, z = track.points[slope.first], track.heights_mm[slope.first]
        if min(math.dist(at, p) for p, _ in told) > APART * h:
            told.append((at, z))
    for at, z in told:
        if all(off_mm(piece, at) > NEAR_MM for piece in shown):
            continue
        sign = "+" if z > 0 else "-" if z < 0 else ""
        pen.label_beside(f"{sign}{pen.show.figure(abs(z))}", *moved([at], place), height_mm=h)
    for slope in found:
        run = track.points[slope.first : slope.last + 1]
        if slope.grade and math.dist(run[0], run[-1]) > APART * h:
            half, far = sum(math.dist(p, q) for p, q in pairwise(run)) / 2, 0.0
            for p, q in pairwise(run):
                far += math.dist(p, q)
                if far >= half:
                    middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
                    if any(off_mm(piece, middle) <= NEAR_MM for piece in shown):
                        says = f"1 in {1 / abs(slope.grade):.0f}"
                        pen.label_beside(says, *moved([middle], place), height_mm=h)
                    break


def draw_devices(pen: Pen, devices: Iterable[Device], place: Place, *, keepouts: bool = False) -> None:
    """Bodies, and if wanted the free room they need, as a pencil line."""
    for device in devices:
        pen.ring(Role.DEVICE, moved(device.footprint(), place))
        if keepouts and device.clearance_mm > 0:
            pen.ring(Role.MARK, moved(device.keepout(), place))


def draw_members(pen: Pen, members: Iterable[Member], place: Place) -> None:
    """``place`` takes the board's local coordinates."""
    for member in members:
        pen.ring(Role.MEMBER, moved(member.outline, place))


def label_devices(pen: Pen, devices: Iterable[Device], place: Place, height_mm: float) -> None:
    for device in sorted(devices, key=lambda d: d.id):
        (at,) = moved([(device.x_mm, device.y_mm)], place)
        pen.label_beside(
            device.id, at, clear_mm=min(device.length_mm, device.width_mm) / 2, height_mm=height_mm
        )
