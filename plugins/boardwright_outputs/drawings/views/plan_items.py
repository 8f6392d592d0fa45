"""Things of the plan that several views draw: boards' edges, members, track, devices."""

from __future__ import annotations

from collections.abc import Iterable

from boardwright.plan.model import Device, Track, Turnout
from boardwright_timber.model import Board, Member

from ..drawing import Role
from ..pen import Pen
from ..placing import Place, moved


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
