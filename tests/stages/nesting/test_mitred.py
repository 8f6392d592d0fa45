"""Bars with slanted ends: pieces nose to tail, replayed by a saw that knows only the cut list."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import msgspec
import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright_outputs.verify import record
from boardwright_outputs.verify.sawing import check_sawing
from boardwright_outputs.verify.sheets import check_placing
from boardwright_stages.nesting.mitres import Room, stick_of
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import BoardParts, Cut, CutSheet, CuttingPlan, Part, PlacedPart

THICK, WIDE = 18.0, 70.0
BAR = StockSheet(
    name="bar",
    material="softwood",
    thickness_mm=THICK,
    length_mm=2400.0,
    width_mm=WIDE,
    price=Decimal("4.80"),
    bar=True,
)
# a bar's four edges as it lies: (lower face?, upper edge?)
EDGES = tuple(itertools.product((False, True), repeat=2))
type Ends = list[float]


@pytest.fixture
def rail(part: Callable) -> Callable[..., Part]:
    """``bevels``: left, right, deg. ``mitres``: how far the upper corners stand in from the lower ones."""

    def make(
        id_: str,
        length: float,
        bevels: tuple[float, float] = (0.0, 0.0),
        mitres: tuple[float, float] = (0.0, 0.0),
    ) -> Part:
        left, right = mitres
        ring = (
            (max(-left, 0.0), 0.0),
            (length - max(-right, 0.0), 0.0),
            (length - max(right, 0.0), WIDE),
            (max(left, 0.0), WIDE),
        )
        return replace(
            part(id_, length, WIDE),
            material="softwood",
            thickness_mm=THICK,
            ring=ring,
            left_bevel_deg=bevels[0],
            right_bevel_deg=bevels[1],
        )

    return make


def plan_of(parts: list[Part]) -> tuple[CuttingPlan, Notes]:
    notes = Notes()
    boards = {"A": BoardParts(board="A", parts=tuple(parts))}
    return cutting(boards, StockSettings(sheets=(BAR,)), CuttingSettings(), notes), notes


# -- the saw -------------------------------------------------------------------------------------------


def sawn(sheet: CutSheet) -> list[tuple[Ends, Ends]]:
    """Where the ends of every piece lie on the four edges once all cuts are made."""
    pieces = [([0.0] * 4, [sheet.length_mm] * 4)]
    for cut in sheet.cuts:
        near = [
            cut.at_mm + cut.lean_mm * ((cut.slant == "bevel") * low + (cut.slant == "mitre") * up)
            for low, up in EDGES
        ]
        across = {"": 1.0, "bevel": THICK, "mitre": WIDE}[cut.slant]
        kerf = sheet.kerf_mm / math.cos(math.atan(cut.lean_mm / across))
        (hand,) = [
            p
            for p in pieces
            if all(a <= x + 1e-6 and x < b for a, x, b in zip(p[0], near, p[1], strict=True))
        ]
        pieces.remove(hand)
        left, right = (hand[0], near), ([x + kerf for x in near], hand[1])
        kept = left if cut.from_edge == "left" else right
        assert max(kept[1]) - min(kept[0]) == pytest.approx(cut.setting_mm, abs=1e-5)
        pieces += [right] if cut.says.startswith("Trim the left") else [left]
        pieces += [] if cut.says.startswith("Trim") else [right]
    return pieces


def real(part: Part, placed: PlacedPart) -> tuple[Ends, Ends]:
    """A part's own ends where it lies, from its profile and its bevels."""
    low, high = ([x for x, y in part.ring if y == edge] for edge in (0.0, WIDE))
    lefts, rights = [], []
    for below, up in EDGES:
        back = below != placed.rolled
        row = high if (up != placed.rolled) != placed.half_turn else low
        ends = []
        for bevel in (part.left_bevel_deg, part.right_bevel_deg):
            run = THICK * math.tan(math.radians(bevel))
            ends.append(max(run, 0.0) if back else max(-run, 0.0))
        a, b = min(row) + ends[0], max(row) - ends[1]
        a, b = (part.length_mm - b, part.length_mm - a) if placed.half_turn else (a, b)
        lefts.append(placed.x_mm + a)
        rights.append(placed.x_mm + b)
    return lefts, rights


def replayed(plan: CuttingPlan, parts: list[Part]) -> int:
    """Asserts that each part comes off the saw once, every end square at its long point or as it is to be;
    answers how many slanted ends the saw has made."""
    by_id = {p.id: p for p in parts}
    assert sorted(p.part for s in plan.sheets for p in s.parts) == sorted(by_id)
    made = 0
    for sheet in plan.sheets:
        pieces = sawn(sheet)
        by_hand = [c.part for c in sheet.contours if c.kind in ("bevel", "line")]
        for placed in sheet.parts:
            part = by_id[placed.part]
            wanted = real(part, placed)
            long = ([placed.x_mm] * 4, [placed.x_mm + part.length_mm] * 4)
            ends = [
                next(
                    (
                        want
                        for want in (w, blank)
                        if all(abs(a - b) < 0.01 for a, b in zip(have, want, strict=True))
                    ),
                    None,
                )
                for piece in pieces
                for have, w, blank in zip(piece, wanted, long, strict=True)
            ]
            whole = [pair for pair in itertools.batched(ends, 2) if None not in pair]
            assert len(whole) == 1, f"the cuts do not give {placed.part}"
            slanted = [w != [w[0]] * 4 for w in wanted]
            ready = [s and got is w for s, got, w in zip(slanted, whole[0], wanted, strict=True)]
            assert sum(slanted) - sum(ready) == by_hand.count(part.id), "the rest is told to be done by hand"
            made += sum(ready)
    return made


# -- by hand -------------------------------------------------------------------------------------------


def test_four_sides_of_a_mitred_frame_come_from_one_bar(rail: Callable) -> None:
    """Square: 4 × 600 + 3 × 3 = 2409 of the 2380 a bar has. Nose to tail each of the three cuts saves the
    18 mm the end runs, less what the blade takes more along the bar: 18 + 3 − 3 / cos 45° = 16.757."""
    sides = [rail(f"S{n}", 600.0, (45.0, 45.0)) for n in range(4)]
    plan, notes = plan_of(sides)
    (bar,) = plan.sheets
    assert plan.lower_bounds == (("softwood", 18.0, 1),)
    slanted = [c for c in bar.cuts if c.slant]
    assert [c.setting_mm for c in slanted] == [600.0] * 3
    assert sum(p.length_mm for p in bar.parts) + 9 - (bar.cuts[-1].at_mm - 10) == pytest.approx(
        3 * 16.757, abs=0.01
    )
    assert [c.lean_mm for c in slanted] == pytest.approx([-18.0, 18.0, -18.0])
    assert [p.rolled for p in sorted(bar.parts, key=lambda p: p.x_mm)] == [False, True, False, True]
    assert all(c.says.startswith("Turn the bar over about its length. Cross-cut") for c in slanted)
    assert ["The saw stays so" in c.says for c in slanted] == [False, True, True]
    assert all("the blade tilted 45° off square" in c.says for c in slanted)
    assert all("600 mm from its left end, long point to long point" in c.says for c in slanted)
    assert replayed(plan, sides) == 6  # of eight ends: the first and the last one are bevelled by hand
    assert "BW-CUT-009" in [f.code for f in notes.findings]


def test_leaning_pieces_need_no_turning(rail: Callable) -> None:
    braces = [rail(f"B{n}", 700.0, mitres=(70.0, -70.0)) for n in range(3)]
    plan, _ = plan_of(braces)
    slanted = [c for s in plan.sheets for c in s.cuts if c.slant]
    assert ["Turn the bar" in c.says for c in slanted] == [False, False]
    assert all("the saw turned 45° off square" in c.says for c in slanted)
    assert replayed(plan, braces) == 4


def test_ends_that_differ_are_cut_square_as_ever(rail: Callable) -> None:
    parts = [rail("A", 600.0, (0.0, 20.0)), rail("B", 600.0, (0.0, 30.0))]
    plan, _ = plan_of(parts)
    assert not [c for s in plan.sheets for c in s.cuts if c.slant]
    assert replayed(plan, parts) == 0


# -- any list ------------------------------------------------------------------------------------------


def some_rails(draw: random.Random, rail: Callable, number: int) -> list[Part]:
    """Bevels and mitres of few angles, of either lean, many ends square."""

    def one(n: int) -> Part:
        bevels = [draw.choice((0.0, 0.0, 20.0, -20.0, 45.0)) for _ in range(2)]
        mitres = [0.0 if bevel else draw.choice((0.0, 40.0, -40.0)) for bevel in bevels]
        return rail(f"R{n:02d}", round(draw.uniform(150, 900), 2), tuple(bevels), tuple(mitres))

    return [one(n) for n in range(number)]


@pytest.mark.parametrize("seed", range(3))
def test_any_list_is_sawn_right_and_never_worse_than_square(rail: Callable, seed: int) -> None:
    parts = some_rails(random.Random(seed), rail, 14)
    plan, _ = plan_of(parts)
    replayed(plan, parts)
    square, _ = plan_of([rail(p.id, p.length_mm) for p in parts])
    assert plan.lower_bounds[0][2] <= plan.sheet_count <= square.sheet_count
    wood = sum(
        p.length_mm - (sum(abs(e.lean_mm) for e in stick_of(0, p).ends(False, False)) / 2) + 3 for p in parts
    )
    assert plan.lower_bounds[0][2] >= wood / 2383


@pytest.mark.parametrize("seed", range(8))
def test_the_order_takes_the_least_room_there_is(rail: Callable, seed: int) -> None:
    """Every order, every way to lie, of four pieces: none is shorter."""
    sticks = [stick_of(n, p) for n, p in enumerate(some_rails(random.Random(seed + 50), rail, 4))]

    def length(order: tuple, ways: tuple) -> float:
        ends = [s.ends(*way) for s, way in zip(order, ways, strict=True)]
        saved = 0.0
        for (_, a), (b, _) in itertools.pairwise(ends):
            if a.kind[0] and a.kind == b.kind and a.lean_mm * b.lean_mm > 0:
                saved += max(0.0, abs(a.lean_mm) + 3 - 3 / math.cos(math.radians(a.kind[1] / 100)))
        return sum(s.part.length_mm + 3 for s in order) - saved

    ways = list(itertools.product((False, True), repeat=2))
    least = min(
        length(order, lie)
        for order in itertools.permutations(sticks)
        for lie in itertools.product(ways, repeat=4)
    )
    assert Room(3.0).of(sticks) / 100 == pytest.approx(least, abs=0.05)


def test_cuts_stay_plain_where_nothing_is_slanted(rail: Callable) -> None:
    plan, _ = plan_of([rail(f"R{n}", 592.0) for n in range(5)])
    assert {(c.slant, c.lean_mm) for s in plan.sheets for c in s.cuts if isinstance(c, Cut)} == {("", 0.0)}


# -- verify ----------------------------------------------------------------------------------------------


def told_by_verify(plan: CuttingPlan, parts: list[Part], change: Callable[[dict], None]) -> list[str]:
    data = msgspec.json.decode(msgspec.json.encode(plan))
    change(data["sheets"][0])
    found: list[str] = []
    opened = SimpleNamespace(
        pack=SimpleNamespace(cutting=msgspec.convert(data, record.Cutting), settings={}, boards=()),
        parts={p.id: msgspec.json.decode(msgspec.json.encode(p), type=record.Part) for p in parts},
        fault=lambda code, says, **_: found.append(code),
    )
    list(check_sawing(opened))  # type: ignore[arg-type]  # only what it reads
    list(check_placing(opened))  # type: ignore[arg-type]  # stands in for the noun
    return sorted(set(found) - {"BW-VERIFY-055"})  # no stock is listed here


def slanted_cut(bar: dict) -> dict:
    return next(cut for cut in bar["cuts"] if cut["slant"])


@pytest.mark.parametrize(
    ("change", "codes"),
    [
        (lambda bar: None, []),
        (lambda bar: slanted_cut(bar).update(lean_mm=18.0), ["BW-VERIFY-063", "BW-VERIFY-064"]),
        (lambda bar: slanted_cut(bar).update(slant="mitre"), ["BW-VERIFY-063", "BW-VERIFY-064"]),
        (lambda bar: slanted_cut(bar).update(setting_mm=590.0), ["BW-VERIFY-063"]),
        (
            lambda bar: next(p for p in bar["parts"] if p["rolled"]).update(rolled=False),
            ["BW-VERIFY-052", "BW-VERIFY-064"],
        ),
        (lambda bar: bar["cuts"].pop(2), ["BW-VERIFY-062"]),
    ],
    ids=[
        "as it is",
        "leans the other way",
        "saw turned, not tilted",
        "setting",
        "not turned over",
        "cut lost",
    ],
)
def test_verify_follows_the_saw_along_a_bar(
    rail: Callable, change: Callable[[dict], None], codes: list[str]
) -> None:
    sides = [rail(f"S{n}", 600.0, (45.0, 45.0)) for n in range(4)]
    assert told_by_verify(plan_of(sides)[0], sides, change) == codes
