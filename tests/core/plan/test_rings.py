"""One shape, one ring."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan import rings

L_SHAPE = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (10.0, 10.0), (10.0, 20.0), (0.0, 20.0)]


def test_area_by_hand() -> None:
    # 30 × 10 + 10 × 10 = 400
    assert rings.area(L_SHAPE) == 400
    assert rings.area(L_SHAPE[::-1]) == -400


@given(
    turn=st.integers(0, 5),
    back=st.booleans(),
    extra=st.lists(st.tuples(st.integers(0, 5), st.integers(1, 9))),
)
@settings(deadline=None, max_examples=60, derandomize=True)
def test_start_way_round_and_needless_points_play_no_part(
    turn: int, back: bool, extra: list[tuple[int, int]]
) -> None:
    points = []
    for i, (x, y) in enumerate(L_SHAPE):
        nx, ny = L_SHAPE[(i + 1) % 6]
        points.append((x, y))
        points += sorted(
            {(x + (nx - x) * t / 10, y + (ny - y) * t / 10) for side, t in extra if side == i},
            key=lambda p: abs(p[0] - x) + abs(p[1] - y),
        )
        points.append(points[-1])
    points = points[turn:] + points[:turn]
    assert rings.ring(points[::-1] if back else points) == tuple(L_SHAPE)


def test_clockwise_for_wells() -> None:
    well = rings.ring(L_SHAPE, clockwise=True)
    assert well[0] == (0, 0)
    assert rings.area(well) == -400


def test_a_spike_is_dropped_and_nothing_encloses_nothing() -> None:
    assert rings.ring([(0, 0), (10, 0), (10, 10), (10, 30), (10, 10), (0, 10)]) == (
        (0, 0), (10, 0), (10, 10), (0, 10),
    )  # fmt: skip
    assert rings.ring([(0, 0), (5, 0), (10, 0)]) == ()
    assert rings.ring([]) == ()


def test_no_negative_zero() -> None:
    assert str(rings.snap(-1e-9, -0.0)) == "(0.0, 0.0)"
