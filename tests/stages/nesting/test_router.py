"""Router sheets, checked with shapely alone: what lies where, and what a round cutter leaves of it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from decimal import Decimal
from itertools import combinations
from types import SimpleNamespace

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Point, Polygon, box
from shapely.affinity import rotate, translate
from shapely.ops import unary_union

from boardwright import Notes
from boardwright.plan.source import SourceFile
from boardwright_outputs.offcuts.stock_file import stock_file
from boardwright_outputs.verify import record
from boardwright_outputs.verify.milling import check_milling
from boardwright_stages.nesting.router_settings import RouterSettings
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_stages.nesting.stock_file import read_stock
from boardwright_stages.nesting.toolpath import routed
from boardwright_timber.model import (
    BoardParts,
    CutSheet,
    CuttingPlan,
    Face,
    Grain,
    Hole,
    HoleKind,
    Part,
    PlacedPart,
    Placement,
    RouteStep,
)

PLY = StockSheet(name="whole", material="birch ply", thickness_mm=12.0, price=Decimal(60))
ROUTER = RouterSettings(thicknesses_mm=(12.0,))

type Ring = Sequence[tuple[float, float]]


def shaped(
    id_: str,
    ring: Ring,
    grain: Grain = Grain.FREE,
    holes: Sequence[Hole] = (),
    openings: Sequence[Ring] = (),
) -> Part:
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    assert min(xs) == min(ys) == 0
    return Part(
        id=id_,
        board="A",
        role="deck",
        label=id_,
        material="birch ply",
        thickness_mm=12.0,
        length_mm=max(xs),
        width_mm=max(ys),
        grain=grain,
        ring=tuple(ring),
        openings=tuple(tuple(o) for o in openings),
        holes=tuple(holes),
        area_mm2=Polygon(ring).area,
        mass_kg=0.0,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
    )


def ell(long: float, wide: float, leg: float) -> Ring:
    return ((0, 0), (long, 0), (long, leg), (leg, leg), (leg, wide), (0, wide))


def half_round(r: float) -> Ring:
    arc = [(r + r * math.cos(n * math.pi / 24), r * math.sin(n * math.pi / 24)) for n in range(25)]
    return [(round(x, 6), round(y, 6)) for x, y in arc]


def route(
    parts: Sequence[Part],
    how: RouterSettings = ROUTER,
    sheets: Sequence[StockSheet] = (PLY,),
    saw: CuttingSettings = CuttingSettings(),
) -> tuple[CuttingPlan, Notes]:
    notes = Notes()
    plan = cutting(
        {"A": BoardParts(board="A", parts=tuple(parts))},
        StockSettings(sheets=tuple(sheets)),
        saw,
        notes,
        router=how,
    )
    return plan, notes


def lies(part: Part, placed: PlacedPart, ring: Ring | None = None) -> Polygon:
    """The part on its sheet, by turning it about its corner and pushing its blank where it lies."""
    turn = (90 if placed.turned else 0) + (180 if placed.half_turn else 0)
    left, bottom, _, _ = rotate(Polygon(part.ring), turn, origin=(0, 0)).bounds
    shape = rotate(Polygon(ring or part.ring), turn, origin=(0, 0))
    return translate(shape, placed.x_mm - left, placed.y_mm - bottom)


def check_sheet(sheet: CutSheet, parts: dict[str, Part], how: RouterSettings) -> None:
    assert sheet.routing is not None
    assert not sheet.cuts
    real = [(p, parts[p.part], lies(parts[p.part], p)) for p in sheet.parts]
    inside = box(0, 0, sheet.length_mm, sheet.width_mm).buffer(-how.edge_mm).buffer(1e-6)
    for placed, part, shape in real:
        assert inside.contains(shape)
        assert shape.bounds[2:] == pytest.approx(
            (placed.x_mm + placed.length_mm, placed.y_mm + placed.width_mm), abs=1e-6
        )
        assert part.grain is Grain.FREE or placed.turned == (part.grain is Grain.WIDTH)
    for (_, _, a), (_, _, b) in combinations(real, 2):
        assert a.distance(b) >= how.tool_mm + how.lead_mm - 1e-6
    check_cutter(sheet, [shape for _, _, shape in real], how)


def check_cutter(sheet: CutSheet, shapes: Sequence[Polygon], how: RouterSettings) -> None:
    """The cutter as a disc: it takes nothing but reliefs, and its edge goes all along every outline."""
    assert sheet.routing is not None
    r = how.tool_mm / 2
    steps = sheet.routing.steps
    assert [s.step for s in steps] == list(range(1, len(steps) + 1))
    outlines = [s for s in steps if s.kind == "outline"]
    assert steps[len(steps) - len(outlines) :] == tuple(outlines), "all that is inside comes first"
    assert Counter(s.part for s in outlines) == Counter(p.part for p in sheet.parts)
    for step in outlines:
        path = LinearRing(step.path)
        assert not path.is_ccw or step.relief  # an excursion may hide which way a ring goes
        bites = unary_union([Point(p).buffer(r + 1e-3, quad_segs=64) for p in step.relief])
        for shape in shapes:
            assert shape.intersection(path.buffer(r - 1e-3)).difference(bites).area < 0.05
            if step.lead is not None:
                assert shape.distance(Point(step.lead)) >= r - 1e-6
        own = min(shapes, key=path.distance)
        assert own.exterior.difference(path.buffer(r + 0.02)).length < 0.5, "the edge is cut all round"
        for a, b in step.tabs:
            assert path.distance(Point(a)) < 1e-4
            assert path.distance(Point(b)) < 1e-4
            assert math.dist(a, b) == pytest.approx(how.tab_mm, rel=0.03)  # its chord, on a curve
        assert len(step.tabs) >= 2


def test_two_ells_share_a_sheet_that_holds_one_rectangle_of_theirs() -> None:
    """Each ell's blank is 1800 × 1100: two do not fit 2440 × 1220. The ells themselves do, one turned."""
    parts = [shaped(f"P{n}", ell(1800, 1100, 500)) for n in (1, 2)]
    sawn, _ = route(parts, RouterSettings(), saw=CuttingSettings(share_blanks="never"))
    assert len(sawn.sheets) == 2
    plan, notes = route(parts)
    (sheet,) = plan.sheets
    check_sheet(sheet, {p.id: p for p in parts}, ROUTER)
    assert plan.lower_bounds == (("birch ply", 12.0, 1),)
    assert [f.code for f in notes.findings] == ["BW-CUT-010"]


SIZES = st.integers(60, 700).map(float)
OUTLINES = st.one_of(
    st.tuples(SIZES, SIZES).map(lambda s: ((0.0, 0.0), (s[0], 0.0), s, (0.0, s[1]))),
    st.tuples(SIZES, SIZES).map(lambda s: ell(s[0] + 60, s[1] + 60, min(s) / 2 + 20)),
    st.integers(60, 350).map(half_round),
)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(st.lists(st.tuples(OUTLINES, st.sampled_from(list(Grain))), min_size=1, max_size=14))
def test_whatever_is_cut_lies_apart_and_keeps_its_edge(wanted: list[tuple[Ring, Grain]]) -> None:
    parts = [shaped(f"P{n:02d}", ring, grain) for n, (ring, grain) in enumerate(wanted)]
    plan, _ = route(parts)
    assert sorted(p.part for s in plan.sheets for p in s.parts) == [p.id for p in parts]
    for sheet in plan.sheets:
        check_sheet(sheet, {p.id: p for p in parts}, ROUTER)
    need = sum(Polygon(p.ring).area for p in parts) / (2440 * 1220)
    assert plan.lower_bounds[0][2] <= len(plan.sheets)
    assert plan.lower_bounds[0][2] >= math.ceil(need)


def test_the_same_parts_give_the_same_sheets_and_never_more_than_rectangles_with_the_gap() -> None:
    parts = [shaped(f"P{n:02d}", half_round(150 + 13 * n)) for n in range(12)]
    parts += [shaped(f"Q{n:02d}", ell(900, 700 - 30 * n, 120)) for n in range(6)]
    plan, _ = route(parts)
    assert route(parts)[0] == plan
    wide = CuttingSettings(kerf_mm=10.0, trim_mm=20.0, stages=0)
    board = {"A": BoardParts(board="A", parts=tuple(parts))}
    sawn = cutting(board, StockSettings(sheets=(PLY,)), wide, Notes())
    assert plan.sheet_count < sawn.sheet_count


@pytest.mark.parametrize("tool_mm", [1.0, 3.0, 6.0, 12.0, 30.0])
@pytest.mark.parametrize("turn_deg", [2.0, 7.6, 15.2, 16.8, 28.0, 90.0])
def test_round_a_corner_the_cutter_keeps_its_radius(tool_mm: float, turn_deg: float) -> None:
    """Corners of any turn, as a free curve drawn in pieces has them: an arc of straight steps cuts in by its
    sagitta, 0.01 mm at most, however few steps it needs; and nothing is left standing."""
    lean = math.radians(turn_deg)
    ring = ((0.0, 0.0), (400.0, 0.0), (400.0 + 200 * math.sin(lean), 200 * math.cos(lean)), (0.0, 200.0))
    path = routed(shaped("A-D", ring), RouterSettings(tool_mm=tool_mm)).steps[-1].path
    edge, r = LinearRing(ring), tool_mm / 2
    assert r - 0.0101 <= edge.distance(LinearRing(path)) <= r + 1e-5
    assert edge.hausdorff_distance(LinearRing(path)) <= r + 1e-5


def test_inside_corners_are_relieved_so_that_a_square_edge_goes_in() -> None:
    """The bite's circle passes through the corner; without it a 6 mm cutter leaves 3 − 3/√2 … rounded."""
    part = shaped("P", ell(400, 300, 100), openings=[((20, 20), (80, 20), (80, 80), (20, 80))])
    opening, outline = routed(part, ROUTER).steps
    assert (opening.kind, outline.kind) == ("opening", "outline")
    assert [math.dist(p, (100, 100)) for p in outline.relief] == [pytest.approx(3.0)]
    assert sorted(round(min(math.dist(p, c) for c in ((20, 20), (80, 20), (80, 80), (20, 80))), 6)
                  for p in opening.relief) == [3.0] * 4  # fmt: skip
    plain = routed(part, RouterSettings(relieve=False)).steps
    assert all(not s.relief for s in plain)
    reach = LinearRing(plain[-1].path).buffer(3.0, quad_segs=64).distance(Point(100, 100))
    assert reach == pytest.approx(3 * (math.sqrt(2) - 1), abs=1e-2)
    assert LinearRing(outline.path).buffer(3.0, quad_segs=64).distance(Point(100, 100)) < 1e-2


def hole(diameter: float, x: float, y: float, depth: float | None = None, face: Face = Face.OUTER) -> Hole:
    return Hole(kind=HoleKind.BOLT, x_mm=x, y_mm=y, diameter_mm=diameter, depth_mm=depth, face=face)


def test_small_holes_are_drilled_wide_ones_milled_on_a_helix_inside_before_outside() -> None:
    holes = [hole(20, 50, 50), hole(3, 150, 50), hole(8.5, 250, 50), hole(12, 100, 50, depth=5.0)]
    part = shaped("P", ((0, 0), (300, 0), (300, 100), (0, 100)), Grain.LENGTH, holes)
    plan, notes = route([part])
    (sheet,) = plan.sheets
    assert sheet.routing is not None
    steps = sheet.routing.steps
    assert [(s.kind, s.diameter_mm, s.depth_mm) for s in steps] == [
        ("drill", 3.0, None),
        ("drill", 8.5, None),
        ("helix", 12.0, 5.0),
        ("helix", 20.0, None),
        ("outline", 0.0, None),
    ]
    placed = sheet.parts[0]
    assert steps[3].at == (placed.x_mm + 50, placed.y_mm + 50)
    # the middle of a 6 mm cutter goes round 7 mm from the middle of a 20 mm hole
    assert {round(math.dist(p, steps[3].at), 4) for p in steps[3].path} == {7.0}
    assert "right through" in steps[3].says
    assert "5 mm deep" in steps[2].says
    assert not any(f.code == "BW-CUT-013" for f in notes.findings)


def test_what_the_cutter_cannot_do_is_told() -> None:
    notched = ((0, 0), (300, 0), (300, 100), (152, 100), (152, 40), (148, 40), (148, 100), (0, 100))
    back = shaped("B", ((0, 0), (300, 0), (300, 100), (0, 100)), holes=[hole(5, 20, 20, 6.0, Face.INNER)])
    slit = shaped(
        "S", ((0, 0), (300, 0), (300, 100), (0, 100)), openings=[((20, 20), (80, 20), (80, 24), (20, 24))]
    )
    _, notes = route([shaped("N", notched), back, slit])
    told = [f.says for f in notes.findings if f.code == "BW-CUT-013"]
    assert len(told) == 3
    assert any("notch" in t for t in told)
    assert any("by hand" in t for t in told)
    assert any("opening is narrower" in t for t in told)


def test_bridges_keep_off_corners_and_there_may_be_none() -> None:
    part = shaped("P", ((0, 0), (500, 0), (500, 200), (0, 200)))
    (outline,) = routed(part, ROUTER).steps
    assert len(outline.tabs) == 4  # 1400 mm and a little of outline, one for 400
    for a, b in outline.tabs:
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        assert all(math.dist(middle, c) > ROUTER.tab_mm / 2 + 3 for c in part.ring)
    (bare,) = routed(part, RouterSettings(tab_mm=0.0)).steps
    assert bare.tabs == ()


def test_only_the_thickness_asked_for_is_routed(part: Callable) -> None:
    thin = StockSheet(name="thin", material="birch ply", thickness_mm=9.0)
    parts = [part("A", 500.0, 100.0), part("B", 500.0, 100.0, thickness=9.0)]
    plan, notes = route(parts, RouterSettings(thicknesses_mm=(12.0, 18.0)), (PLY, thin))
    assert {s.thickness_mm: s.routing is not None for s in plan.sheets} == {12.0: True, 9.0: False}
    (idle,) = [f.says for f in notes.findings if f.code == "BW-CUT-016"]
    assert "thicknesses_mm has 18:" in idle


def test_a_part_larger_than_the_sheet_less_its_margin_is_told(part: Callable) -> None:
    plan, notes = route([part("A", 2410.0, 100.0)])
    assert [u.part for u in plan.unplaced] == ["A"]
    assert notes.findings[0].code == "BW-CUT-002"


def test_what_falls_out_of_an_opening_is_stock_with_its_shape() -> None:
    """An ell 500 × 400 with arms of 150: the cutter of 6 takes 6 of every side, 0.5 more is left off."""
    well = ((50.0, 50.0), (550.0, 50.0), (550.0, 200.0), (200.0, 200.0), (200.0, 450.0), (50.0, 450.0))
    ring = ((0.0, 0.0), (600.0, 0.0), (600.0, 500.0), (0.0, 500.0))
    part = shaped("W", ring, Grain.LENGTH, openings=(well,))
    plan, _ = route([part])
    (sheet,) = plan.sheets
    (left,) = [o for o in sheet.offcuts if o.piece == "inside W"]
    assert (left.length_mm, left.width_mm) == pytest.approx((487.0, 387.0), abs=0.01)
    assert Polygon(left.shape).area == pytest.approx(487 * 137 + 137 * 250, abs=2.0)
    text = stock_file(plan.sheets)
    (kept,) = [s for s in read_stock(SourceFile("offcuts.toml", text))[0].sheets if "inside W" in s.name]
    assert (kept.shape, kept.length_mm) == (left.shape, left.length_mm)
    hole = lies(part, sheet.parts[0], well)
    assert hole.buffer(-6.0).contains(translate(Polygon(left.shape), left.x_mm, left.y_mm))


def test_cheap_offcuts_go_first(part: Callable) -> None:
    offcut = StockSheet(
        name="offcut", material="birch ply", thickness_mm=12.0, length_mm=700.0, width_mm=500.0,
        price=Decimal(0), quantity=1,
    )  # fmt: skip
    plan, _ = route([shaped("P", half_round(200))], sheets=(PLY, offcut))
    assert [s.stock for s in plan.sheets] == ["offcut"]


def test_steps_are_plain_data() -> None:
    """A reader of the data needs no library of shapes."""
    step = routed(shaped("P", half_round(100)), ROUTER).steps[-1]
    assert isinstance(step, RouteStep)
    assert all(isinstance(v, float) for p in step.path for v in p)


def told_by_verify(plan: CuttingPlan, parts: Sequence[Part], change: Callable[[dict], None]) -> list[str]:
    """What `boardwright verify` says of the steps, once the data are changed."""
    data = msgspec.json.decode(msgspec.json.encode(plan))
    change(data["sheets"][0]["routing"]["steps"])
    found: list[str] = []
    opened = SimpleNamespace(
        pack=SimpleNamespace(cutting=msgspec.convert(data, record.Cutting)),
        parts={p.id: msgspec.json.decode(msgspec.json.encode(p), type=record.Part) for p in parts},
        fault=lambda code, says, **_: found.append(code),
    )
    list(check_milling(opened))  # type: ignore[arg-type]  # only what it reads
    return sorted(set(found))


def shifted(steps: list[dict]) -> None:
    steps[-1]["path"] = [[x + 2.0, y] for x, y in steps[-1]["path"]]


@pytest.mark.parametrize(
    ("change", "codes"),
    [
        (lambda steps: None, []),
        (shifted, ["BW-VERIFY-067"]),
        (lambda steps: steps.pop(), ["BW-VERIFY-066"]),
        (lambda steps: steps.insert(0, steps.pop()), ["BW-VERIFY-066"]),
    ],
    ids=["as it is", "a path is moved", "a step is lost", "steps change places"],
)
def test_verify_follows_the_cutter(change: Callable[[list[dict]], None], codes: list[str]) -> None:
    parts = [shaped("P", ell(400, 300, 100), holes=[hole(20, 50, 50)]), shaped("Q", half_round(150))]
    plan, _ = route(parts)
    assert told_by_verify(plan, parts, change) == codes
