"""Units and scale: declared, stated, at prototype size; and what is said when the size is odd."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from boardwright.plan.units import WORDS

Draw = Callable[[Any], None]


def board_of(width: float, height: float) -> Draw:
    def draw(doc: Any) -> None:
        corners = [(0, 0), (width, 0), (width, height), (0, height)]
        doc.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "Edge"})

    return draw


def size(case: Any) -> tuple[float, float]:
    ring = case.plan.outlines[0].ring
    return max(x for x, _ in ring), max(y for _, y in ring)


@pytest.mark.parametrize(
    ("insunits", "length", "width_mm"),
    [
        (4, 1200, 1200),
        (5, 120, 1200),
        (6, 1.2, 1200),
        (1, 48, 1219.2),
        (2, 4, 1219.2),
        (10, 2, 1828.8),
        (14, 12, 1200),
    ],
)
def test_the_headers_unit(read: Any, insunits: int, length: float, width_mm: float) -> None:
    # 1 in = 25.4 mm, so 48 in = 1219.2 mm; 1 ft = 304.8 mm; 1 yd = 914.4 mm; 1 dm = 100 mm.
    case = read(board_of(length, length / 2), insunits=insunits)
    assert size(case) == pytest.approx((width_mm, width_mm / 2))
    assert "BW-READ-004" not in case.notes


@pytest.mark.parametrize(
    ("unit", "each_mm"), [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4), ("ft", 304.8)]
)
def test_the_project_files_unit_goes_before_the_headers(read: Any, unit: str, each_mm: float) -> None:
    case = read(board_of(1200 / each_mm, 600 / each_mm), insunits=13, units=unit)
    assert size(case) == pytest.approx((1200, 600))
    assert f"says {unit}" in case.notes["BW-READ-032"].says


@pytest.mark.parametrize(("width", "height"), [(90, 50), (20, 8), (250_000, 600)])
def test_a_stated_unit_is_obeyed_on_a_tiny_and_on_a_huge_board(
    read: Any, width: float, height: float
) -> None:
    refused = read(board_of(width, height)).problems["BW-READ-005"]
    assert refused.mend.endswith('If it is that size, say so: units = "mm".')
    stated = read(board_of(width, height), units="mm")
    assert size(stated) == (width, height)
    assert stated.notes["BW-READ-006"].severity == "caution"


@pytest.mark.parametrize(
    ("width", "height", "size_mm", "others"),
    [
        (2400, 600, "60960 × 15240", ["mm"]),  # 2400 × 25.4 and 600 × 25.4: longer than 40 m
        (1200, 600, "30480 × 15240", ["cm", "mm"]),  # 30.48 m × 15.24 m = 464.5 m², more than 150 m²
    ],
)
def test_millimetres_under_a_header_of_inches(
    read: Any, width: float, height: float, size_mm: str, others: list[str]
) -> None:
    """Read in inches it would be a hall full of boards: refused at once, not after minutes of parting it."""
    refused = read(board_of(width, height), insunits=1, scale="1:120").problems["BW-READ-005"]
    looks = " or ".join(WORDS[unit] for unit in others)
    assert refused.says == f"the layout is {size_mm} mm over all, read in inches; it looks like {looks}"
    tries = " or ".join(f'units = "{unit}"' for unit in others)
    assert refused.mend == f'Try {tries} under [drawing]. If it is that size, say so: units = "in".'
    stated = read(board_of(width, height), insunits=1, units="in")
    assert stated.notes["BW-READ-006"].severity == "caution"


def test_a_long_layout_that_no_other_unit_explains_is_only_odd(read: Any) -> None:
    """45 m of shelf: 45 000 / 87 = 517 mm would be no layout, nor would 45 m read in any other unit."""
    odd = read(board_of(45_000, 600), scale="1:87")
    assert odd.notes["BW-READ-006"].severity == "caution"


def test_nobody_builds_a_kilometre(read: Any) -> None:
    """A plan in mm, stated to be in metres: 3.6 km. No pack is begun on it."""
    problem = read(board_of(3600, 2400), units="m").problems["BW-READ-005"]
    assert problem.mend == 'Try units = "mm" under [drawing].'


def test_at_prototype_size(read: Any) -> None:
    # A station 105 m × 24 m in metres, at 1:87: 105 000 / 87 = 1206.897 mm, 24 000 / 87 = 275.862 mm.
    case = read(board_of(105, 24), insunits=6, drawn_at="prototype", scale="1:87")
    assert size(case) == pytest.approx((1206.897, 275.862), abs=1e-3)
    assert "divided by 87" in case.notes["BW-READ-035"].says
    unstated = read(board_of(205, 24), insunits=6, scale="1:87").problems["BW-READ-005"]
    assert "the size of the real railway" in unstated.says


def test_a_plan_at_a_tenth(read: Any) -> None:
    case = read(board_of(120, 60), drawn_at="1:10")
    assert size(case) == pytest.approx((1200, 600))
    for wrong in ("", "10", "1:0", "real", "1:1e9"):
        assert "BW-READ-036" in read(board_of(1200, 600), drawn_at=wrong).problems


def test_curves_keep_their_chord_error_on_the_boards(read: Any) -> None:
    """At prototype size the chord error is a board's, not the railway's."""

    def circle(radius: float) -> Draw:
        return lambda doc: doc.modelspace().add_circle((0, 0), radius, dxfattribs={"layer": "Edge"})

    full = read(circle(600)).plan.outlines[0].ring
    scaled = (
        read(circle(600 * 87 / 1000), insunits=6, drawn_at="prototype", scale="1:87").plan.outlines[0].ring
    )
    assert len(full) == len(scaled)


@pytest.mark.parametrize(
    ("each_mm", "word"), [(1000, "metres"), (304.8, "feet"), (25.4, "inches"), (10, "centimetres")]
)
def test_a_device_list_in_other_units(read: Any, each_mm: float, word: str) -> None:
    places = (
        [(2400, 300), (-3, 500), (1800, 650)] if each_mm < 1000 else [(2400, 300), (60, 500), (1800, 650)]
    )
    places = [(2460, 300), (63, 500), (1860, 650)]
    rows = "".join(f"M{n},servo,{x / each_mm:.4f},{y / each_mm:.4f}\n" for n, (x, y) in enumerate(places))

    def draw(doc: Any) -> None:
        corners = [(50, 50), (3000, 50), (3000, 700), (50, 700)]
        doc.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "Edge"})

    problems = read(draw, "id,kind,x_mm,y_mm\n" + rows).problems
    assert set(problems) == {"BW-READ-037"}
    assert f"look like {word}" in problems["BW-READ-037"].says
    assert f"by {each_mm:g}" in problems["BW-READ-037"].mend
    assert problems["BW-READ-037"].where[0].row == 2


def test_metres_that_lie_on_the_corner_of_the_board(read: Any) -> None:
    """From the origin on, 2.4 m read as 2.4 mm is still on the board: it is told all the same."""
    rows = "id,kind,x_mm,y_mm\nA,servo,2.4,0.3\nB,servo,0.1,0.5\n"
    assert "BW-READ-037" in read(board_of(3000, 700), rows).problems
    one_lamp_in_the_corner = "id,kind,x_mm,y_mm\nA,lamp,40,30\n"
    assert read(board_of(3000, 700), one_lamp_in_the_corner).plan.devices
