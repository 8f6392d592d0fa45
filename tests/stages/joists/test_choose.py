"""The search for joist positions against the plainest way there is: trying every subset."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright_stages.joists.choose import Counted, Row, choose


@st.composite
def rows(draw: st.DrawFn) -> Row:
    """Up to 11 whole-millimetre candidates on a board of 600 to 1600 mm, with every sort of obstacle."""
    end = draw(st.integers(600, 1600))
    places = sorted(draw(st.sets(st.integers(10, end - 10), max_size=11)))
    limit = draw(st.integers(150, 500))
    slack = sorted(draw(st.integers(0, 120)) for _ in places) if draw(st.booleans()) else [0] * len(places)
    last = end - limit - draw(st.integers(0, 150))
    held = draw(st.integers(0, 3)) == 0
    return Row(
        start=0.0,
        end=float(end),
        positions=tuple(float(x) for x in places),
        reluctance=tuple(draw(st.integers(0, 2)) for _ in places),
        reach_start=float(limit + draw(st.integers(-40, 80))),
        reach=tuple(
            math.inf if held and x >= last else float(x + limit + s)
            for x, s in zip(places, slack, strict=True)
        ),
        end_excess=tuple(float(max(0, last - x)) for x in places),
        bare_excess=float(max(0, end - limit)),
        min_apart_mm=float(draw(st.integers(20, 120))),
        spoilt=tuple(draw(st.sampled_from((0, 0, 0, 1, 2))) for _ in places) if draw(st.booleans()) else (),
    )


def cost(row: Row, chosen: tuple[int, ...]) -> tuple[float, int, int, int, float] | None:
    """What the claim of ``choose`` says a choice costs, written out; None: joists too near each other.

    A hole that cannot be made counts as two joists, and of equals the fewest such holes are better.
    """
    places = [row.positions[i] for i in chosen]
    if any(b - a < row.min_apart_mm for a, b in itertools.pairwise(places)):
        return None
    over = 0.0
    if chosen:
        over += max(0.0, places[0] - row.reach_start) ** 2
        over += sum(max(0.0, row.positions[b] - row.reach[a]) ** 2 for a, b in itertools.pairwise(chosen))
        over += row.end_excess[chosen[-1]] ** 2
    else:
        over += row.bare_excess**2
    gaps = [b - a for a, b in itertools.pairwise([row.start, *places, row.end])]
    spoilt = sum(row.spoilt[i] for i in chosen) if row.spoilt else 0
    reluctance = sum(row.reluctance[i] for i in chosen)
    return (over, len(chosen) + 2 * spoilt, spoilt, reluctance, sum(g * g for g in gaps))


@settings(max_examples=400, deadline=None, derandomize=True)
@given(rows())
def test_nothing_is_better_than_the_answer(row: Row) -> None:
    every = range(len(row.positions))
    costs = [
        c
        for n in range(len(row.positions) + 1)
        for subset in itertools.combinations(every, n)
        if (c := cost(row, subset)) is not None
    ]
    assert cost(row, choose(row)) == min(costs)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(rows())
def test_what_is_counted_late_is_counted_once_and_chosen_alike(row: Row) -> None:
    asked: list[int] = []

    def late(counts: Sequence[int]) -> Counted:
        return Counted(range(len(counts)), lambda n: asked.append(int(n)) or counts[int(n)])  # type: ignore[func-returns-value]  # to note it

    later = replace(row, reluctance=late(row.reluctance), spoilt=late(row.spoilt) if row.spoilt else ())
    assert choose(later) == choose(row)
    assert (list(later.reluctance), list(later.spoilt)) == (list(row.reluctance), list(row.spoilt))
    assert max((asked.count(n) for n in asked), default=0) <= (2 if row.spoilt else 1)


def test_even_bays_by_hand() -> None:
    """0 to 1000, limit 400, candidates every 100: two joists leave three bays.

    Three bays of whole hundreds, none above 400: 300, 300 and 400 in some order. 2 × 300² + 400² = 340 000
    is the least sum of squares, whichever bay is the long one; of equals, the joists furthest left.
    """
    places = tuple(float(x) for x in range(100, 1000, 100))
    row = Row(
        start=0.0,
        end=1000.0,
        positions=places,
        reluctance=(0,) * len(places),
        reach_start=400.0,
        reach=tuple(x + 400 for x in places),
        end_excess=tuple(max(0.0, 600 - x) for x in places),
        bare_excess=600.0,
        min_apart_mm=72.0,
    )
    assert [row.positions[i] for i in choose(row)] == [300.0, 600.0]


def test_no_candidates_is_no_crash() -> None:
    row = Row(0.0, 900.0, (), (), 400.0, (), (), 500.0, 72.0)
    assert choose(row) == ()
