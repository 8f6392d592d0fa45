"""Sides of skins and blocks longer than a sheet: each skin butted on a block of its own, by hand and any."""

from __future__ import annotations

import itertools
import math
import os
import random
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely

sys.path.insert(0, str(Path(__file__).parents[1] / "framing"))
from any_shapes import board_of

from boardwright import Notes
from boardwright.plan.model import Ring
from boardwright_stages.checks.reassembly import Solid, solid
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.sandwich_settings import SandwichSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.skins import both_at_once
from boardwright_stages.joists.stages import joists
from boardwright_stages.nesting.settings import StockSettings, StockSheet
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.grillage import Beam
from boardwright_stages.strength.net import Net, Piece
from boardwright_stages.strength.plates import GLUE_N_MM2, skin_use
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.skins import k_crit
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    Frame,
    Joists,
    Member,
    MemberRole,
    Sandwich,
    SkinSeam,
)

FRAMING = FramingSettings(sides="sandwich")
SEEDS = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 4
LONG: Ring = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 500.0), (0.0, 500.0))


def made(
    board: Board, skin_mm: float, own: SandwichSettings | None = None
) -> tuple[Frame, Joists, BoardParts, Notes]:
    """From skins that give so much (less 10 mm at each end), decks and joists as long as any board."""
    sheets = tuple(
        StockSheet(name=f"{t:g}", material="birch ply", thickness_mm=t, length_mm=long, width_mm=3000.0)
        for t, long in ((4.0, skin_mm + 20), (9.0, 6000.0), (12.0, 6000.0))
    )
    notes, plan, own = Notes(), BoardPlan(board=board.id), own or SandwichSettings()
    framed = frame(board, FRAMING, notes, sandwich=own)
    stock = StockSettings(sheets=sheets)
    found = joists(board, plan, framed, FRAMING, JoistSettings(), notes, OpenTopSettings(), stock)
    fixings, wiring = BoardFixings(board=board.id), BoardWiring(board=board.id)
    cut = parts(board, plan, framed, found, fixings, wiring, FRAMING, notes)
    return framed, found, cut, notes


def test_a_long_side() -> None:
    """3000 mm from skins of 2420: two lengths of each skin, the seams apart by a block of 4 · 90 = 360, a
    block of 40 and 150 more at least, off the joists; each in the middle of its block."""
    board = board_of(LONG)
    framed, found, cut, notes = made(board, 2420)
    assert {f.code for f in notes.findings} == {"BW-JOIST-019"}
    sides = [m for m in framed.members if m.length_mm == 3000]
    assert len(sides) == 2
    assert {s.member for s in found.skins} == {m.id for m in sides}
    for side in sides:
        (outer,), (inner,) = (
            [s.at_mm for s in found.skins if s.member == side.id and s.outer is which]
            for which in (True, False)
        )
        assert abs(outer - inner) >= 360 + 40 + 150
        for joist in found.joists:
            at = [side.along(p) for p in joist.outline]
            assert all(not min(at) - 40 < seam < max(at) + 40 for seam in (outer, inner))
        own = {p.id: p for p in cut.parts if side.id in (p.id, p.of)}
        first, second = own[side.id], own[f"{side.id}-2"]
        assert (first.length_mm, second.length_mm, second.from_mm) == (outer, 3000 - outer, outer)
        assert [own[f"{side.id}-I{n}"].length_mm for n in ("", "-2")] == [inner, 3000 - inner]
        under = [p for p in own.values() if p.role == "block" and p.grain == "length"]
        spans = sorted(sorted(_span(side, solid(board, p))) for p in under)
        assert spans == [pytest.approx([s - 180, s + 180]) for s in sorted((outer, inner))]
        assert {(p.thickness_mm, p.width_mm) for p in under} == {(12, 90)}
        whole = cut.by_member[side.id]
        assert whole.length_mm == 3000
        assert whole.mass_kg == pytest.approx(sum(p.mass_kg for p in own.values()), abs=1e-5)
    stood = strength(board, framed, found, cut, StrengthSettings(), SupportSettings(), Notes())
    assert "skins" in {line.key for line in stood.lines}


def test_short_sides_are_left_whole() -> None:
    _, found, _, notes = made(board_of(LONG), 3000)
    assert (found.skins, notes.findings) == ((), [])


def test_blocks_thinner_than_skins_join_nothing() -> None:
    thin = SandwichSettings(block_thickness_mm=3.0)
    _, found, _, notes = made(board_of(LONG), 2420, thin)
    assert found.skins == ()
    assert "BW-JOIST-016" in {f.code for f in notes.findings}
    assert any("as thick as a skin" in f.says for f in notes.findings)


def test_what_a_block_bears_by_hand() -> None:
    """A side with skins 4 × 90 in two: at full use of its bending strength M = 2 · 4 · 90²/6 · k_crit · f =
    10800 · 0.343 · 32.1; a skin's half on the glue of 180 × 90: M·r / J, r = √(180² + 90²)/2 = 100.6,
    J = 180 · 90 · (180² + 90²)/12 = 5.468e7; in the block, W = 12 · 90²/6 = 16200, it is less. Half of its
    shear strength is 0.5 · 720 · 9.5 / 1.5 = 2280 N, a skin's half 1140: turned about the glue's middle 90 mm
    off and shared over 16200 mm²."""
    side = Member(
        id="S",
        role=MemberRole.SIDE,
        outer_start=(0, 0),
        outer_end=(1000, 0),
        inner_start=(0, 20),
        inner_end=(1000, 20),
        thickness_mm=20,
        depth_mm=90,
        material="birch ply",
        sandwich=Sandwich(skin_mm=4, block_material="birch ply", block_mm=40, spacing_mm=160),
    )
    net = Net(
        [(0.0, 10.0), (500.0, 10.0), (1000.0, 10.0)],
        [Beam(0, 1, 1.0, 1.0, 1.0), Beam(1, 2, 1.0, 1.0, 1.0)],
        [Piece(0, 10800.0, 720.0)] * 2,
        {},
    )
    seams = [SkinSeam(member="S", at_mm=700.0, outer=True, block_mm=360.0)]
    found = skin_use(net, (side,), seams, np.array([0.2, 1.0]), np.zeros(2))
    moment = 10800 * k_crit(side) * 32.1 / 2
    assert found is not None
    assert (found.plate, found.beam) == ("S", 1)
    assert found.use == pytest.approx(moment * 100.623 / 5.4675e7 / GLUE_N_MM2, rel=1e-4)
    assert found.use > moment / 16200 / 32.1
    sheared = skin_use(net, (side,), seams, np.zeros(2), np.array([0.0, 0.5]))
    assert sheared is not None
    turned, shared = 1140 * 90 * 100.623 / 5.4675e7, 1140 / 16200
    assert sheared.use == pytest.approx((turned + shared) / GLUE_N_MM2, rel=1e-4)
    shorter = [SkinSeam(member="S", at_mm=700.0, outer=False, block_mm=180.0)]
    more = skin_use(net, (side,), shorter, np.array([0.2, 1.0]), np.zeros(2))
    assert more is not None
    assert more.use > found.use


@pytest.mark.parametrize("seed", range(20))
def test_fewest_seams_of_both_skins_by_brute_force(seed: int) -> None:
    """All choices of places for the outer skin and for the inner one."""
    dice = random.Random(seed)
    length, longest, apart = dice.uniform(1500, 2600), dice.uniform(900, 1300), dice.uniform(300, 500)
    free = sorted(map(float, dice.sample(range(200, int(length) - 200, 50), 7)))

    def fits(stops: tuple[float, ...]) -> bool:
        steps = [b - a for a, b in itertools.pairwise((0.0, *stops, length))]
        return min(steps) >= 200 and max(steps) <= longest

    one = [c for k in range(5) for c in itertools.combinations(free, k) if fits(c)]
    ways = [
        len(outer) + len(inner)
        for outer in one
        for inner in one
        if all(abs(a - b) >= apart for a in outer for b in inner)
    ]
    found = both_at_once(length, free, longest, lambda _: (0, 0.0), 200.0, apart)
    assert (found is None) == (not ways)
    if found is not None:
        outer, inner = found
        assert fits(outer)
        assert fits(inner)
        assert all(abs(a - b) >= apart for a in outer for b in inner)
        assert len(outer) + len(inner) == min(ways)


@pytest.mark.parametrize("batch", range(2))
def test_any_side_is_filled_by_its_lengths(batch: int) -> None:
    """Four-cornered boards, square, tapering or slanting: no skin longer than the sheet, skins from end to
    end with no gap, nothing in another's place, no butt of one skin beside a butt of the other."""
    butted = 0
    for seed in range(batch, SEEDS, 2):
        dice = random.Random(seed)
        long, wide, sheet = dice.uniform(1200, 3200), dice.uniform(350, 700), dice.uniform(900, 1300)
        slant, taper = dice.uniform(0, 60), dice.uniform(-80, 80)
        board = board_of(((0.0, 0.0), (long, 0.0), (long - slant, wide + taper), (slant, wide)))
        framed, found, cut, notes = made(board, sheet)
        assert "BW-JOIST-016" not in {f.code for f in notes.findings}, seed
        butted += len(found.skins)
        for member in framed.members:
            own = [solid(board, p) for p in cut.parts if member.id in (p.id, p.of)]
            whole = shapely.Polygon([board.to_plan(p) for p in member.outline])
            skins = [s for s in own if s.part.role != "block"]
            assert max(s.part.length_mm for s in skins) <= sheet + 1e-6
            for one, other in itertools.combinations(own, 2):
                assert one.shape.intersection(other.shape).area < 0.02
            assert shapely.union_all([s.shape for s in own]).difference(whole.buffer(1e-4)).is_empty
            for depth in (2.0, member.thickness_mm - 2.0):  # a line along the middle of each skin
                line = shapely.LineString(
                    [board.to_plan(_behind(member, at, depth)) for at in (30.0, member.length_mm - 30.0)]
                )
                wood = shapely.union_all([s.shape.buffer(0.05) for s in skins])
                assert wood.covers(line), "no gap of 0.1 mm"
            mine = sorted(s.at_mm for s in found.skins if s.member == member.id)
            assert all(b - a >= 2 * member.depth_mm for a, b in itertools.pairwise(mine))
    assert butted


def _span(member: Member, placed: Solid) -> tuple[float, float]:
    at = [member.along((x, y)) for x, y in placed.shape.exterior.coords]
    return min(at), max(at)


def _behind(member: Member, at: float, depth: float) -> tuple[float, float]:
    (dx, dy), (ox, oy) = member.direction, member.datum
    assert math.isclose(math.hypot(dx, dy), 1.0)
    return ox + at * dx - depth * dy, oy + at * dy + depth * dx
