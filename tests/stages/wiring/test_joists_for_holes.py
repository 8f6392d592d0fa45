"""Where the fewest joists leave no place for a hole, more are set; a finding comes only where none helps."""

from __future__ import annotations

import itertools
import os
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from wired import Boards, device, made

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_timber.model import BoardPlan, Joint

T, LIMIT, LONG, WIDE = 12.0, 400.0, 812.0, 400.0
EXAMPLES, STEP = (60, 40) if os.environ.get("BOARDWRIGHT_DEEP") else (14, 80)
MISSING = ("BW-JOINT-002", "BW-JOINT-003")
NO_WIRES = "BW-WIRE-003"


def pair(boxes: Any, long: float, at: float, joint: float) -> tuple[Any, Any]:
    """A board A ``long``, and on its far side the end of B, as wide as the joint, from ``at`` on."""
    met = Joint(id="J01", boards=("A", "B"), start=(at + joint, WIDE), end=(at, WIDE))
    a = boxes.box("A", ((0.0, 0.0), (long, 0.0), (long, WIDE), (0.0, WIDE)), (met,))
    b = boxes.box(
        "B",
        ((at + joint, WIDE), (at + joint, 2 * WIDE), (at, 2 * WIDE), (at, WIDE)),
        (met,),
    )
    return a, b


def drilled(a: Any, b: Any, where: tuple[float, ...], boxes: Any, devices: tuple[Device, ...]) -> Boards:
    """Both boards bolted and drilled, A with joists at these places."""
    built = boxes.box("A", a.board.ring, a.board.joints, where)
    return made((built, list(devices)), (b, []))


def lost(on: Boards) -> list[str]:
    """Codes of holes that find no room: any fixing, or every wire hole."""
    return [
        f.code
        for f in on.notes.findings
        if f.code in MISSING or (f.code == NO_WIRES and "room for 0 of" in f.says)
    ]


def chosen(a: Any, b: Any, devices: tuple[Device, ...] = ()) -> tuple[float, ...]:
    """Where the stage sets joists."""
    plan = BoardPlan(board="A", devices=devices, own_devices=tuple(d.id for d in devices))
    got = joists(
        a.board,
        plan,
        a.frame,
        FramingSettings(member_thickness_mm=T),
        JoistSettings(spacing_mm=LIMIT, by_deck=False, trim=False),
        Notes(),
        beside={"B": b.board},
        frames={"B": b.frame},
    )
    return tuple(round((m.outer_start[0] + m.inner_start[0]) / 2, 3) for m in got.members)


def test_one_joist_more_where_the_fewest_leave_no_wire_hole(boxes: Any) -> None:
    """812 = 12 + 2 × 400: a single joist must stand at 406, right behind the middle of a joint 300 long.

    Bolts at 44 and 256, dowels at 84 and 216; a wire hole of 22 stays 40 from a dowel, so between 124 and
    176, and 11 + 10 + 6 from the joist's middle at 150: below 123 or above 177. There is no place.
    """
    a, b = pair(boxes, LONG, 256.0, 300.0)
    assert lost(drilled(a, b, (406.0,), boxes, ())) == [NO_WIRES]
    got = chosen(a, b)
    assert len(got) == 2
    assert lost(drilled(a, b, got, boxes, ())) == []
    plain = replace(a.board, joints=())
    assert chosen(type(a)(plain, a.frame, a.joists), b) == (406.0,)


def test_joists_only_move_where_that_is_enough(boxes: Any) -> None:
    """800 long, the joist may stand from 394 to 406: a joint 300 long from 120 on has its middle free."""
    a, b = pair(boxes, 800.0, 200.0, 380.0)
    (only,) = chosen(a, b)
    assert lost(drilled(a, b, (only,), boxes, ())) == []


def test_nothing_is_added_where_nothing_fits(boxes: Any) -> None:
    """An end 84 wide takes no bolt, 44 from either edge, with joists behind or without: told, none added."""
    a, b = pair(boxes, LONG, 364.0, 84.0)
    assert chosen(a, b) == (406.0,)
    assert lost(drilled(a, b, (406.0,), boxes, ())) == ["BW-JOINT-002", "BW-JOINT-003", NO_WIRES]


def _ways(bodies: tuple[Device, ...]) -> list[tuple[float, ...]]:
    """Every way to set one or two joists on a grid, within the limit, clear of the bodies."""
    half = T / 2
    taken = [(d.x_mm - 15 - half - 0.01, d.x_mm + 15 + half + 0.01) for d in bodies]
    grid = sorted({*range(STEP, int(LONG), STEP), round(half + LIMIT)})
    free = [
        float(x) for x in grid if 78 + half <= x <= LONG - 78 - half and not any(p < x < q for p, q in taken)
    ]
    found = []
    for n in (1, 2):
        for way in itertools.combinations(free, n):
            at = (half, *way, LONG - half)
            if all(b - a <= LIMIT for a, b in itertools.pairwise(at)) and all(
                b - a >= 72 for a, b in itertools.pairwise(way)
            ):
                found.append(way)
    return found


def test_no_way_on_a_grid_makes_more_holes(boxes: Any) -> None:
    """Joints and devices anywhere on a board whose only joist must stand in its middle: what two joists can
    save they save, and no way to set one or two makes more holes."""
    seen = {"fitted": 0, "saved": 0, "told": 0}

    @settings(deadline=None, max_examples=EXAMPLES, derandomize=True)
    @given(
        st.integers(150, 330),
        st.floats(0.4, 0.6),
        st.lists(st.tuples(st.floats(0.0, 1.0), st.integers(30, 60)), max_size=2),
    )
    def run(joint: int, middle: float, spots: list[tuple[float, int]]) -> None:
        at = float(round(middle * LONG - joint / 2))
        bodies = tuple(
            device(f"D{n}", "lamp", round(at + f * joint), WIDE - away) for n, (f, away) in enumerate(spots)
        )
        a, b = pair(boxes, LONG, at, float(joint))
        got = chosen(a, b, bodies)
        left = lost(drilled(a, b, got, boxes, bodies))
        ways = _ways(bodies)
        if not left:
            seen["saved" if len(got) > min(map(len, ways)) else "fitted"] += 1
            return
        seen["told"] += 1
        assert all(len(left) <= len(lost(drilled(a, b, way, boxes, bodies))) for way in ways), got

    run()
    assert min(seen.values()) > 0, seen
