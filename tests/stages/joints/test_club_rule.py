"""Holes that a club's rule fixes are used as they are, or told."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from boardwright import Notes
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import joint_fixings
from boardwright_stages.wiring.holes import joint_points
from boardwright_stages.wiring.measuring import wanted
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.model import JointDemand

CLUB = JointSettings(bolts_at_mm=(-200, 200), dowels_at_mm=(-100, 100), fixings_below_mm=40)


def test_fixed_places_are_used(straight_pair: Callable) -> None:
    """600 wide, middle 300: bolts at 100 and 500, dowels at 200 and 400, 40 below the tops."""
    a, b = straight_pair()
    notes = Notes()
    halves = [Half(m.board, m.frame, m.joists) for m in (a, b)]
    joint = a.board.joints[0]
    made = joint_fixings(joint, *halves, CLUB, notes)
    assert [(f.kind.value, f.along_mm, f.z_mm) for f in made] == [
        ("bolt", 100, -40),
        ("dowel", 200, -40),
        ("dowel", 400, -40),
        ("bolt", 500, -40),
    ]
    assert notes.findings == []
    how = WiringSettings(joint_holes_at_mm=(-40, 40), joint_holes_below_mm=50, hole_diameter_mm=20)
    measure = wanted(JointDemand(joint="J01", cores=60, squares_mm2=375), 90.0, 18.0, how)
    assert joint_points(joint, *halves, made, how, measure) == ((260, -50), (340, -50))


def test_a_place_that_is_not_clear_is_a_fault(straight_pair: Callable) -> None:
    """400 wide: 200 from the middle is the very edge; the dowels are clear."""
    a, b = straight_pair(width=400.0)
    notes = Notes()
    halves = [Half(m.board, m.frame, m.joists) for m in (a, b)]
    made = joint_fixings(a.board.joints[0], *halves, CLUB, notes)
    assert [f.kind.value for f in made] == ["dowel", "dowel"]
    told = next(f for f in notes.findings if f.code == "BW-JOINT-007")
    assert "-200, 200 mm" in told.says


@pytest.mark.parametrize("places", [(150.0,), (-100.0, 150.0)])
def test_lopsided_rules_are_refused(places: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="mirrored"):
        JointSettings(bolts_at_mm=places)
    with pytest.raises(ValueError, match="mirrored"):
        WiringSettings(joint_holes_at_mm=places)
