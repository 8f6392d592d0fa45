"""Two curved parts from one blank: apart by their true outlines, inside what the saw frees, fewer sheets."""

from __future__ import annotations

import math
from collections.abc import Callable
from types import SimpleNamespace
from typing import Literal

import msgspec
import pytest
from msgspec.structs import replace
from shapely import Polygon, box
from shapely.affinity import affine_transform

from boardwright import Notes
from boardwright_outputs.verify import record
from boardwright_outputs.verify.sawing import check_sawing
from boardwright_outputs.verify.sheets import check_placing
from boardwright_stages.nesting.blanks import paired
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import CuttingPlan, Grain, Part, PlacedPart

STOCK = StockSettings(sheets=(StockSheet(name="whole", material="birch ply", thickness_mm=12.0),))


@pytest.fixture
def arc(part: Callable) -> Callable[..., Part]:
    """A strip along a curve: the roadbed under a curved track."""

    def make(id_: str, radius: float, wide: float, angle_deg: float, grain: Grain = Grain.FREE) -> Part:
        first = math.radians(90 - angle_deg / 2)
        turns = [first + math.radians(angle_deg) * n / 24 for n in range(25)]
        ring = [
            (r * math.cos(a), r * math.sin(a))
            for r, run in ((radius, turns), (radius - wide, turns[::-1]))
            for a in run
        ]
        left, low = min(x for x, _ in ring), min(y for _, y in ring)
        corners = tuple((round(x - left, 6), round(y - low, 6)) for x, y in ring)
        size = (max(x for x, _ in corners), max(y for _, y in corners))
        return replace(part(id_, *size, grain), ring=corners)

    return make


def lies(part: Part, placed: PlacedPart) -> Polygon:
    """Quarter turn anticlockwise, half a turn, then its rectangle's lower left corner where it is placed."""
    shape = Polygon(part.ring)
    if placed.turned:
        shape = affine_transform(shape, [0, -1, 1, 0, part.width_mm, 0])
    if placed.half_turn:
        shape = affine_transform(shape, [-1, 0, 0, -1, placed.length_mm, placed.width_mm])
    return affine_transform(shape, [1, 0, 0, 1, placed.x_mm, placed.y_mm])


def proven(plan: CuttingPlan, parts: list[Part], saw: Callable, jigsaw_mm: float) -> int:
    """Asserts what common blanks promise; answers how many there are."""
    by_id = {p.id: p for p in parts}
    assert sorted(p.part for s in plan.sheets for _ in range(s.times) for p in s.parts) == sorted(
        p.id for p in parts
    )
    number = 0
    for sheet in plan.sheets:
        freed = [box(*piece) for piece in saw(sheet).values()]
        for placed in sheet.parts:
            x, y, length, width = placed.shares or (
                placed.x_mm,
                placed.y_mm,
                placed.length_mm,
                placed.width_mm,
            )
            blank = box(x, y, x + length, y + width)
            assert sum(piece.symmetric_difference(blank).area < 0.5 for piece in freed) == 1
            assert blank.buffer(1e-5).contains(lies(by_id[placed.part], placed))
        shapes = [(p, lies(by_id[p.part], p)) for p in sheet.parts]
        for n, (one, a) in enumerate(shapes):
            for two, b in shapes[:n]:
                common = one.shares is not None and one.shares == two.shares
                assert a.distance(b) >= (jigsaw_mm if common else sheet.kerf_mm) - 1e-5
        common_blanks = {p.shares for p in sheet.parts if p.shares}
        number += len(common_blanks)
        said = [c.says for c in sheet.contours if "share a blank" in c.says]
        assert len(said) == len(common_blanks)
    return number


def plan_of(
    parts: list[Part], one_board: Callable, share: Literal["never", "when cheaper", "always"]
) -> CuttingPlan:
    return cutting(one_board(parts), STOCK, CuttingSettings(share_blanks=share), Notes())


def test_arcs_nest_and_save_a_sheet(arc: Callable, one_board: Callable, saw: Callable) -> None:
    """Twelve arcs of 1000 × 229, grain along them: two side by side (2003 of 2420), five one above the other
    (1157 of 1200), ten on a sheet. Two to a blank of about 1000 × 350: six blanks, twelve on a sheet."""
    parts = [arc(f"R{n:02d}", 1000.0, 110.0, 60.0, Grain.LENGTH) for n in range(12)]
    alone = plan_of(parts, one_board, "never")
    shared = plan_of(parts, one_board, "when cheaper")
    assert (alone.sheet_count, shared.sheet_count) == (2, 1)
    assert shared.lower_bounds == (("birch ply", 12.0, 1),)
    assert proven(alone, parts, saw, 8.0) == 0
    assert proven(shared, parts, saw, 8.0) >= 2


def test_where_it_saves_no_sheet_they_share_only_when_asked(
    arc: Callable, one_board: Callable, saw: Callable
) -> None:
    parts = [arc("A", 900.0, 90.0, 60.0), arc("B", 700.0, 70.0, 80.0), arc("C", 500.0, 60.0, 50.0)]
    assert proven(plan_of(parts, one_board, "when cheaper"), parts, saw, 8.0) == 0
    assert proven(plan_of(parts, one_board, "always"), parts, saw, 8.0) == 1


@pytest.mark.parametrize("grain", list(Grain))
def test_two_halves_of_a_rectangle(part: Callable, one_board: Callable, saw: Callable, grain: Grain) -> None:
    ring = ((0.0, 0.0), (500.0, 0.0), (0.0, 300.0))
    parts = [replace(part(f"T{n}", 500.0, 300.0, grain), ring=ring) for n in range(2)]
    (pair,) = paired(parts, 8.0)
    assert pair.saved_mm2 > 0.45 * 2 * 500 * 300
    assert {p.half_turn for p in pair.places} == {False, True}
    plan = plan_of(parts, one_board, "always")
    assert proven(plan, parts, saw, 8.0) == 1
    assert {p.turned for s in plan.sheets for p in s.parts} <= {
        grain is Grain.WIDTH,
        grain is not Grain.LENGTH,
    }


def test_rectangles_and_grains_that_differ_do_not_share(arc: Callable, part: Callable) -> None:
    assert paired([part("A", 500.0, 300.0), part("B", 400.0, 200.0)], 8.0) == []
    assert (
        paired([arc("A", 900.0, 90.0, 60.0, Grain.LENGTH), arc("B", 900.0, 90.0, 60.0, Grain.WIDTH)], 8.0)
        == []
    )


# -- verify ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part_", "change", "codes"),
    [
        (0, {}, []),
        (0, {"x_mm": 200.0}, ["BW-VERIFY-052"]),
        (1, {"half_turn": False}, ["BW-VERIFY-052"]),
        (0, {"shares": None}, ["BW-VERIFY-052", "BW-VERIFY-064"]),
    ],
    ids=["as it is", "moved", "not turned", "a blank of its own"],
)
def test_verify_parts_them_again(
    part: Callable, one_board: Callable, part_: int, change: dict, codes: list[str]
) -> None:
    ring = ((0.0, 0.0), (500.0, 0.0), (0.0, 300.0))
    parts = [replace(part(f"T{n}", 500.0, 300.0, Grain.LENGTH), ring=ring) for n in range(2)]
    data = msgspec.json.decode(msgspec.json.encode(plan_of(parts, one_board, "always")))
    lying = sorted(data["sheets"][0]["parts"], key=lambda p: p["half_turn"])
    lying[part_].update(change)
    found: list[str] = []
    settings = {"cutting": {"jigsaw_mm": 8.0}}
    opened = SimpleNamespace(
        pack=SimpleNamespace(cutting=msgspec.convert(data, record.Cutting), settings=settings, boards=()),
        parts={p.id: msgspec.json.decode(msgspec.json.encode(p), type=record.Part) for p in parts},
        fault=lambda code, says, **_: found.append(code),
    )
    list(check_sawing(opened))  # type: ignore[arg-type]  # only what it reads
    list(check_placing(opened))  # type: ignore[arg-type]  # stands in for the noun
    assert sorted(set(found) - {"BW-VERIFY-055"}) == codes  # no stock is listed here
