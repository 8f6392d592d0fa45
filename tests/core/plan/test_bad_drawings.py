"""What cannot be used is refused with what, where and mend; what can be repaired is said."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from boardwright.plan import dxf
from boardwright.plan.rings import area

Draw = Callable[[Any], None]
EDGE = {"layer": "Edge"}


def lines(*ends: tuple[tuple[float, float], tuple[float, float]]) -> Draw:
    def draw(doc: Any) -> None:
        for a, b in ends:
            doc.modelspace().add_line(a, b, dxfattribs=EDGE)

    return draw


def ring(*points: tuple[float, float]) -> Draw:
    def draw(doc: Any) -> None:
        doc.modelspace().add_lwpolyline(points, close=True, dxfattribs=EDGE)

    return draw


@pytest.mark.parametrize("data", [b"", b"  \n", b"not a drawing", b"%PDF-1.7\n%\xe2\xe3", b"\0" * 500])
def test_not_a_drawing(read: Any, data: bytes) -> None:
    problems = read(data).problems
    assert set(problems) <= {"BW-READ-001", "BW-READ-003"}
    assert all(p.mend and p.where[0].file == "plan.dxf" for p in problems.values())


def test_empty_drawing(read: Any) -> None:
    problems = read(lambda doc: doc.layers.add("Edge")).problems
    assert "empty" in problems["BW-READ-003"].says


def test_open_outline_names_its_ends_and_the_gap_that_would_close_it(read: Any) -> None:
    draw = lines(((0, 0), (800, 0)), ((800, 0), (800, 400)), ((800, 400), (0, 400)), ((0, 400), (0, 3)))
    problem = read(draw).problems["BW-READ-011"]
    assert "(0.00, 0.00) and (0.00, 3.00) are 3.00 mm apart" in problem.says
    assert problem.mend == "Join the ends, or set gap_mm = 3.01 under [drawing]."
    assert problem.where[0].layer == "Edge"
    assert problem.where[0].handle
    closed = read(draw, gap_mm=3.01)
    assert closed.plan.outlines
    assert "3.000 mm" in closed.notes["BW-READ-017"].says


def test_open_ends_are_named_with_those_they_belong_to(read: Any) -> None:
    # Gaps of 60 at (800, 200) and 90 at (0, 200); the ends of the short piece between them lie 40 apart.
    draw = lines(
        *(((0, 155), (0, 0)), ((0, 0), (800, 0)), ((800, 0), (800, 170))),
        *(((800, 230), (800, 400)), ((800, 400), (0, 400)), ((0, 400), (0, 245))),
    )
    says = read(draw).problems["BW-READ-011"].says
    assert says.count("apart") == 2
    assert "(800.00, 170.00) and (800.00, 230.00) are 60.00 mm apart" in says
    assert "(0.00, 155.00) and (0.00, 245.00) are 90.00 mm apart" in says
    stub = lines(((0, 0), (800, 0)), ((800, 0), (800, 400)), ((800, 400), (0, 0)), ((300, 500), (340, 500)))
    says = read(stub).notes["BW-READ-012"].says
    assert "(300.00, 500.00) and (340.00, 500.00) are 40.00 mm apart" in says


@pytest.mark.parametrize("kept", [0.15, 0.6])
def test_a_file_that_stops_before_the_plan_is_not_called_empty(kept: float, read: Any, to_bytes: Any) -> None:
    whole = to_bytes(ring((0, 0), (800, 0), (800, 400), (0, 400)))
    problem = read(whole[: int(len(whole) * kept)]).problems["BW-READ-001"]
    assert "stops before its end" in problem.says
    assert "again" in problem.mend


def test_a_missing_side_is_not_mended_by_a_gap(read: Any) -> None:
    problem = read(lines(((0, 0), (800, 0)), ((800, 0), (800, 400)))).problems["BW-READ-011"]
    assert problem.mend.startswith("Draw the missing piece")


def test_self_crossing_outline_says_where(read: Any) -> None:
    # The diagonals of the bow tie (0,0)–(1000,500) and (1000,0)–(0,500) cross at (500, 250).
    problem = read(ring((0, 0), (1000, 500), (1000, 0), (0, 500))).problems["BW-READ-014"]
    assert "(500.00, 250.00)" in problem.says
    assert (problem.where[1].x_mm, problem.where[1].y_mm) == (500, 250)


def test_a_line_across_the_edge_is_told(read: Any) -> None:
    sides = [((0, 0), (800, 0)), ((800, 0), (800, 400)), ((800, 400), (0, 400)), ((0, 400), (0, 0))]
    case = read(lines(*sides, ((800, 0), (0, 400))))
    assert "divide it into 2 areas" in case.notes["BW-READ-013"].says
    assert area(case.plan.outlines[0].ring) == 320_000


def test_overlapping_outlines(read: Any) -> None:
    def draw(doc: Any) -> None:
        ring((0, 0), (800, 0), (800, 400), (0, 400))(doc)
        ring((700, 0), (1500, 0), (1500, 400), (700, 400))(doc)

    assert "BW-READ-015" in read(draw).problems


def test_all_problems_are_told_together(read: Any) -> None:
    draw = lines(((0, 0), (800, 0)), ((800, 0), (800, 400)))
    problems = read(draw, "id,kind,x_mm,y_mm\nM1,srvo,1,1\n", scale="huge").problems
    assert set(problems) == {"BW-READ-011", "BW-READ-026", "BW-READ-046"}


def test_no_layer_for_the_outline(read: Any) -> None:
    def draw(doc: Any) -> None:
        doc.modelspace().add_circle((0, 0), 300, dxfattribs={"layer": "Rim"})

    assert "'Rim'" in read(draw).problems["BW-READ-008"].mend
    named = read(draw, layers={"outline": ["Rimm"]})
    assert "BW-READ-008" in named.problems
    assert "'Rim'" in named.notes["BW-READ-009"].mend


def test_a_layer_in_two_roles_and_guessed_roles(read: Any, board: Draw) -> None:
    case = read(board, layers={"outline": ["Edge"], "tracks": ["Edge"]})
    assert "read as outline" in case.notes["BW-READ-010"].says
    assert "outline = 'Edge'" in read(board).notes["BW-READ-007"].says


@pytest.mark.parametrize(
    ("size", "units"),
    [
        ((3.6, 2.4), ["m", "ft"]),  # 3.6 m, 1.1 m
        ((12, 8), ["m", "ft"]),  # 12 m, 3.7 m
        ((142, 94), ["in", "cm"]),  # 3.6 m, 1.4 m
        ((0.0, 0.0), []),
    ],
)
def test_absurd_sizes_name_the_likely_units(read: Any, size: tuple[float, float], units: list[str]) -> None:
    w, h = size
    problems = read(ring((0, 0), (w, 0), (w, h), (0, h))).problems
    if units:
        tries = " or ".join(f'units = "{unit}"' for unit in units)
        mend = f'Try {tries} under [drawing]. If it is that size, say so: units = "mm".'
        assert problems["BW-READ-005"].mend == mend
    else:
        assert "BW-READ-011" in problems


def test_odd_size_and_undeclared_units(read: Any) -> None:
    case = read(ring((0, 0), (200, 0), (200, 150), (0, 150)), insunits=0)
    assert "BW-READ-006" in case.notes
    assert case.notes["BW-READ-004"].severity == "mended"
    assert "BW-READ-032" in read(ring((0, 0), (90, 0), (90, 50), (0, 50)), units="cm").notes


@pytest.mark.parametrize("scale", ["", "76.2", "1:0", "1:-3", "2:1", "1:nan", "1:1e3"])
def test_bad_scales(read: Any, board: Draw, scale: str) -> None:
    assert "BW-READ-026" in read(board, scale=scale).problems


@pytest.mark.parametrize(("scale", "ratio"), [("1:76.2", 76.2), (" 1 : 87 ", 87), ("1/22,5", 22.5)])
def test_good_scales(read: Any, board: Draw, scale: str, ratio: float) -> None:
    assert read(board, scale=scale).plan.scale_ratio == ratio


def test_points_that_are_no_places(read: Any, board: Draw, to_bytes: Any) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_line((0, 123456), (100, 100), dxfattribs={"layer": "Track"})

    data = to_bytes(draw)
    assert "BW-READ-019" in read(data.replace(b"123456.0", b"1e300")).problems
    assert "BW-READ-019" in read(data.replace(b"123456.0", b"nan")).problems


def test_a_circle_of_a_thousand_kilometres(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_circle((0, 0), 1e12, dxfattribs={"layer": "Track"})

    assert "too large" in read(draw).problems["BW-READ-019"].says


def test_blocks_within_blocks_without_end(read: Any, board: Draw, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dxf, "MOST_THINGS", 2_000)

    def draw(doc: Any) -> None:
        board(doc)
        for i in range(30):
            block = doc.blocks.new(f"B{i}")
            for _ in range(9):
                block.add_blockref(f"B{i + 1}", (0, 0))
            block.add_line((0, 0), (1, 1))
        doc.modelspace().add_blockref("B0", (0, 0), dxfattribs={"layer": "Track"})

    assert "BW-READ-020" in read(draw).problems


def test_things_left_out_are_told(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        space = doc.modelspace()
        space.add_arc((500, 0), 100, 0, 90, dxfattribs={"layer": "Joints"})
        space.add_line((0, 0), (50, 50), dxfattribs={"layer": "Obstacles"})
        space.add_line((0, 0), (50, 50), dxfattribs={"layer": "Turnouts"})
        space.add_line((0, 0), (50, 50), dxfattribs={"layer": "Devices"})
        space.add_line((0, -200), (500, -200), dxfattribs=EDGE)
        space.add_point((5000, 0), dxfattribs={"layer": "Lift"})
        doc.blocks.new("HOLLOW")
        space.add_blockref("HOLLOW", (100, 100), dxfattribs={"layer": "Turnouts"})
        block = doc.blocks.new("LONG")
        block.add_line((0, 0), (400, 40))
        block.add_line((0, 0), (400, 0))
        for x in (300, 900):
            insert = space.add_blockref("LONG", (x, 100), dxfattribs={"layer": "Turnouts"})
            insert.add_attrib("NAME", "T01", (0, 0))
        doc.layers.add("Joints").off()

    case = read(draw)
    told = {f"BW-READ-{n:03d}" for n in (12, 21, 22, 23, 24, 28, 29, 30, 31, 33)}
    assert told <= set(case.notes)
    assert [t.id for t in case.plan.turnouts] == ["T01", "T01-2"]
    assert not case.plan.drawn_joints
    assert not case.plan.obstacles


def test_a_piece_drawn_twice(read: Any) -> None:
    sides = [((0, 0), (800, 0)), ((800, 0), (800, 400)), ((800, 400), (0, 400)), ((0, 400), (0, 0))]
    case = read(lines(*sides, sides[1]))
    assert len(case.plan.outlines) == 1
    assert "BW-READ-016" in case.notes


def test_a_file_cut_short_is_said(read: Any, board: Draw, to_bytes: Any) -> None:
    data = to_bytes(board)
    cut = data[: data.rindex(b"OBJECTS")]
    case = read(cut)
    assert case.plan.outlines
    assert "BW-READ-034" in case.notes
