"""Which panel of a deck is where, and which wood carries it: where decks climb, one may lie over another.

What this does not know: boards whose deck is whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import UNSET
from msgspec.structs import replace

from boardwright.plan.model import Device, Point
from boardwright_timber.model import Board, Frame, Member, Panel
from boardwright_timber.rising import bears, on_way, underside_mm


def nearest_panel(panels: Sequence[Panel], p: Point) -> int:
    """The panel (of a board on which tracks climb) whose track is nearest to a place, of two under one track
    the nearer one."""
    import shapely

    away = [
        (
            round(min(on_way(way, p)[0] for way in panel.ways or ()), 3),
            round(shapely.Polygon(panel.ring, panel.wells).distance(shapely.Point(p)), 3),
        )
        for panel in panels
    ]
    return away.index(min(away))


def hung(board: Board, frame: Frame, devices: Iterable[Device]) -> tuple[Device, ...]:
    """Devices with how deep each hangs below the board's own level: under a deck that climbs less than below
    the deck itself, under one that falls more."""
    if not frame.climbs:
        return tuple(devices)
    found = []
    for device in devices:
        at = board.to_local((device.x_mm, device.y_mm))
        rise = underside_mm(frame.deck[nearest_panel(frame.deck, at)], at)
        found.append(replace(device, depth_mm=max(0.0, round(device.depth_mm - rise, 6))))
    return tuple(found)


def bearers(members: Iterable[Member], panels: Sequence[Panel], panel: Panel) -> tuple[Member, ...]:
    """Members that carry a panel where they lie under it; all that carry any, where no panel climbs."""
    carry = tuple(m for m in members if m.carries_deck)
    if all(p.ways is UNSET for p in panels):
        return carry
    import shapely

    shape = shapely.Polygon(panel.ring, panel.wells)
    found = []
    for m in carry:
        over = shape.intersection(shapely.Polygon(m.outline))
        if not over.is_empty:
            middle = over.centroid
            if bears(m, panel, (middle.x, middle.y)):
                found.append(m)
    return tuple(found)
