"""A deck that needs more than one sheet: seams over joists, pieces that come out of a sheet."""

from __future__ import annotations

import itertools
import random

import pytest
import shapely
from any_shapes import board_of
from msgspec.structs import replace

from boardwright import Notes, Severity
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.seams import Sheet, longest_piece, seams_over
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.nesting.settings import StockSettings, StockSheet
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.deck import deck_sag
from boardwright_timber.beams import strip
from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring, Member, MemberRole


def joist(n: int, x: float, width: float, t: float = 12.0) -> Member:
    return Member(
        id=f"J{n}",
        role=MemberRole.JOIST,
        thickness_mm=t,
        depth_mm=90,
        material="birch ply",
        outer_start=(x + t / 2, 0),
        outer_end=(x + t / 2, width),
        inner_start=(x - t / 2, 0),
        inner_end=(x - t / 2, width),
    )


@pytest.mark.parametrize(("ends_mm", "strips", "found"), [(30, 0, None), (30, 2, (1000.0,)), (40, 2, None)])
def test_a_strip_bent_round_the_edge_carries_the_deck_there(
    ends_mm: float, strips: int, found: tuple[float, ...] | None
) -> None:
    """A joist that ends 30 mm inside each edge leaves more bare than the 25 mm allowed, but 18 behind strips
    12 mm thick; one that ends 40 mm inside leaves 28 there."""
    short = replace(joist(1, 1000, 500), outer_start=(1006, ends_mm), inner_start=(994, ends_mm))
    short = replace(short, outer_end=(1006, 500 - ends_mm), inner_end=(994, 500 - ends_mm))
    bent = [shapely.box(0, 0, 2000, 12), shapely.box(0, 488, 2000, 500)][:strips]
    assert seams_over(shapely.box(0, 0, 2000, 500), [short], 1200, 25.0, strips=bent) == found


@pytest.mark.parametrize("seed", range(20))
def test_fewest_pieces_then_most_even_by_brute_force(seed: int) -> None:
    dice = random.Random(seed)
    length, longest = dice.uniform(1500, 6000), dice.uniform(900, 2420)
    xs = sorted(dice.sample(range(100, int(length) - 100, 20), dice.randint(1, 9)))
    deck = shapely.box(0, 0, length, 500)
    hurt = [shapely.box(x, 0, x + dice.uniform(50, 400), 100) for x in dice.sample(range(int(length)), 2)]
    found = seams_over(deck, [joist(n, x, 500) for n, x in enumerate(xs)], longest, 25.0, (), hurt)
    ways = [
        (
            len(seams),
            sum(h.bounds[0] < s < h.bounds[2] for s in seams for h in hurt),
            round(sum(g * g for g in gaps), 2),
            seams,
        )
        for k in range(len(xs) + 1)
        for seams in itertools.combinations(map(float, xs), k)
        for gaps in [[b - a for a, b in itertools.pairwise((0.0, *seams, length))]]
        if max(gaps) <= longest
    ]
    if not ways:
        assert found is None
        return
    assert found is not None
    best = min(ways)
    gaps = [b - a for a, b in itertools.pairwise((0.0, *found, length))]
    assert (len(found), round(sum(g * g for g in gaps), 2)) == (best[0], best[2])


def test_the_longest_piece() -> None:
    sheets = [Sheet(2420, 1200), Sheet(1500, 1500)]
    assert longest_piece(sheets, 600) == 2420
    assert longest_piece(sheets, 1300) == 1500
    assert longest_piece(sheets, 1600) is None
    assert longest_piece([Sheet(2420, 1200, turns=True)], 1300) == 1200


def test_a_board_longer_than_a_sheet() -> None:
    """3600 mm of 9 mm ply from sheets of 2440 less twice 10 mm of trim: two pieces of about 1800."""
    board = board_of(((0.0, 0.0), (3600.0, 0.0), (3600.0, 600.0), (0.0, 600.0)))
    notes, framing, plan = Notes(), FramingSettings(), BoardPlan(board="B01")
    made = frame(board, framing, notes)
    found = joists(board, plan, made, framing, JoistSettings(), notes)
    (seam,) = found.seams
    assert min(abs(seam - (m.outer_start[0] + m.inner_start[0]) / 2) for m in found.joists) < 1e-6
    cut = parts(board, plan, made, found, BoardFixings(board="B01"), BoardWiring(board="B01"), framing, notes)
    decks = [p for p in cut.parts if p.role == "deck"]
    assert [p.id for p in decks] == ["B01-D1", "B01-D2"]
    assert max(p.length_mm for p in decks) <= 2420
    assert sum(p.area_mm2 for p in decks) == pytest.approx(3600 * 600)
    assert sum(p.length_mm for p in decks) == pytest.approx(3600)
    assert [f.code for f in notes.findings] == ["BW-JOIST-011", "BW-JOIST-015", "BW-JOIST-015"]
    ring = tuple(board.to_local(p) for p in board.ring)
    carriers = (*made.members, *found.members)
    parted, _ = deck_sag(ring, (), carriers, 2e-4, 1e6, seams=found.seams)
    xs = [6.0, *((m.outer_start[0] + m.inner_start[0]) / 2 for m in found.joists), 3594.0]
    left, right = [x for x in xs if x <= seam], [x for x in xs if x >= seam]
    by_itself = [
        max(strip(spans, (2e-4,) * len(spans), 1e6).sags_mm)
        for half in (left, right)
        for spans in [tuple(b - a for a, b in itertools.pairwise(half))]
    ]
    assert parted is not None
    assert parted.lasting_mm == pytest.approx(max(by_itself))


def test_sheets_shorter_than_a_bay_are_a_fault() -> None:
    board = board_of(((0.0, 0.0), (3600.0, 0.0), (3600.0, 600.0), (0.0, 600.0)))
    notes, framing, plan = Notes(), FramingSettings(), BoardPlan(board="B01")
    short = StockSheet(name="offcut", material="birch ply", thickness_mm=9.0, length_mm=320.0)
    stock = StockSettings(sheets=(short,))
    found = joists(board, plan, frame(board, framing, notes), framing, JoistSettings(), notes, stock=stock)
    assert found.seams == ()
    assert [(f.code, f.severity) for f in notes.findings] == [("BW-JOIST-010", Severity.FAULT)]


def test_no_seam_without_a_sheet_to_cut_from() -> None:
    board = board_of(((0.0, 0.0), (3600.0, 0.0), (3600.0, 600.0), (0.0, 600.0)))
    notes, framing, plan = Notes(), FramingSettings(), BoardPlan(board="B01")
    found = joists(
        board,
        plan,
        frame(board, framing, notes),
        framing,
        JoistSettings(),
        notes,
        stock=StockSettings(sheets=()),
    )
    assert (found.seams, notes.findings) == ((), [])
