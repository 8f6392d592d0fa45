"""The path language, transforms and view boxes, against an independent reader (svgelements)."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import pytest
import svgelements
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan import svg_frame
from boardwright.plan.svg_flat import points_of
from boardwright.plan.svg_frame import SAME, place
from boardwright.plan.svg_path import Cubic, Line, Run, Step, Turn, parse

Point = tuple[float, float]
ERROR = 0.001


def at(before: Point, step: Step, t: float) -> Point:
    """The point of a step at a share of its parameter, by the step's own formula."""
    if isinstance(step, Line):
        return (before[0] + (step.end[0] - before[0]) * t, before[1] + (step.end[1] - before[1]) * t)
    if isinstance(step, Turn):
        a = step.start + step.sweep * t
        return (
            step.centre[0] + math.cos(a) * step.u[0] + math.sin(a) * step.v[0],
            step.centre[1] + math.cos(a) * step.u[1] + math.sin(a) * step.v[1],
        )
    s = 1 - t
    k = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
    four = (before, step.first, step.second, step.end)
    return (
        sum(f * p[0] for f, p in zip(k, four, strict=True)),
        sum(f * p[1] for f, p in zip(k, four, strict=True)),
    )


def same(d: str) -> None:
    """Every step of every run is where the other reader's segments are, at nine places each."""
    runs, wrong = parse(d)
    assert not wrong, d
    own = []
    for run in runs:
        before = run.start
        for step in run.steps:
            own.append((before, step))
            before = step.end
    others = [
        s
        for s in svgelements.Path(d)
        if not isinstance(s, svgelements.Move | svgelements.Close)
        and not (isinstance(s, svgelements.Arc) and s.start == s.end)
    ]
    assert len(own) == len(others), d
    for (before, step), other in zip(own, others, strict=True):
        for k in range(9):
            theirs = other.point(k / 8)
            ours = at(before, step, k / 8)
            assert math.dist(ours, (theirs.x, theirs.y)) < 1e-6 * (1 + math.hypot(theirs.x, theirs.y)), (
                d,
                step,
            )


def path(luck: random.Random) -> str:
    """A path of all commands, absolute and relative, written as programs and as people write them."""

    def number() -> str:
        value = luck.choice((luck.uniform(-300, 300), float(luck.randint(-300, 300)), luck.uniform(-1, 1)))
        return luck.choice((f"{value:.3f}", f"{value:.2e}", f"{value:g}"))

    out = luck.choice("mM") + number() + " " + number()
    last = ""
    for _ in range(luck.randint(1, 12)):
        # a smooth step after one of another kind is checked by hand below: the other reader mixes kinds
        smooth = {"c": "sS", "s": "sS", "q": "tT", "t": "tT"}.get(last.lower(), "")
        command = last = luck.choice("lLhHvVcCqQaAmMzZ" + 3 * smooth)
        out += luck.choice(("", " ", "\n")) + command
        takes = {"h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "a": 7, "z": 0}.get(command.lower(), 2)
        for _ in range(luck.choice((1, 1, 2)) if takes else 0):
            values = [number() for _ in range(takes)]
            if command in "aA":
                values[:2] = [f"{luck.uniform(1, 400):.2f}" for _ in "xy"]
                values[3:5] = [luck.choice("01"), luck.choice("01")]
            out += luck.choice((" ", ",", " , ")).join(values) + " "
        if command in "zZ":
            out += luck.choice(("m", "l", "L")) + f"{number()},{number()}"
    return out


@pytest.mark.parametrize("seed", range(0, 300, 50))
def test_random_paths_as_another_reader_reads_them(seed: int) -> None:
    for n in range(seed, seed + 50):
        same(path(random.Random(n)))


@pytest.mark.parametrize(
    "d",
    [
        "M10-20.5.5l-.5.5",  # numbers run together
        "m1 1 2 2 3 3",  # pairs after a move are lines
        "M0 0a25 25 0 0150 0",  # flags run together
        "M0,0 A 10,5 30 1,0 40,0",  # radii too small to reach
        "M1e1 1E-1L2e+1 0",
    ],
)
def test_ways_to_write_a_path(d: str) -> None:
    if d == "M10-20.5.5l-.5.5":
        runs, _ = parse("M10-20.5.5.5l-.5.5")
        # (10, −20.5), a line to (0.5, 0.5), and on by (−0.5, 0.5)
        assert runs == [Run((10, -20.5), [Line((0.5, 0.5)), Line((0.0, 1.0))])]
    else:
        same(d)


def test_a_path_is_good_up_to_its_mistake() -> None:
    runs, wrong = parse("M0 0L10 0 10 x")
    assert runs == [Run((0, 0), [Line((10, 0))])]
    assert wrong == "a number is missing at character 13"
    for bad in ("10 10", "L1 1", "z", "nonsense", "M"):
        assert parse(bad)[1], bad
    assert parse("") == ([], "")
    assert parse("M0 0L1 1z5 5")[1].startswith("no command")


def test_after_a_close_the_pen_is_at_the_start() -> None:
    runs, _ = parse("M10 10h20v20zl5 5")
    assert [r.closed for r in runs] == [True, False]
    assert runs[1] == Run((10, 10), [Line((15, 15))])


def test_a_smooth_step_after_another_kind_starts_straight() -> None:
    """SVG 1.1, 8.3.6 and 8.3.7 (from memory): without a like step before, the control is where the pen is."""
    (run,), _ = parse("M0 0C1 1 2 2 3 0T6 0S7 1 8 0")
    _, quadratic, cubic = run.steps
    assert quadratic == Cubic((3.0, 0.0), pytest.approx((4.0, 0.0)), (6.0, 0.0))
    assert cubic == Cubic((6.0, 0.0), (7.0, 1.0), (8.0, 0.0))


def test_an_arc_by_hand() -> None:
    assert parse("M0 0A0 5 0 0 1 9 9")[0] == [Run((0, 0), [Line((9, 9))])]  # a radius of nothing: a line
    assert parse("M0 0A5 5 0 0 1 0 0")[0] == []  # to where it is: nothing
    # From (0,0) to (100,0) with r = 50: the half circle round (50,0); positive sweep goes through (50,−50).
    (run,), _ = parse("M0 0A50 50 0 0 1 100 0")
    step = run.steps[0]
    assert isinstance(step, Turn)
    assert step.centre == pytest.approx((50, 0))
    assert at((0, 0), step, 0.5) == pytest.approx((50, -50))


def test_flattened_points_lie_on_the_curve() -> None:
    """Each point of a flattened, skewed arc satisfies the ellipse's equation in its own axes."""
    frame = svg_frame.transform("translate(3,4) skewX(30) scale(2,0.5) rotate(20)")
    (run,), _ = parse("M100 0A100 40 25 0 1 -50 30")
    step = run.steps[0]
    assert isinstance(step, Turn)
    points, closed, _ = points_of(run, frame, ERROR)
    assert not closed
    fine = [place(frame, at(run.start, step, k / 20000)) for k in range(20001)]
    for p in points[::7]:
        assert min(math.dist(p, q) for q in fine) < 0.02
    for p in fine[::500]:  # and no part of the curve is farther from the chords than the error
        assert min(_off(p, a, b) for a, b in pairwise(points)) <= ERROR * 1.01


def _off(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    t = max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)))
    return math.dist(p, (a[0] + t * dx, a[1] + t * dy))


CALLS = st.lists(
    st.one_of(
        st.builds("translate({:.3f},{:.3f})".format, st.floats(-99, 99), st.floats(-99, 99)),
        st.builds("translate({:.3f})".format, st.floats(-99, 99)),
        st.builds("scale({:.3f})".format, st.floats(0.1, 3)),
        st.builds("scale({:.3f} {:.3f})".format, st.floats(-3, 3), st.floats(0.1, 3)),
        st.builds("rotate({:.3f})".format, st.floats(-400, 400)),
        st.builds(
            "rotate({:.3f} , {:.3f} {:.3f})".format, st.floats(-400, 400), st.floats(-9, 9), st.floats(-9, 9)
        ),
        st.builds("skewX({:.3f})".format, st.floats(-60, 60)),
        st.builds("skewY({:.3f})".format, st.floats(-60, 60)),
        st.builds("matrix({:.3f} 0.25,-0.5 1 7 {:.3f})".format, st.floats(0.1, 2), st.floats(-9, 9)),
    ),
    max_size=5,
)


@given(calls=CALLS, x=st.floats(-500, 500), y=st.floats(-500, 500))
@settings(deadline=None, max_examples=150, derandomize=True)
def test_transforms_as_another_reader_reads_them(calls: list[str], x: float, y: float) -> None:
    text = " ".join(calls)
    theirs = svgelements.Matrix(text).point_in_matrix_space((x, y))
    ours = place(svg_frame.transform(text), (x, y))
    assert math.dist(ours, (theirs.x, theirs.y)) < 1e-6 * (1 + math.hypot(*ours))


@pytest.mark.parametrize("text", ["rotate(1,2)", "scale(", "turn(3)", "translate(1 2 3)", "rotate(a)", "x"])
def test_transforms_that_are_none(text: str) -> None:
    with pytest.raises(ValueError, match=r"understood|number"):
        svg_frame.transform(text)


WAYS = [
    "",
    "none",
    *(
        f"x{x}Y{y} {s}"
        for x in ("Min", "Mid", "Max")
        for y in ("Min", "Mid", "Max")
        for s in ("meet", "slice")
    ),
]


@pytest.mark.parametrize("way", WAYS)
def test_view_boxes_as_another_reader_lays_them(way: str) -> None:
    box = (-10.0, 5.0, 200.0, 100.0)
    text = svgelements.Viewbox.viewbox_transform(30, 40, 500, 700, *box, way or None)
    theirs = svgelements.Matrix(text)
    ours = svg_frame.fit(box, 30, 40, 500, 700, way)
    for p in ((0.0, 0.0), (190.0, 105.0), (-10.0, 5.0)):
        other = theirs.point_in_matrix_space(p)
        assert place(ours, p) == pytest.approx((other.x, other.y))


def test_lengths() -> None:
    assert svg_frame.length("1in", 0) == pytest.approx(96)
    assert svg_frame.length("25%", 400) == 100
    assert svg_frame.length("2.5e1", 0) == 25
    assert svg_frame.length("wide", 0, 7) == 7
    assert svg_frame.view_box("0 0 0 5") is None
    assert svg_frame.then(SAME, (2, 0, 0, 2, 1, 1)) == (2, 0, 0, 2, 1, 1)
    assert isinstance(parse("M0 0Q1 1 2 0")[0][0].steps[0], Cubic)
