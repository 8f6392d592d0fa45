"""A narrow deck is held along every track: by joists where it runs along the board, by noggins where it runs
across, by posts where it runs along a side."""

from __future__ import annotations

import math
import os
import random
import sys
from pathlib import Path
from typing import NamedTuple, cast

import numpy as np
import pytest
import shapely

sys.path.insert(0, str(Path(__file__).parents[1] / "framing"))
from any_shapes import board_of

from boardwright import Notes, Severity
from boardwright.engine.asked import Asked
from boardwright.plan.model import Point, Track
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists import narrow
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.joists.stands import posts
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.needs import span_borne_mm
from boardwright_stages.strength.open_deck import _spans
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardStrength,
    BoardWiring,
    Frame,
    Joists,
    MemberRole,
)
from boardwright_timber.reference import strength_row

FRAMING = FramingSettings(member_thickness_mm=12)


class Made(NamedTuple):
    frame: Frame
    joists: Joists
    strength: BoardStrength
    notes: Notes

    @property
    def told(self) -> set[str]:
        """Codes of cautions and faults."""
        heard = (Severity.CAUTION, Severity.FAULT)
        return {f.code for f in self.notes.findings if f.severity in heard}


def made_of(
    board: Board, tracks: tuple[Track, ...], framing: FramingSettings = FRAMING, style: str = "open-top"
) -> Made:
    plan, notes = BoardPlan(board=board.id, tracks=tracks), Notes()
    framed = (
        open_top(board, plan, framing, OpenTopSettings(), notes)
        if style == "open-top"
        else l_girder_open(board, plan, framing, GirderSettings(), OpenTopSettings(), notes)
    )
    table, on = (Asked(s, {}) for s in (JoistSettings(), OpenTopSettings()))  # as the engine hands them in
    found = joists(board, plan, framed, framing, cast(JoistSettings, table), notes, cast(OpenTopSettings, on))
    none = BoardFixings(board=board.id), BoardWiring(board=board.id)
    cut = parts(board, plan, framed, found, *none, framing, notes)
    held = strength(board, framed, found, cut, StrengthSettings(), SupportSettings(), notes)
    return Made(framed, found, held, notes)


def across(length: float, width: float, *tracks: tuple[Point, Point]) -> Made:
    ring = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    return made_of(board_of(ring), tuple(Track(id=f"T{n}", points=t) for n, t in enumerate(tracks)))


def test_a_track_square_to_the_board_gets_noggins() -> None:
    """A bay 700 high holds a track along its middle: 0.8 · 250 = 200, and 700 needs ceil(700/200) - 1 = 3."""
    made = across(500.0, 700.0, ((125.0, 0.0), (125.0, 700.0)))
    noggins = [m for m in made.joists.members if m.role is MemberRole.NOGGIN]
    assert [round(m.outer_start[1] + 6, 1) for m in noggins] == pytest.approx([181.0, 350.0, 519.0])
    risers = [m for m in made.joists.members if m.role is MemberRole.RISER]
    assert len([r for r in risers if abs(r.direction[0]) > 0.9]) == 5  # on three noggins and two sides
    assert max(line.measured for line in made.strength.lines if line.key == "deck-hand") <= 2.0


def test_joists_stand_closer_under_a_narrow_deck() -> None:
    """Along the board at 250; at 30° to it, 250 · cos 30° = 216.5 of the length."""
    straight = across(1200.0, 500.0, ((0.0, 250.0), (1200.0, 250.0)))
    assert straight.joists.limit_mm == 250.0
    rise = 400 * math.tan(math.radians(30))
    slanting = across(1200.0, 500.0, ((300.0, 100.0), (700.0, 100.0 + rise)))
    assert slanting.joists.limit_mm == pytest.approx(216.506, abs=1e-3)
    assert slanting.joists.spacing_mm <= slanting.joists.limit_mm + 1e-6


def test_posts_along_a_side() -> None:
    """700 in steps of at most 250: (700 - 60) / 3 = 213.3 apart, each 60; a stretch of 200 stays whole."""
    assert posts((0.0, 200.0), 250.0) == [(0.0, 200.0)]
    each = posts((0.0, 700.0), 250.0)
    assert [round(a, 1) for a, _ in each] == [0.0, 213.3, 426.7, 640.0]
    assert {round(b - a, 6) for a, b in each} == {60.0}


def test_an_overhang_counts_as_the_span_that_gives_as_much() -> None:
    """a = 100 past its bearer with 300 behind: P·a²·(a + b)/3EI = P·L³/48EI gives L³ = 16·100²·400."""
    ends = np.array([(-400.0, 0.0), (-50.0, 80.0), (-50.0, 60.0), (-50.0, 60.0), (-100.0, 400.0)])
    spans = _spans(ends, np.array([0, 0, 1, 1, 3, 4, 4]), np.array([-400, -100, -40, 60, 0, 0.1, 300.1]))
    over = (16 * 100**2 * 400) ** (1 / 3)
    backward = (16 * 100.1**2 * 400.1) ** (1 / 3)
    assert spans.tolist() == pytest.approx([over, 100.0, math.inf, math.inf, backward])


def test_a_deck_over_a_bare_edge_of_girders_gets_a_noggin_there() -> None:
    """No side stands along the board: where a track leaves across an edge one noggin ends the joists' bay,
    flush with their ends 12 mm in, its riser on the outer face; below a box's deck the sides do that."""
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0))
    line = Track(id="T", points=((500.0, 0.0), (700.0, 500.0)))
    made = made_of(board_of(ring), (line,), style="l-girder-open")
    noggins = [m for m in made.joists.members if m.role is MemberRole.NOGGIN]
    lower, upper = min(m.outer_start[1] for m in noggins), max(m.inner_start[1] for m in noggins)
    assert (lower, upper) == pytest.approx((12.0, 488.0), abs=0.02)
    risers = [m for m in made.joists.members if m.role is MemberRole.RISER]
    assert min(y for r in risers for _, y in r.outline) == pytest.approx(0.0, abs=0.02)
    assert not made.told


@pytest.mark.parametrize("style", ["open-top", "l-girder-open"])
def test_no_narrow_deck_hangs_in_the_air(style: str) -> None:
    """Boards with one to four straight tracks any way across: every deck gives at most the 2 mm that are
    wanted under a hand, and nothing is told of it. (Without noggins 22 of 60 gave over 10.)
    With ``BOARDWRIGHT_DEEP=1`` 200 boards, otherwise 11, and 6 on girders: but one whose track lies 12 mm
    from a long edge that no side holds (it gives 7 mm, and that is told)."""
    in_corners = (27, 86)  # a bit of deck in a corner, which the neighbour's riser carries
    over_bare_edges, between_noggins = (4, 16, 23, 41, 46), 8  # 28 mm, too little for a riser
    some = (*range(9), *in_corners) if style == "open-top" else (*over_bare_edges, between_noggins)
    for seed in range(200) if os.environ.get("BOARDWRIGHT_DEEP") else some:
        dice = random.Random(seed)
        length, width = dice.uniform(500, 1300), dice.uniform(300, 750)
        ring = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
        tracks = []
        for n in range(dice.randint(1, 4)):
            turn, x, y = dice.uniform(-60, 60), dice.uniform(0, length), dice.uniform(0, width)
            c, s = 2000 * math.cos(math.radians(turn)), 2000 * math.sin(math.radians(turn))
            line = shapely.LineString(((x - c, y - s), (x + c, y + s))).intersection(shapely.Polygon(ring))
            if line.geom_type == "LineString" and line.length > 50:
                tracks.append(Track(id=f"T{n}", points=tuple(line.coords)))
        made = made_of(board_of(ring), tuple(tracks), style=style)
        given = [line for line in made.strength.lines if line.key == "deck-hand"]
        if (style, seed) == ("l-girder-open", 19):
            assert "BW-STR-003" in made.told
            continue
        assert given, seed
        assert given[0].measured <= 2.0, (seed, given[0])
        assert not made.told, seed


def test_a_deck_that_ends_short_of_the_frame_gets_noggins_where_it_gives(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Six sidings whose deck ends just at the frame: no track wants a noggin there, and no riser on the end
    reaches under the deck. Without measuring, it hangs out 230 mm past the last joist and gives 9 mm."""
    ring = ((0.0, 0.0), (1050.0, 0.0), (1180.0, 60.0), (1250.0, 190.0), (1250.0, 500.0), (0.0, 500.0))
    ends = ((75.0, 1110.0), (145.0, 1152.0), *((y, 1198.0) for y in (215.0, 285.0, 355.0, 425.0)))
    tracks = tuple(Track(id=f"T{n}", points=((0.0, y), (x, y))) for n, (y, x) in enumerate(ends))

    def figures() -> dict[str, float]:
        made = made_of(board_of(ring), tracks)
        told.append(made.told)
        return {line.key: line.measured for line in made.strength.lines}

    told: list[set[str]] = []
    held = figures()
    monkeypatch.setattr("boardwright_stages.joists.narrow.ROUNDS", 0)
    monkeypatch.setattr("boardwright_stages.joists.narrow._best", narrow._best.__wrapped__)  # nothing kept
    bare = figures()
    assert held["deck-hand"] <= 2.0
    assert held["deck-sag"] <= 0.5
    assert bare["deck-hand"] > 5.0
    assert [bool(codes) for codes in told] == [False, True]


def test_a_thin_strip_is_held_more_closely_than_a_wide_deck_of_the_same_wood() -> None:
    """A hand on a strip b wide gives P L³ / 4 E b t³, as a whole deck at b = L: half the width, less span."""
    whole = span_borne_mm("birch ply", 6.0, StrengthSettings())
    strip = span_borne_mm("birch ply", 6.0, StrengthSettings(), 80.0)
    by_hand = 2.0 * 4 * 80.0 * 6.0**3 * strength_row("birch ply", 6.0).along_n_mm2 / 200.0
    assert strip <= by_hand ** (1 / 3) + 0.1
    assert strip < whole
    ring, line = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 400.0), (0.0, 400.0)), ((0.0, 200.0), (1200.0, 200.0))
    thin = FramingSettings(member_thickness_mm=12, deck_thickness_mm=6)
    made = made_of(board_of(ring), (Track(id="T", points=line),), thin)
    assert made.joists.limit_mm == int(strip) < OpenTopSettings().riser_spacing_mm
    assert "BW-JOIST-012" in {f.code for f in made.notes.findings}
    assert not made.told
