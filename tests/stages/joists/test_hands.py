"""Hand room, by hand: a room 576 × 276 with a device in it."""

from __future__ import annotations

import pytest
import shapely
from any_shapes import board_of

from boardwright.plan.model import Device
from boardwright_stages.joists.hands import out_of_reach
from boardwright_timber.model import Member, MemberRole

BOARD = board_of(((0.0, 0.0), (600.0, 0.0), (600.0, 300.0), (0.0, 300.0)))
ROOM = shapely.box(12, 12, 588, 288)


def device(x: float, depth: float = 50.0, width: float = 40.0) -> Device:
    return Device(
        id=f"D{x:g}",
        kind="point_motor",
        x_mm=x,
        y_mm=150,
        length_mm=60,
        width_mm=width,
        depth_mm=depth,
        clearance_mm=5,
    )


def joist(x: float, role: MemberRole = MemberRole.JOIST) -> Member:
    return Member(
        id=f"J{x:g}",
        role=role,
        outer_start=(x + 12, 12),
        outer_end=(x + 12, 288),
        inner_start=(x, 12),
        inner_end=(x, 288),
        thickness_mm=12,
        depth_mm=90,
        material="birch ply",
    )


def told(members: tuple[Member, ...], devices: tuple[Device, ...], hand: float = 60.0) -> list[str]:
    own = tuple(d.id for d in devices)
    return [d.id for d in out_of_reach(BOARD, ROOM, members, devices, own, hand)]


def test_an_open_bay_has_room() -> None:
    assert told((joist(200), joist(400)), (device(300),)) == []


@pytest.mark.parametrize(("wide", "found"), [(150.0, []), (170.0, ["D300"])])
def test_a_device_that_fills_its_bay(wide: float, found: list[str]) -> None:
    """Joists 5 mm off both ends of the body, 270 to 330; 276 across: 150 wide leaves 63 on either side for a
    hand of 60, 170 leaves 53. The bay is 80 long."""
    assert told((joist(248), joist(340)), (device(300, width=wide),)) == found


def test_risers_and_what_does_not_hang_low_are_no_matter() -> None:
    assert told((joist(248), joist(340)), (device(300, depth=0.0, width=270.0),)) == []
    assert (
        told((joist(248, MemberRole.RISER), joist(340, MemberRole.RISER)), (device(300, width=270.0),)) == []
    )


def test_a_neighbours_body_takes_room_too() -> None:
    """Between two bodies side by side and a joist on each side nothing is left."""
    pair = (device(270, width=270.0), device(335, width=270.0))
    assert told((joist(222), joist(371)), pair) == ["D270", "D335"]
