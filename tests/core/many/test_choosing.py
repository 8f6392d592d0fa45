"""Which constructions no other beats, and what a step costs and buys, against plain counting."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.figures import Figure
from boardwright.many.choosing import counts, marked, steps
from boardwright.many.model import Construction, Varied

FAULT = {"code": "X", "severity": "fault", "says": "it breaks", "where": "", "mend": ""}


def figure(key: str, value: float | None, digits: int = 0) -> Figure:
    return Figure(
        key=key,
        says=key,
        unit="kg" if key == "mass" else "EUR",
        value=value,
        digits=digits,
        less_is_better=True,
        less="lighter" if key == "mass" else "cheaper",
        more="heavier" if key == "mass" else "dearer",
    )


def made(number: int, cost: float | None, mass: float | None, faulty: bool = False, **s: int) -> Construction:
    return Construction(
        number=number,
        settings=tuple((f"t.{k}", v) for k, v in s.items()),
        figures=(figure("cost", cost, 2), figure("mass", mass, 1)),
        findings=(FAULT,) if faulty else (),
    )


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4), st.booleans()), min_size=1, max_size=9))
def test_best_is_what_nobody_beats(points: list[tuple[int, int, bool]]) -> None:
    found = marked([made(n, x, y, faulty) for n, (x, y, faulty) in enumerate(points)], ("cost", "mass"))
    for c, (x, y, faulty) in zip(found, points, strict=True):
        beaten = any(u <= x and v <= y and (u, v) != (x, y) and not other for u, v, other in points)
        assert c.best is (not faulty and not beaten)
        if c.beaten_by is not None:
            u, v, _ = points[c.beaten_by]
            assert (u <= x, v <= y, (u, v) == (x, y)) == (True, True, False)


def test_what_nobody_can_see_decides_nothing() -> None:
    pair = [made(0, 10.004, 1.0), made(1, 10.0, 1.04)]
    assert [c.best for c in marked(pair, ("cost", "mass"))] == [True, True]
    assert counts(pair) == ("cost", "mass")


def test_a_figure_that_is_not_known_is_worse_than_any() -> None:
    pair = [made(0, 10, None), made(1, 10, 99)]
    assert [c.best for c in marked(pair, ("cost", "mass"))] == [False, True]


def test_a_step_in_words() -> None:
    varied = [Varied(keys=("t.d",), rows=((70,), (90,))), Varied(keys=("t.s",), rows=((1,), (2,)))]
    every = [
        made(0, 99, 99),
        made(1, 10, 5, d=70, s=1),
        made(2, 12, 5, faulty=True, d=70, s=2),
        made(3, 18.2, 4, d=90, s=1),  # +8.20, −1.0 from 1
        made(4, 24.4, 3.5, d=90, s=2),  # +12.40, −1.5 from 2
    ]
    deeper, wider = steps(varied, every, ("cost", "mass"))
    assert deeper.says == (
        "t.d from 70 to 90: costs: 8.20 to 12.40 EUR dearer; buys: 1.0 to 1.5 kg lighter; "
        "mends the faults of 1."
    )
    assert (deeper.pairs, deeper.mends, deeper.breaks) == (2, 1, 0)
    assert wider.says == (
        "t.s from 1 to 2: costs: 2.00 to 6.20 EUR dearer; buys: 0.0 to 0.5 kg lighter; brings faults to 1."
    )
    mixed = [made(1, 10, 5, d=70), made(2, 12, 5, d=90)]
    (one,) = steps(varied[:1], mixed, ("cost", "mass"))
    assert one.says == "t.d from 70 to 90: costs: 2.00 EUR dearer."
