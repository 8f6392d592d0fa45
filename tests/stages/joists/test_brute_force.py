"""Joists of whole boards with devices against the plainest search there is: every way to set them on a grid.

The rules are written out here once more, for rectangles, from the settings' own words: members are 12 mm
thick, supports of the deck are measured centre to centre, a joist keeps out of every keep-out, 60 mm of free
room to the next joist or end.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from typing import Any

from any_shapes import board_of
from hypothesis import example, given, settings
from hypothesis import strategies as st

from boardwright.plan.model import Device
from boardwright_stages.joists.places import CLEAR_MM
from boardwright_stages.joists.settings import JoistSettings

type Joist = Callable[..., Any]
THICK, GAP, STEP = 12, 60, 20


@st.composite
def devices(draw: st.DrawFn, length: int, width: int) -> tuple[Device, ...]:
    return tuple(
        Device(
            id=f"D{n}",
            kind="point_motor",
            x_mm=draw(st.integers(0, length)),
            y_mm=draw(st.integers(0, width)),
            length_mm=draw(st.integers(20, 300)),
            width_mm=draw(st.integers(20, 120)),
            depth_mm=60,
            clearance_mm=draw(st.integers(0, 25)),
            angle_deg=draw(st.sampled_from((0, 90))),
        )
        for n in range(draw(st.integers(0, 5)))
    )


@st.composite
def cases(draw: st.DrawFn) -> tuple[int, int, tuple[Device, ...], int]:
    length, width = draw(st.integers(30, 70)) * 20, draw(st.integers(300, 700))
    return length, width, draw(devices(length, width)), draw(st.sampled_from((320, 400, 480)))


def taken(d: Device) -> tuple[float, float, float, float]:
    """The keep-out of a device set square to the board: low x, high x, low y, high y."""
    long, short = d.length_mm / 2 + d.clearance_mm, d.width_mm / 2 + d.clearance_mm
    hx, hy = (long, short) if d.angle_deg == 0 else (short, long)
    return d.x_mm - hx, d.x_mm + hx, d.y_mm - hy, d.y_mm + hy


def clear(x: float, width: int, found: tuple[Device, ...]) -> bool:
    """A keep-out that comes up to the room, if only to touch it, leaves no joist there CLEAR_MM."""
    half = THICK / 2
    return not any(
        low < x + half and x - half < high and y0 < width - THICK + CLEAR_MM and y1 > THICK - CLEAR_MM
        for low, high, y0, y1 in map(taken, found)
    )


def ways(start: float, free: list[int], end: int, limit: int, joists: int) -> Iterator[tuple[int, ...]]:
    """Every way to set so many joists from one support on, each bay within the limit."""
    if joists == 0:
        if end - start <= limit:
            yield ()
        return
    for n, x in enumerate(free):
        if x - start > limit:
            return
        if start == THICK / 2 or x - start >= THICK + GAP:
            for rest in ways(x, free[n + 1 :], end, limit, joists - 1):
                yield (x, *rest)


def unevenness(places: tuple[float, ...], length: int) -> float:
    at = (THICK / 2, *places, length - THICK / 2)
    return sum((b - a) ** 2 for a, b in itertools.pairwise(at))


def touching(angle_deg: float) -> tuple[int, int, tuple[Device, ...], int]:
    """A keep-out that ends where the room does: half of 20 mm and 2 of clearance, over a member of 12."""
    device = Device(
        id="D0",
        kind="point_motor",
        x_mm=277,
        y_mm=0,
        length_mm=20,
        width_mm=31,
        depth_mm=60,
        clearance_mm=2,
        angle_deg=angle_deg,
    )
    return 600, 300, (device,), 320


@settings(max_examples=320, deadline=None, derandomize=True)
@given(cases())
@example(touching(90)).via(
    "what the cosine of a right angle lacks of 0 decided whether a joist may stand there"
)
def test_no_way_on_the_grid_is_better(joisted: Joist, case: tuple[int, int, tuple[Device, ...], int]) -> None:
    """Never more joists than the best way on the grid has; of equally many, never less even."""
    length, width, found, limit = case
    ring = ((0.0, 0.0), (float(length), 0.0), (float(length), float(width)), (0.0, float(width)))
    made = joisted(board_of(ring), found, JoistSettings(spacing_mm=limit, step_mm=STEP, trim=False))
    assert all(clear(x, width, found) for x in made.centres)
    assert all(b - a >= THICK + GAP for a, b in itertools.pairwise(made.centres))

    first, last = THICK + GAP + THICK / 2, length - THICK - GAP - THICK / 2
    free = [x for x in range(0, length, STEP) if first <= x <= last and clear(x, width, found)]
    for joists in range(8):
        best = min(
            (unevenness(w, length) for w in ways(THICK / 2, free, length - THICK // 2, limit, joists)),
            default=None,
        )
        if best is not None:
            assert "BW-JOIST-001" not in made.codes
            assert len(made.centres) <= joists
            if len(made.centres) == joists:
                # Beside a keep-out a joist stands CLEAR_MM off the grid's place: a gap g of at most ``limit``
                # is longer by that, and g² by less than 2 · g · CLEAR_MM and a rounding; two gaps a joist.
                off_grid = 2 * joists * (2 * limit * CLEAR_MM + 0.01)
                assert unevenness(tuple(made.centres), length) <= best + off_grid
            return
    if not found:
        assert "BW-JOIST-001" not in made.codes
