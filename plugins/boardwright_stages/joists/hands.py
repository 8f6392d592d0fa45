"""Hand room: whether a hand gets beside every device from below.

Claim: a device passes when a round hole of the hand's width fits beside it in its bay, clear of all wood
below the deck and of every device's body, no more than REACH_MM from its own. A device that hangs no lower
than the deck needs none.

What this does not know: arms, knees, and the legs under the board.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from boardwright.plan.model import Device
from boardwright_timber.model import Board, Member, MemberRole

from ..offsets import inset

if TYPE_CHECKING:
    from shapely import Polygon

REACH_MM = 20.0
FIT_MM = 0.1


def out_of_reach(
    board: Board,
    room: Polygon,
    members: Iterable[Member],
    devices: Sequence[Device],
    own: Sequence[str],
    hand_mm: float,
) -> tuple[Device, ...]:
    """The board's own devices that no hand gets to. ``room``: that inside the frame, local coordinates."""
    import shapely

    hanging = [d for d in sorted(devices, key=lambda d: d.id) if d.depth_mm > 0]
    bodies = {d.id: shapely.Polygon([board.to_local(p) for p in d.footprint()]) for d in hanging}
    wood = [shapely.Polygon(m.outline) for m in members if m.role is not MemberRole.RISER]
    bays = shapely.get_parts(room.difference(shapely.union_all(wood)))
    taken = shapely.union_all(list(bodies.values()))
    far = hand_mm / 2 + REACH_MM
    found = []
    for device in (d for d in hanging if d.id in own):
        body = bodies[device.id]
        bay = max(bays, key=lambda b: b.intersection(body).area, default=None)
        if bay is None or not bay.intersects(body):
            continue  # it stands in wood, and that is told elsewhere
        spots = inset(bay.difference(taken), hand_mm / 2 - FIT_MM)
        if body.distance(spots) > far or spots.is_empty:
            found.append(device)
    return tuple(found)
