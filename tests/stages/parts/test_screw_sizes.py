"""Screws chosen from the members' thickness, by hand, and drilled in a frame of that thickness."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from boardwright import Notes
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.parts.screw_sizes import Screw, heights, screw_for
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring, HoleKind


@pytest.mark.parametrize(
    ("through", "butting", "screw", "pilot"),
    [
        (9, 9, (3.0, 40.0), 2.0),  # 9 / 3 = 3; 9 + 27 = 36 → 40; 2.1 → 2
        (10.5, 10.5, (3.5, 45.0), 2.5),  # 10.5 + 31.5 = 42 → 45; 2.45 → 2.5
        (12, 12, (4.0, 50.0), 3.0),  # 12 + 36 = 48 → 50; 2.8 → 3
        (18, 18, (4.0, 60.0), 3.0),  # at most 4 in sheet; 18 + 36 = 54 → 60
        (18, 12, (4.0, 60.0), 3.0),
        (12, 18, (4.0, 50.0), 3.0),
        (44, 44, (5.0, 90.0), 3.5),  # 44 + 45 = 89 → 90
        (70, 70, (5.0, 120.0), 3.5),  # 70 + 45 = 115 → 120
        (85, 85, (5.0, 120.0), 3.5),  # 130 are not sold; 120 - 85 = 35 ≥ 6 × 5
    ],
)
def test_by_hand(through: float, butting: float, screw: tuple[float, float], pilot: float) -> None:
    found = screw_for(through, butting)
    assert found is not None
    assert (found.diameter_mm, found.length_mm) == screw
    assert found.pilot_mm == pilot


@pytest.mark.parametrize(("through", "butting"), [(6, 6), (8.9, 8.9), (12, 8.9), (91, 91)])
def test_nothing_will_do(through: float, butting: float) -> None:
    """Too thin for 3 mm; or 120 - 91 = 29 mm in the second strip, where 6 × 5 = 30 are wanted."""
    assert screw_for(through, butting) is None


def test_a_skewed_screw_is_longer() -> None:
    """At 30° there are 12 / cos 30° = 13.86 of the first strip: 13.86 + 36 = 49.86 fits 50; at 35° not."""
    assert screw_for(12, 12, 30) == Screw(4.0, 50.0)
    assert screw_for(12, 12, 35) == Screw(4.0, 60.0)  # 14.65 + 36 = 50.65


@pytest.mark.parametrize(
    ("depth", "found"),
    [
        (90, (-30, -60)),
        (60, (-20, -40)),  # a third
        (45, (-14.5, -30.5)),  # a third leaves 15 between them, 16 are wanted
        (40, (-12, -28)),  # 3 d to the edges, 4 d between: just
        (39, (-19.5,)),  # one in the middle
        (24, (-12,)),
        (23, ()),
    ],
)
def test_heights_of_4_mm_screws(depth: float, found: tuple[float, ...]) -> None:
    assert heights(depth, 30, Screw(4.0, 50.0)) == found


def drilled(boxes: Any, thickness: float, depth: float) -> tuple[set[Any], int, list[str]]:
    """Sizes and screws of the pilots of a box 1000 × 600 with one joist, their number, and the findings."""
    made = replace(boxes, thickness_mm=thickness, depth_mm=depth).box(
        "A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (), (350.0,)
    )
    notes = Notes()
    answer = parts(
        made.board,
        BoardPlan(board="A"),
        made.frame,
        made.joists,
        BoardFixings(board="A"),
        BoardWiring(board="A"),
        FramingSettings(member_thickness_mm=thickness, depth_mm=depth),
        notes,
    )
    holes = [h for p in answer.parts for h in p.holes if h.kind is HoleKind.PILOT]
    return {(h.diameter_mm, h.screw, h.note) for h in holes}, len(holes), [f.code for f in notes.findings]


@pytest.mark.parametrize(
    ("thickness", "depth", "holes", "pilot", "screw"),
    [
        (12, 90, 12, 3.0, (4.0, 50.0)),
        (9, 70, 12, 2.0, (3.0, 40.0)),
        (18, 100, 12, 3.0, (4.0, 60.0)),
        (44, 95, 12, 3.5, (5.0, 90.0)),
        (12, 30, 6, 3.0, (4.0, 50.0)),
    ],
)
def test_a_frame_gets_the_screws_its_thickness_asks_for(
    boxes: Any, thickness: float, depth: float, holes: int, pilot: float, screw: tuple[float, float]
) -> None:
    """Six butts: four corners and both ends of the joist; two pilots each, one in strips only 30 deep."""
    found, number, codes = drilled(boxes, thickness, depth)
    assert found == {(pilot, screw, f"countersink, screw {screw[0]:g} × {screw[1]:g}")}
    assert (number, codes) == (holes, [])


def test_strips_too_thin_to_be_screwed_are_told_once(boxes: Any) -> None:
    """6 mm strips: six joints, no pilot, one caution that counts them."""
    assert drilled(boxes, 6, 90) == (set(), 0, ["BW-PART-006"])
