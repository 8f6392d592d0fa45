"""The strength stage: the contract, arithmetic on plain boxes, findings with what to change."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from boardwright import Notes, Severity
from boardwright.testing import StageContract
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import BoardStrength, WireHole

type Make = Callable[..., dict[str, Any]]


def run(
    made: dict[str, Any], settings: StrengthSettings | None = None, supports: SupportSettings | None = None
) -> tuple[BoardStrength, Notes]:
    notes = Notes()
    found = strength(
        **made,
        settings=settings or StrengthSettings(),
        supports=supports or SupportSettings(),
        notes=notes,
    )
    return found, notes


def line(found: BoardStrength, key: str) -> float:
    return next(got.measured for got in found.lines if got.key == key)


class TestContract(StageContract):
    stage = staticmethod(strength)

    @pytest.fixture(autouse=True)
    def _board(self, board: Make) -> None:
        self.make = board

    def arguments(self) -> dict[str, Any]:
        return {**self.make(), "settings": StrengthSettings(), "supports": SupportSettings()}


def test_supports_carry_the_mass(board: Make) -> None:
    """Without a hand the loads of the supports add up to mass × 9.81; legs stand at 0.22 of 1200 = 264."""
    found, notes = run(board(), StrengthSettings(hand_n=0))
    assert sum(p.load_n for p in found.points) == pytest.approx(found.mass_kg * 9.81, abs=0.2)
    assert sorted({p.x_mm for p in found.points}) == [264.0, 936.0]
    assert not [f for f in notes.findings if f.severity is Severity.FAULT]
    assert all(got.passed and got.rule and got.source for got in found.lines)


def test_sides_as_beams(board: Make) -> None:
    """Held at its ends only, a side is a beam 1200 long: 5/384·w·L⁴/EI and shear, doubled by creep (k_def 1).

    w: half of all mass, though what the ends carry goes straight to the supports: the sum is an upper bound,
    and three quarters of it a lower one.
    """
    ends = {"A": ((0.0, 6.0), (1200.0, 6.0), (0.0, 594.0), (1200.0, 594.0))}
    found, _ = run(board(), StrengthSettings(frame_sag_mm=9), SupportSettings(points=ends))
    half = found.mass_kg * 9.81 / 2
    stiff, shear = 8750 * 12 * 90**3 / 12, 5 / 6 * 620 * 12 * 90
    most = 2 * (5 / 384 * half * 1200**3 / stiff + half * 1200 / 8 / shear)
    assert 0.75 * most < line(found, "frame-sag") < most + 0.1


def test_more_legs_more_stiffness(board: Make) -> None:
    two, _ = run(
        board(2400.0, joists_at=tuple(300.0 * k for k in range(1, 8))),
        None,
        SupportSettings(max_spacing_mm=9e3, most_added=0),
    )
    three, _ = run(
        board(2400.0, joists_at=tuple(300.0 * k for k in range(1, 8))),
        None,
        SupportSettings(max_spacing_mm=900, most_added=0),
    )
    assert len(three.points) == 6
    assert line(three, "frame-sag") < line(two, "frame-sag")


def test_a_hole_costs_strength(board: Make) -> None:
    """A hole of 40 in a side of 90 at its lower edge's side, where bending is worst."""
    ends = SupportSettings(points={"A": ((0.0, 6.0), (1200.0, 6.0), (0.0, 594.0), (1200.0, 594.0))})
    loose = StrengthSettings(frame_sag_mm=9, hand_sag_mm=99)
    whole, _ = run(board(), loose, ends)
    hole = WireHole(member="A-S0", along_mm=600.0, z_mm=-60.0, x_mm=600.0, y_mm=0.0, diameter_mm=40.0)
    holed, _ = run(board(holes=(hole,)), loose, ends)
    assert line(holed, "bending") > 1.15 * line(whole, "bending")


def test_over_a_limit_is_a_caution_that_names_what_to_change(board: Make) -> None:
    tight = StrengthSettings(frame_sag_mm=0.01, deck_sag_mm=0.01, hand_sag_mm=0.01, gradient_percent=0.001)
    _, notes = run(board(), tight, SupportSettings(most_added=0))
    said = {f.code: f for f in notes.findings}
    assert {"BW-STR-001", "BW-STR-002", "BW-STR-003", "BW-STR-004"} <= set(said)
    assert all(f.severity is Severity.CAUTION for f in said.values() if f.code != "BW-STR-007")
    assert "depth_mm" in said["BW-STR-001"].mend
    assert "spacing_mm" in said["BW-STR-002"].mend


def test_strength_used_up_is_a_fault(board: Make) -> None:
    _, notes = run(board(), StrengthSettings(hand_n=300, hand_sag_mm=99))
    thin = board()
    deck = thin["parts"].parts[0]
    thin["parts"] = msgspec.structs.replace(
        thin["parts"], parts=(msgspec.structs.replace(deck, thickness_mm=3.0), *thin["parts"].parts[1:])
    )
    assert "BW-STR-005" not in {f.code for f in notes.findings}
    _, notes = run(thin, StrengthSettings(hand_n=300, hand_sag_mm=99))
    assert [f.severity for f in notes.findings if f.code == "BW-STR-005"] == [Severity.FAULT]


def test_supports_that_do_not_hold_the_middle(board: Make) -> None:
    found, notes = run(board(), None, SupportSettings(points={"A": ((0.0, 6.0), (0.0, 594.0), (300.0, 6.0))}))
    assert found.lines == ()
    assert [f.code for f in notes.findings] == ["BW-STR-006"]


def test_a_support_under_nothing_is_left_out(board: Make) -> None:
    given = ((0.0, 6.0), (0.0, 594.0), (1200.0, 300.0), (450.0, 300.0))
    found, notes = run(board(), None, SupportSettings(points={"A": given}))
    assert len(found.points) == 3
    assert "BW-STR-009" in {f.code for f in notes.findings}


def test_trestles_and_battens(board: Make) -> None:
    trestles, _ = run(board(), None, SupportSettings(kind="trestles"))
    assert len(trestles.points) == 4
    wall = SupportSettings(battens={"A": (((0.0, 594.0), (1200.0, 594.0)),)}, points={"A": ((600.0, 6.0),)})
    found, _ = run(board(), None, wall)
    assert len(found.points) > 20
    assert {p.y_mm for p in found.points} >= {6.0, 594.0}


def test_free_standing_may_tip(board: Make) -> None:
    _, notes = run(board(), StrengthSettings(hand_n=400, hand_sag_mm=99), SupportSettings(from_end=0.4))
    assert "BW-STR-007" in {f.code for f in notes.findings}


def test_lift_out_lies_on_its_ends(board: Make) -> None:
    made = board()
    made["board"] = msgspec.structs.replace(made["board"], lift_out=True)
    found, _ = run(made)
    assert found.support == "its ends"
    assert {round(p.x_mm) for p in found.points} == {6, 1194}


def test_a_board_on_legs_far_from_its_end_is_a_fault(board: Make) -> None:
    """All four legs in the left third of a board 1800 long: the right end gives far more than five times 2 mm
    under a hand. The place is told in the board's own axes, and as a place in the drawing."""
    near = {"A": ((20.0, 6.0), (20.0, 594.0), (1100.0, 6.0), (1100.0, 594.0))}
    made = board(1800.0, joists_at=(300.0, 600.0, 900.0, 1200.0, 1500.0))
    found, notes = run(made, StrengthSettings(hand_n=400), SupportSettings(points=near))
    worst = next(got for got in found.lines if got.key == "frame-hand")
    assert worst.measured > 10.0
    (fault,) = [f for f in notes.findings if f.code == "BW-STR-011"]
    assert fault.severity is Severity.FAULT
    assert worst.at is not None
    assert worst.where == f"x {worst.at[0]:.0f}, y {worst.at[1]:.0f} from the board's datum corner"
    (place,) = fault.where
    told = made["board"].to_plan(worst.at)
    assert (place.x_mm, place.y_mm) == (round(told[0], 1), round(told[1], 1))


def test_carried_by_its_ends(board: Make) -> None:
    """As a beam 1200 long held at both ends, 1.5 times what stays, no creep: 5/384·w·L⁴/EI is an upper
    bound (what the ends weigh hangs on the hands), three quarters of it a lower one. Longer, it bends
    more."""
    found, notes = run(board())
    load = 1.5 * found.mass_kg * 9.81 / 2
    most = 5 / 384 * load * 1200**3 / (8750 * 12 * 90**3 / 12)
    assert 0.75 * most < line(found, "carried-sag") < most + 0.1
    moment, modulus = 1.35 * load * 1200 / 8, 12 * 90**2 / 6
    most_use = moment / modulus / (32.1 * 0.9 / 1.2) * 100
    assert 0.6 * most_use < line(found, "carried-bending") < most_use + 0.1
    long, told = run(board(3000.0, joists_at=(1000.0, 2000.0)), StrengthSettings(carried_sag_mm=0.5))
    assert line(long, "carried-sag") > 5.0
    (caution,) = [f for f in told.findings if f.code == "BW-STR-013"]
    assert caution.severity is Severity.CAUTION, "ten times the limit, yet lifting is no fault of the board"
    assert "more hands" in caution.mend
    assert "BW-STR-013" not in {f.code for f in notes.findings}
