"""Single legs added by themselves: round wells as many as they need, told in a note, within a cap;
and they are those of working the whole frame out anew after each."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from any_shapes import board_of

from boardwright import Notes, Severity
from boardwright.plan.model import Ring
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength import adding
from boardwright_stages.strength.adding import gives_most, with_leg, worst_place
from boardwright_stages.strength.grillage import Beam, solve
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_stages.strength.sums import frame_figures
from boardwright_timber.model import BoardFixings, BoardPlan, BoardStrength, BoardWiring

OF_THE_FRAME = ("frame-sag", "frame-hand", "bending", "shear")


def found(
    size: float,
    well: Ring | None,
    supports: SupportSettings | None = None,
    edge: Ring | None = None,
    *,
    girders: bool = False,
) -> tuple[BoardStrength, Notes]:
    """A square board with a well, or one of another edge, framed, joisted and cut as any, on legs."""
    ring = edge or ((0.0, 0.0), (size, 0.0), (size, size), (0.0, size))
    board, notes, framing = board_of(ring, (well,) if well else ()), Notes(), FramingSettings()
    plan = BoardPlan(board=board.id)
    made = (
        l_girder(board, plan, framing, GirderSettings(), notes) if girders else frame(board, framing, notes)
    )
    held = joists(board, plan, made, framing, JoistSettings(), notes)
    fixings, wiring = BoardFixings(board=board.id), BoardWiring(board=board.id)
    cut = parts(board, plan, made, held, fixings, wiring, framing, notes)
    return strength(board, made, held, cut, StrengthSettings(), supports or SupportSettings(), notes), notes


def round_well(size: float, across: float, steps: int) -> Ring:
    turns = (2 * math.pi * k / steps for k in range(steps))
    return tuple((size / 2 + across / 2 * math.cos(t), size / 2 - across / 2 * math.sin(t)) for t in turns)


@pytest.mark.parametrize(("size", "across", "steps"), [(1200, 600, 6), (1500, 1000, 4)])
def test_a_well_gets_the_legs_it_needs(size: float, across: float, steps: int) -> None:
    """By the settings as they come; with four at most, these wells, which turn a corner to where joists could
    run past them, give more than they may."""
    well = round_well(size, across, steps)
    made, notes = found(size, well)
    lines = {line.key: line for line in made.lines}
    assert all(lines[key].passed for key in OF_THE_FRAME)
    assert not [f for f in notes.findings if f.severity is Severity.FAULT]
    (told,) = (f for f in notes.findings if f.code == "BW-STR-014")
    more = len(made.points) - 4
    assert told.severity is Severity.NOTE
    assert told.says.startswith(f"{more} single legs more stand under board ")
    assert more <= 4 + math.pi * across / 200, "four, and one for each 200 mm of the well's edge"
    fewer, _ = found(size, well, SupportSettings(well_leg_every_mm=0))
    assert any(line.key in OF_THE_FRAME and not line.passed for line in fewer.lines)
    assert len(fewer.points) == 4 + 4


SQUARE_WELL = ((400.0, 400.0), (400.0, 700.0), (700.0, 700.0), (700.0, 400.0))


@pytest.mark.parametrize("well", [SQUARE_WELL, round_well(1200, 160, 64), round_well(1200, 300, 64)])
def test_a_well_that_joists_run_past_needs_no_leg_of_its_own(well: Ring) -> None:
    """Of four sides, of four by the overhang allowed, and of eight."""
    made, notes = found(1200, well)
    plain, _ = found(1200, None)
    assert len(made.points) == len(plain.points) == 4
    assert not [f for f in notes.findings if f.code == "BW-STR-014"]
    assert all(line.passed for line in made.lines)


def test_a_round_end_on_girders_gets_a_leg_for_each_corner() -> None:
    """Two members close each end of this board, 2 · 2 - 2 = 2 more than on a square one, so that 4 + 2 legs
    may stand there; with four the corner left out gives 2.6 mm where 2 are wanted."""
    turns = [math.pi * k / 24 for k in range(25)]
    right = [(2750 + 250 * math.sin(t), 250 - 250 * math.cos(t)) for t in turns]
    left = [(250 - 250 * math.sin(t), 250 + 250 * math.cos(t)) for t in turns]
    edge = (*right, *left)
    made, notes = found(0, None, edge=edge, girders=True)
    (told,) = (f for f in notes.findings if f.code == "BW-STR-014")
    assert told.says.startswith("6 single legs more stand ")
    assert "deeper ones hardly do" in told.mend
    assert all(line.passed for line in made.lines if line.key in OF_THE_FRAME)
    fewer, _ = found(0, None, SupportSettings(most_added=2), edge=edge, girders=True)
    (hand,) = (line for line in fewer.lines if line.key == "frame-hand")
    assert (hand.measured, hand.passed) == (pytest.approx(2.6, abs=0.05), False)


def test_none_where_none_are_wanted() -> None:
    made, notes = found(1200, round_well(1200, 600, 24), SupportSettings(most_added=0))
    assert len(made.points) == 4
    assert "BW-STR-014" not in {f.code for f in notes.findings}


def test_all_that_may_be_added_is_told() -> None:
    _, notes = found(1200, round_well(1200, 600, 24), SupportSettings(most_added=1, well_leg_every_mm=0))
    (told,) = (f for f in notes.findings if f.code == "BW-STR-014")
    assert told.says.startswith("1 single leg more stands ")
    assert "all that may be added (1)" in told.says
    assert told.mend.startswith("Nothing; deeper or thicker members")


def test_a_board_that_holds_gets_none() -> None:
    made, notes = found(1200, None)
    assert len(made.points) == 4
    assert "BW-STR-014" not in {f.code for f in notes.findings}


def test_corners_of_a_round_edge_get_the_legs_they_need() -> None:
    """The head of a peninsula, half round on a straight piece with a bay in its middle: seven short sides
    make the round, and each corner between two of them turns like a hinge. By the settings as they come."""
    half = tuple(
        (600 + 600 * math.cos(t), 150 + 600 * math.sin(t)) for t in (math.pi * k / 24 for k in range(25))
    )
    edge = ((0.0, 0.0), (340.0, 0.0), (340.0, 100.0), (850.0, 100.0), (850.0, 0.0), (1200.0, 0.0), *half)
    made, notes = found(0.0, None, edge=edge)
    assert all(line.passed for line in made.lines if line.key in OF_THE_FRAME)
    assert not [f for f in notes.findings if f.severity is Severity.FAULT]
    assert len(made.points) > 4 + 4


WELLS = [
    (1200, 700, 12, None, 0.0),
    (1500, 1000, 4, None, 0.0),
    (1000, 500, 6, 0.4, 0.0),
    (1000, 500, 6, None, 300.0),
]


@pytest.mark.parametrize(("size", "across", "steps", "sag_mm", "post_n"), WELLS)
def test_the_same_legs_as_the_plain_way(
    size: float,
    across: float,
    steps: int,
    sag_mm: float | None,
    post_n: float,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The third with a hand that may press in anything: lasting sag chooses; the last with posts, whose
    hands press on pairs of nodes and lift a third."""
    asked: list[Any] = []
    quick = adding.added_legs

    def kept(*args: Any) -> Any:
        asked.append(args)
        return quick(*args)

    monkeypatch.setattr(adding, "added_legs", kept)
    found(size, round_well(size, across, steps))
    net, members, supports, lasting, settings, most, above = asked[0]
    if post_n:
        above = np.zeros((len(net.points), 2))
        above[[10, 40, 80], 0] = above[[20, 60, 90], 1] = (post_n, post_n, -post_n / 4)
    if sag_mm:
        settings = StrengthSettings(frame_sag_mm=sag_mm, hand_sag_mm=1000.0)
    solved = []
    monkeypatch.setattr(adding, "frame_figures", lambda *a: solved.append(a) or frame_figures(*a))
    added, known = quick(net, members, supports, lasting, settings, most, above)

    plain: list[int] = []
    figures = None
    while len(plain) < most:
        figures = frame_figures(net, members, [*supports, *plain], lasting, settings, above)
        at = worst_place(net, figures, [*supports, *plain], settings)
        if at is None:
            break
        plain.append(at)
        figures = None
    assert added == plain
    assert len(added) >= 3, "else nothing was shown"
    assert (known is None) == (figures is None)
    if known and figures:
        for one, other in zip(known, figures, strict=True):
            assert np.array_equal(one, other), "to the last bit"
    assert len(solved) <= 1 + (len(added) + 1) // 2, "solved far less often than once a leg"


def test_a_leg_more_by_statics() -> None:
    """A beam of two metres on its ends, EI = 1e10: P·L³/48EI = 100·8e9/4.8e11 = 1.667 mm in the middle. A leg
    there leaves two beams of one metre. Its own place no longer sags; a quarter along sags as solved anew."""
    points = [(500.0 * n, 0.0) for n in range(5)]
    beams = [Beam(n, n + 1, 1e10, 1e12, 1e9) for n in range(4)]
    loads = np.column_stack((np.full(5, 50.0), 100.0 * np.eye(5)))
    sags = solve(points, beams, [0, 4], loads).sags
    assert sags[2, 3] == pytest.approx(1.667, abs=0.001)
    assert with_leg(sags, 2) == pytest.approx(solve(points, beams, [0, 4, 2], loads).sags, abs=1e-9)


def test_what_could_be_rounded_either_way_is_not_told() -> None:
    """Two places that differ by less than what is compared (a millionth): told when both round alike beyond
    doubt, the first of them; not when the doubt spans a step of rounding, nor about a limit."""
    settings = StrengthSettings(hand_sag_mm=1.0, frame_sag_mm=100.0)

    def told(first: float, second: float, slack: float) -> int | None:
        return gives_most(np.array([[0.0, first, 0.0], [0.0, 0.0, second]]), slack, 0.6, settings)

    assert told(2.0, 3.0, 1e-8) == 1
    assert told(3.0000001, 3.0000002, 1e-8) == 0, "equal as they are compared: the first"
    assert told(3.0000004, 3.0000006, 1e-8) == 1, "one rounds down, the other up"
    assert told(3.0000004, 3.0000005, 2e-7) is None
    assert told(1.0000005, 0.5, 1e-6) is None, "over the limit or on it"
    assert told(0.9, 0.5, 1e-6) is None, "kept, as far as these go"
