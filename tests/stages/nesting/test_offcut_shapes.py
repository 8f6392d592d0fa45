"""Offcuts that are no rectangles, or have places nothing may be cut from."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from shapely import Polygon, box
from shapely.affinity import rotate, translate

from boardwright import Notes
from boardwright.errors import InputError
from boardwright.plan.source import SourceFile
from boardwright_stages.nesting.clear import clear
from boardwright_stages.nesting.router_settings import RouterSettings
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_stages.nesting.stock_file import read_stock
from boardwright_timber.model import CuttingPlan, Grain

PLY = StockSheet(name="whole", material="birch ply", thickness_mm=12.0, price=Decimal(60))
OFFCUT = replace(PLY, name="offcut", length_mm=900.0, width_mm=600.0, price=Decimal(0), quantity=1)
NOTCHED = ((0.0, 0.0), (900.0, 0.0), (900.0, 300.0), (400.0, 300.0), (400.0, 600.0), (0.0, 600.0))


def test_the_largest_rectangle_of_an_offcut() -> None:
    assert clear(OFFCUT) == (0.0, 0.0, 900.0, 600.0)
    assert clear(replace(OFFCUT, shape=NOTCHED)) == (0.0, 0.0, 900.0, 300.0)  # 0.27 m², upright 0.24 m²
    knot = ((100.0, 100.0), (150.0, 100.0), (150.0, 150.0), (100.0, 150.0))
    assert clear(replace(OFFCUT, keep_out=(knot,))) == (150.0, 0.0, 750.0, 600.0)  # right of the knot
    everything = ((-1.0, -1.0), (901.0, -1.0), (901.0, 601.0), (-1.0, 601.0))
    assert clear(replace(OFFCUT, keep_out=(everything,)))[2:] == (0.0, 0.0)


POINT = st.tuples(st.integers(0, 900).map(float), st.integers(0, 600).map(float))


@settings(max_examples=12, deadline=None, derandomize=True)
@given(st.lists(POINT, min_size=3, max_size=3, unique=True), st.tuples(POINT, st.integers(5, 200)))
def test_the_rectangle_lies_in_the_offcut_and_off_its_knots(
    corners: list[tuple[float, float]], knot: tuple[tuple[float, float], int]
) -> None:
    (x, y), r = knot
    bad = ((x, y), (x + r, y), (x + r, y + r))
    if Polygon(corners).area < 1:
        return
    left, bottom, length, width = clear(replace(OFFCUT, shape=tuple(corners), keep_out=(bad,)))
    found = box(left, bottom, left + length, bottom + width)
    if length:
        assert Polygon(corners).buffer(1e-3).contains(found)
        assert found.intersection(Polygon(bad)).area < 1e-2


@pytest.mark.parametrize("routed", [False, True], ids=["sawn", "routed"])
def test_parts_come_from_the_offcut_as_it_is(routed: bool, part: Callable, one_board: Callable) -> None:
    """Two strips out of the notched offcut; none of them across its notch or its knot."""
    knot = ((20.0, 30.0), (60.0, 30.0), (60.0, 70.0))
    stock = StockSettings(sheets=(PLY, replace(OFFCUT, shape=NOTCHED, keep_out=(knot,))))
    parts = [part(f"P{n}", 300.0, 90.0, Grain.LENGTH) for n in range(2)]
    how = RouterSettings(thicknesses_mm=(12.0,) if routed else ())
    plan: CuttingPlan = cutting(one_board(parts), stock, CuttingSettings(), Notes(), router=how)
    (sheet,) = plan.sheets
    assert sheet.stock == "offcut"
    dx, dy = sheet.squared or (0.0, 0.0)
    assert routed == (sheet.squared is None)
    assert sheet.outline[0] == (-dx, -dy)
    for placed in sheet.parts:
        shape = translate(box(0, 0, placed.length_mm, placed.width_mm), placed.x_mm + dx, placed.y_mm + dy)
        assert Polygon(NOTCHED).contains(shape)
        assert not shape.intersects(Polygon(knot))


def test_a_router_lays_shapes_where_no_rectangle_would_go(part: Callable, one_board: Callable) -> None:
    """A triangle's largest rectangle is half as long and half as wide; a strip over it fits besides."""
    triangle = ((0.0, 0.0), (900.0, 0.0), (0.0, 600.0))
    stock = StockSettings(sheets=(PLY, replace(OFFCUT, shape=triangle)))
    how = RouterSettings(thicknesses_mm=(12.0,))
    parts = [part("A", 400.0, 200.0), part("B", 120.0, 100.0)]
    plan = cutting(one_board(parts), stock, CuttingSettings(), Notes(), router=how)
    (sheet,) = plan.sheets
    assert sheet.stock == "offcut"
    inside = Polygon(triangle).buffer(-how.edge_mm).buffer(1e-6)
    by_id = {p.id: p for p in parts}
    for p in sheet.parts:
        shape = rotate(Polygon(by_id[p.part].ring), 90 if p.turned else 0, origin=(0, 0))
        shape = translate(shape, p.x_mm - shape.bounds[0], p.y_mm - shape.bounds[1])
        assert inside.contains(shape)


@pytest.mark.parametrize(
    "more", ["shape = [[0, 0], [10, 0]]", "shape = [[0, 0], [2000, 0], [0, 10]]", "keep_out = [[[0, 0]]]"]
)
def test_a_shape_that_is_none_is_refused(more: str) -> None:
    text = f'[[sheet]]\nmaterial = "ply"\nthickness_mm = 9\nlength_mm = 900\nwidth_mm = 600\n{more}\n'
    with pytest.raises(InputError) as told:
        read_stock(SourceFile("stock.toml", text.encode()))
    assert told.value.findings[0].code == "BW-NEST-010"
    good = text.replace(more, "shape = [[0, 0], [900, 0], [0, 600]]")
    sheets, _ = read_stock(SourceFile("stock.toml", good.encode()))
    assert sheets.sheets[0].shape == ((0.0, 0.0), (900.0, 0.0), (0.0, 600.0))


# -- offcuts beside what is bought ------------------------------------------------------------------------


def test_a_file_of_offcuts_is_added_to_the_sheets_there_are(part: Callable, one_board: Callable) -> None:
    left = '[[sheet]]\nname = "left"\nmaterial = "birch ply"\nthickness_mm = 12.0\nlength_mm = 700.0\n'
    left += "width_mm = 300.0\nquantity = 1\nprice = 0.00\n"
    usual = StockSettings()
    stock = StockSettings(offcuts="offcuts.toml")
    assert stock.file_beside() == ("offcuts", "offcuts.toml")
    both = stock.completed({"stock": SourceFile("offcuts.toml", left.encode())})
    assert both.sheets[:-1] == usual.sheets
    assert both.sheets[-1].name == "left"
    notes = Notes()
    plan = cutting(one_board([part("A", 650.0, 250.0)]), both, CuttingSettings(), notes)
    assert [s.stock for s in plan.sheets] == ["left"]  # it costs nothing
    assert "BW-CUT-015" not in [f.code for f in notes.findings]
    assert stock.completed({"stock": SourceFile("offcuts.toml", b"# none\n")}).sheets == usual.sheets


def test_offcuts_in_place_of_the_sheets_are_told(part: Callable, one_board: Callable) -> None:
    notes = Notes()
    alone = StockSettings(
        sheets=(StockSheet(name="left", material="birch ply", thickness_mm=12.0, quantity=1),)
    )
    cutting(one_board([part("A", 650.0, 250.0)]), alone, CuttingSettings(), notes)
    assert "BW-CUT-015" in [f.code for f in notes.findings]
