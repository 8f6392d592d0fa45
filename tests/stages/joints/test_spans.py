"""Spans and patterns: worked by hand, then against brute force."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright_stages.joints.pattern import choose
from boardwright_stages.joints.spans import common, folded, shrunk, union, without


def test_union_joins_what_touches() -> None:
    assert union([(5, 8), (0, 3), (3, 4)]) == ((0, 4), (5, 8))


def test_common_keeps_points() -> None:
    assert common(((0, 4), (6, 9)), ((4, 7),)) == ((4, 4), (6, 7))


def test_without_keeps_edges_of_gaps() -> None:
    assert without(((0, 10),), [(3, 5)]) == ((0, 3), (5, 10))
    assert without(((0, 10),), [(-1, 11)]) == ()
    assert without(((0, 10),), [(0, 10)]) == ((0, 0), (10, 10))


def test_shrunk_to_a_point_still_counts() -> None:
    assert shrunk(((0, 10), (20, 25)), 5) == ((5, 5),)


def test_folded_about_the_middle() -> None:
    # about 10: right of it 0..5 and 8..10 are free, left of it 0..2 and 4..10: both: 0..2, 4..5, 8..10
    assert folded(((0, 6), (8, 15), (18, 20)), 10) == ((0, 2), (4, 5), (8, 10))


whole = st.integers(0, 200)
spans = st.lists(st.tuples(whole, whole).map(lambda p: (float(min(p)), float(max(p)))), max_size=6)


@settings(deadline=None, max_examples=50, derandomize=True)
@given(spans, spans)
def test_span_sums_against_half_points(a: list[tuple[float, float]], b: list[tuple[float, float]]) -> None:
    """At the middles between whole numbers, membership is plain logic."""

    def has(s: object, x: float) -> bool:
        return any(low <= x <= high for low, high in s)  # type: ignore[attr-defined]  # spans either way

    ua, ub = union(a), union(b)
    for n in range(-1, 202):
        x = n + 0.5
        assert has(ua, x) == has(a, x)
        assert has(common(ua, ub), x) == (has(a, x) and has(b, x))
        assert has(without(ua, b), x) == (has(a, x) and not has(b, x))
        assert has(folded(ua, 100.0), x) == (x > 0 and has(a, 100 + x) and has(a, 100 - x))


@settings(deadline=None, max_examples=150, derandomize=True)
@given(spans, st.integers(0, 5), st.sampled_from(["spread", "innermost"]), st.integers(1, 60))
def test_a_pattern_is_legal(a: list[tuple[float, float]], count: int, first: str, spacing: int) -> None:
    allowed = union(a)
    pattern = choose(allowed, 100.0, count, float(spacing), first)  # type: ignore[arg-type]  # a Literal by hand
    at = pattern.at_mm
    assert len(at) <= count
    assert all(any(low - 1e-6 <= p <= high + 1e-6 for low, high in allowed) for p in at)
    assert all(q - p >= spacing - 1e-5 for p, q in pairwise(at))
    if pattern.mirrored:
        assert [round(200 - p, 6) for p in reversed(at)] == [round(p, 6) for p in at]


def test_pairs_spread_and_kept_together() -> None:
    assert choose(((0, 130),), 65, 4, 20, "spread").at_mm == pytest.approx((0, 130 / 3, 260 / 3, 130))
    # with 30 to 50 closed, the inner pair goes to the nearest place that is open both sides: 50 and 80
    assert choose(((0, 30), (50, 130)), 65, 4, 20, "spread").at_mm == (0, 50, 80, 130)
    assert choose(((0, 100),), 50, 3, 20, "innermost").at_mm == (30, 50, 70)


def test_one_sided_room_gives_a_lopsided_pattern() -> None:
    pattern = choose(((60, 100),), 50, 2, 20, "spread")
    assert (pattern.at_mm, pattern.mirrored) == ((60, 100), False)
