"""What strips are cut of and screwed to: by hand on one box, and what must hold of any board."""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
import shapely
from any_shapes import board_of, curved_rings, star_rings
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright.plan.model import Ring, Track
from boardwright_stages.assembly.stages import steps
from boardwright_stages.checks.reassembly import solid
from boardwright_stages.edging.settings import BackSettings, FasciaSettings
from boardwright_stages.edging.stages import edge_runs, edging
from boardwright_stages.fastening.stages import fastening
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings
from boardwright_stages.parts.stages import parts
from boardwright_stages.splitting.limits import Opening
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.strength.settings import SupportSettings
from boardwright_timber.model import (
    Board,
    BoardEdging,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    Frame,
    HoldKind,
    Joists,
    StepKind,
)
from boardwright_timber.reference import UnknownMaterialError

DEEP = bool(os.environ.get("BOARDWRIGHT_DEEP"))
MANY = settings(max_examples=100 if DEEP else 10, deadline=None, derandomize=True)
FREE = FasciaSettings(edges="free")
OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0))
TRACK = Track(id="T1", points=((0.0, 250.0), (1200.0, 250.0)))
SCREWED = HardwareSettings()
ROOMY = SplittingSettings(max_length_mm=3100)
STYLES: dict[str, Callable[[Board, BoardPlan, FramingSettings], Frame]] = {
    "box": lambda board, plan, framing: frame(board, framing, Notes()),
    "l-girder": lambda board, plan, framing: l_girder(board, plan, framing, GirderSettings(), Notes()),
    "l-girder-open": lambda board, plan, framing: l_girder_open(
        board, plan, framing, GirderSettings(), OpenTopSettings(), Notes()
    ),
    "open-top": lambda board, plan, framing: open_top(board, plan, framing, OpenTopSettings(), Notes()),
}


class Made:
    """A board framed and with a fascia; ``codes`` of the findings about it."""

    def __init__(
        self,
        ring: Ring,
        fascia: FasciaSettings = FREE,
        style: str = "box",
        framing: FramingSettings = FramingSettings(),
        splitting: SplittingSettings = ROOMY,
        back: BackSettings = BackSettings(),
    ) -> None:
        self.board = board_of(ring)
        plan, notes = BoardPlan(board="B01", tracks=(TRACK,)), Notes()
        self.frame = STYLES[style](self.board, plan, framing)
        self.joists: Joists = joists(self.board, plan, self.frame, framing, JoistSettings(), Notes())
        runs = edge_runs({"B01": self.board}, fascia, SupportSettings(), notes, back)["B01"]
        self.edging: BoardEdging = edging(
            self.board,
            self.frame,
            self.joists,
            runs,
            fascia,
            framing,
            SCREWED,
            StockSettings(),
            CuttingSettings(),
            splitting,
            notes,
            back=back,
        )
        self.codes = [f.code for f in notes.findings]
        fixings, wiring = BoardFixings(board="B01"), BoardWiring(board="B01")
        self.parts: BoardParts = parts(
            self.board,
            plan,
            self.frame,
            self.joists,
            fixings,
            wiring,
            framing,
            Notes(),
            edging=self.edging,
        )

    @property
    def fascias(self) -> list[Any]:
        return [p for p in self.parts.parts if p.role == "fascia"]


def test_a_box_by_hand() -> None:
    """Deck 9 mm, frame 90: from 9 + 5 above the deck's underside to 90 + 10 below: 114 mm. The long strip:
    (1208 − 2 × 20) / 200 is 5.84, so 6 gaps and 7 pairs of screws, 15 mm from the side's edges, as long as
    4 + 12 mm of wood let a 12 mm screw be. Mass: 1208 × 114 × 4 mm³ at 660 kg/m³ = 0.3636 kg."""
    made = Made(OBLONG)
    first = made.edging.strips[0]
    assert (first.id, first.top_mm, first.bottom_mm) == ("B01-FA1", 14.0, -100.0)
    assert [h.kind for h in first.holds] == [HoldKind.FACE] * 7
    assert {h.on for h in first.holds} == {"B01-S1"}
    assert {h.heights_mm for h in first.holds} == {(-15.0, -75.0)}
    assert {h.screw for h in first.holds} == {(3.5, 12.0)}
    assert [h.at_mm for h in first.holds] == pytest.approx([20 + 1168 / 6 * n for n in range(7)], abs=0.001)
    part = made.fascias[0]
    assert (part.length_mm, part.width_mm, part.thickness_mm) == (1208.0, 114.0, 4.0)
    assert part.mass_kg == pytest.approx(1208 * 114 * 4 * 660e-9, abs=1e-6)
    assert made.codes == []
    # 7 pairs on each long side, (500 - 40) / 200: 3 gaps, 4 pairs on each short one
    (line,) = [
        x
        for x in fastening(made.frame, made.joists, made.parts, SCREWED, made.edging).lines
        if "fascia" in x.joins
    ]
    assert (line.quantity, line.screw, line.edge_mm) == (2 * 2 * (7 + 4), "3.5 × 12", 15.0)


def test_its_mass_counts_and_the_step_is_the_last() -> None:
    plain, made = Made(OBLONG, FasciaSettings()), Made(OBLONG)
    more = sum(p.mass_kg for p in made.fascias)
    assert made.parts.mass_kg == pytest.approx(plain.parts.mass_kg + more)
    found = steps(made.frame, made.joists, made.parts, SCREWED, made.edging)
    last = found.steps[-1]
    assert last.kind is StepKind.FASCIA
    assert last.adds == ("B01-FA1", "B01-FA2", "B01-FA3", "B01-FA4")
    assert [u.quantity for u in last.uses] == [44]
    plain_steps = steps(plain.frame, plain.joists, plain.parts, SCREWED, plain.edging)
    assert plain_steps.steps == found.steps[:-1]


def test_a_strip_longer_than_a_sheet_is_butted_over_a_side() -> None:
    """3000 + 2 × 4 on sheets of 2440 less 2 × 10 of trim: two lengths, their seam over the side, off its own
    seam, and each length no longer than 2420."""
    made = Made(((0.0, 0.0), (3000.0, 0.0), (3000.0, 400.0), (0.0, 400.0)))
    first = made.edging.strips[0]
    assert [p.id for p in first.pieces] == ["B01-FA1", "B01-FA1-2"]
    assert first.pieces[1].on == "B01-S1"
    lengths = [p.length_mm for p in made.fascias[:2]]
    assert sum(lengths) == pytest.approx(3008.0)
    assert max(lengths) <= 2420.0
    assert made.fascias[1].of == "B01-FA1"
    for seam in made.joists.joined:
        if seam.member == "B01-S1":
            assert abs(first.pieces[1].from_mm - 4.0 - seam.at_mm) >= 60.0


def test_the_back_of_a_curve_is_held_by_blocks_on_the_chords() -> None:
    """A front bowed out by 100 mm in 1000: radius (500² + 100²) / 200 = 1300 mm; the strip's middle is an arc
    of radius 1302, 2 × asin(500 / 1300) = 0.7896 rad: 1028.0 mm (chords: a little less) and nothing at its
    ends, where it meets the sides at more than 90°."""
    steps_ = 64
    half = math.asin(500 / 1300)
    arc = [
        (
            500 + 1300 * math.sin(half * (2 * k / steps_ - 1)),
            1200 - 1300 * math.cos(half * (2 * k / steps_ - 1)),
        )
        for k in range(steps_ + 1)
    ]
    ring: Ring = (*arc, (1000.0, 600.0), (0.0, 600.0))
    made = Made(ring, FasciaSettings(near=((500.0, -110.0),)))
    (part,) = made.fascias
    assert part.length_mm == pytest.approx(1302 * 2 * half, abs=0.1)
    assert {h.kind for h in made.edging.strips[0].holds} >= {HoldKind.UPRIGHT}
    assert made.codes == []
    painted = [b.part for b in steps(made.frame, made.joists, made.parts, SCREWED, made.edging).bodies]
    chords = {m.id for m in made.frame.members if max(p[1] for p in m.outline) < 60.0}
    assert chords  # seen from the front right the strip hides them: it is painted later
    assert painted.index("B01-FA1") > max(map(painted.index, chords))
    tight = Made(ring, FasciaSettings(near=((500.0, -110.0),), thickness_mm=12.0))
    assert tight.codes == []  # 60 × 12 = 720 mm


def test_too_tight_a_bend_is_told() -> None:
    """A round board of 200 mm radius: 4 mm bends to 240."""
    ring = tuple(
        (200 + 200 * math.cos(math.pi * k / 48), 200 + 200 * math.sin(math.pi * k / 48)) for k in range(96)
    )
    made = Made(ring)
    assert "BW-EDGE-001" in made.codes
    assert len(made.edging.strips[0].pieces) == 2  # all round, of two lengths at least


def test_limits_of_splitting_are_kept_in_sight() -> None:
    """1200 + 2 × 4 is more than 1204; 15 kg are passed: (0.6 m² × 11.3 + 3.4 m × 0.75) = 9.33 kg, and 1.03 kg
    of fascia make it 10.4."""
    assert Made(OBLONG, splitting=SplittingSettings(max_length_mm=1204)).codes == ["BW-EDGE-007"]
    assert Made(OBLONG, splitting=ROOMY.changed(max_mass_kg=10.0)).codes == ["BW-EDGE-008"]
    assert Made(OBLONG, splitting=ROOMY.changed(max_mass_kg=11.0)).codes == []


def test_a_backscene_by_hand() -> None:
    """From 80 mm below the deck's underside, screwed to the side 15 mm from its top and 15 from the strip's
    foot, to 9 + 300 above it: 389 high; 6.5 + 12 mm of wood hide a 16 mm screw. 1200 long, 670 kg/m³."""
    back = BackSettings(near=((600.0, 505.0),))
    made = Made(OBLONG, FasciaSettings(), back=back)
    (strip,) = made.edging.strips
    assert (strip.id, strip.top_mm, strip.bottom_mm) == ("B01-BS1", 309.0, -80.0)
    assert {(h.kind, h.heights_mm, h.screw) for h in strip.holds} == {
        (HoldKind.FACE, (-15.0, -65.0), (3.5, 16.0))
    }
    (part,) = [p for p in made.parts.parts if p.role == "backscene"]
    assert (part.length_mm, part.width_mm) == (1200.0, 389.0)
    assert part.mass_kg == pytest.approx(1200 * 389 * 6.5 * 670e-9, abs=1e-6)
    last = steps(made.frame, made.joists, made.parts, SCREWED, made.edging).steps[-1]
    assert (last.kind, last.adds) == (StepKind.BACKSCENE, ("B01-BS1",))
    assert not any("upright strip" in line.says for line in last.do)  # 300 is less than 50 × 6.5
    thin = Made(OBLONG, FasciaSettings(), back=back.changed(thickness_mm=4.0))
    last = steps(thin.frame, thin.joists, thin.parts, SCREWED, thin.edging).steps[-1]
    assert any("upright strip" in line.says for line in last.do)


def test_a_backscene_does_not_pass_a_hatch_that_its_board_passes() -> None:
    """90 + 309 is more than the 200 mm that openings are reckoned with."""
    hatch = ROOMY.changed(openings=(Opening(name="hatch", width_mm=600, height_mm=400),))
    back = BackSettings(near=((600.0, 505.0),))
    assert Made(OBLONG, FasciaSettings(), splitting=hatch, back=back).codes == ["BW-EDGE-010"]
    tall = hatch.changed(height_mm=400.0)
    assert Made(OBLONG, FasciaSettings(), splitting=tall, back=back).codes == []


def test_an_unknown_material_is_refused_by_its_setting() -> None:
    with pytest.raises(UnknownMaterialError, match="fascia"):
        Made(OBLONG, FasciaSettings(edges="free", material="cheese"))


def test_girders_hold_it_at_the_ends_of_joists() -> None:
    made = Made(OBLONG, style="l-girder")
    front = made.edging.strips[0].holds
    ends = {h.on for h in front if h.kind is HoldKind.UPRIGHT}
    assert {j.id for j in made.joists.joists} <= ends
    assert {h.kind for h in front} <= {HoldKind.UPRIGHT, HoldKind.UNDER}
    assert {h.heights_mm for h in front if h.kind is HoldKind.UNDER} <= {(-12.5,)}


def test_an_open_top_holds_it_below_its_deck() -> None:
    """The sides stand 60 mm lower (open_top.rise_mm): screws 15 mm from their edges, -75 and -135."""
    made = Made(OBLONG, style="open-top")
    assert {h.heights_mm for s in made.edging.strips for h in s.holds} == {(-75.0, -135.0)}
    assert made.codes == []


def test_where_nothing_stands_behind_that_is_told() -> None:
    """Sub-roadbed on girders, a strip that ends above the joists: nothing to screw to along the front."""
    made = Made(OBLONG, FasciaSettings(edges="free", below_mm=-190.0), style="l-girder-open")
    assert "BW-EDGE-005" in made.codes


@MANY
@given(st.one_of(star_rings(), curved_rings()))
def test_any_board_in_a_box(ring: Ring) -> None:
    holds(Made(ring), ring)


@settings(MANY, max_examples=30 if DEEP else 2)
@given(st.one_of(star_rings(), curved_rings()), st.sampled_from(["l-girder", "l-girder-open", "open-top"]))
def test_any_board_in_other_styles(ring: Ring, style: str) -> None:
    holds(Made(ring, style=style), ring)


def holds(made: Made, ring: Ring) -> None:
    """Every strip is cut; parts lie in their places outside the board; every screw is scheduled and used in
    the last step; screws lie on their strips in order."""
    shape = shapely.Polygon(ring)
    for strip in made.edging.strips:
        own = [p for p in made.fascias if strip.id in (p.id, p.of)]
        assert [p.id for p in own] == [p.id for p in strip.pieces]
        assert [h.at_mm for h in strip.holds] == sorted({h.at_mm for h in strip.holds})
        for part, piece in zip(own, strip.pieces, strict=True):
            placed = solid(made.board, part)
            wanted = shapely.Polygon(piece.outline)
            assert placed.shape.symmetric_difference(wanted).area < 0.01
            assert placed.shape.intersection(shape).area < 0.01 * part.length_mm
            assert (placed.low_mm, placed.high_mm) == pytest.approx((strip.bottom_mm, strip.top_mm))
        for hold in strip.holds:
            assert all(strip.bottom_mm < z < strip.top_mm for z in hold.heights_mm)
    screws = sum(len(h.heights_mm) for s in made.edging.strips for h in s.holds)
    lines = fastening(made.frame, made.joists, made.parts, SCREWED, made.edging).lines
    assert sum(x.quantity for x in lines if x.joins.startswith("fascia")) == screws
    found = steps(made.frame, made.joists, made.parts, SCREWED, made.edging)
    uses = {u.item: Decimal(u.quantity) for u in found.steps[-1].uses if u.item.startswith("screw")}
    assert sum(uses.values()) == screws
    assert {b.part for b in found.bodies} >= {p.id for p in made.fascias}
