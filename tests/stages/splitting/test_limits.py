"""Openings against turns tried one by one; lifting against published values; boards keep to the limits."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest

from boardwright.errors import InputError
from boardwright.findings import Notes
from boardwright.plan.model import Outline, TrackPlan
from boardwright_stages.splitting.limits import (
    LIFTING_KG,
    TEAM_OF_TWO,
    Opening,
    lies_within,
    passes,
    spare_mm,
)
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.whole import split_plan


def _plan(length: float, width: float, name: str = "Mill Siding") -> TrackPlan:
    ring = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    outline = Outline(id="edge", ring=ring)
    return TrackPlan(name=name, drawing_file="plan.dxf", scale_ratio=87.0, outlines=(outline,))


def _by_turning(p: float, q: float, a: float, b: float) -> float:
    """Least mm a p × q rectangle stands out of an a × b one over turns of 0.05° (0 or less: it is within)."""
    turns = (math.radians(k / 20) for k in range(1801))
    return min(
        max(p * math.cos(t) + q * math.sin(t) - a, p * math.sin(t) + q * math.cos(t) - b) for t in turns
    )


def test_lying_within_agrees_with_turns_tried_one_by_one() -> None:
    rnd = random.Random(7)
    seen = {True: 0, False: 0, "turned": 0}
    for _ in range(400):
        a, b = rnd.uniform(300, 2000), rnd.uniform(300, 2000)
        p, q = rnd.uniform(300, 2400), rnd.uniform(50, 500)
        out = _by_turning(p, q, a, b)
        if abs(out) < 2.0:  # a turn of 0.05° moves 2 m by 1.7 mm: too near to tell by trying
            continue
        assert lies_within(p, q, a, b) == (out < 0), (p, q, a, b, out)
        seen[out < 0] += 1
        seen["turned"] += out < 0 and max(p, q) > max(a, b)
    assert min(seen.values()) >= 5, seen


def _turned(box: tuple[float, float, float], yaw: float, pitch: float, roll: float) -> np.ndarray:
    """Extents of a box along three axes when it is turned about each of them (radians)."""
    corners = np.array(list(itertools.product(*((-side / 2, side / 2) for side in box))))
    for angle, (i, j) in ((yaw, (0, 1)), (pitch, (0, 2)), (roll, (1, 2))):
        c, s = math.cos(angle), math.sin(angle)
        corners[:, [i, j]] = corners[:, [i, j]] @ np.array(((c, s), (-s, c)))
    return np.ptp(corners, axis=0)


def _least_out(box: tuple[float, float, float], opening: Opening, tilts: np.ndarray) -> float:
    """Least mm a box stands out of a room as wide, high and long as the opening, over turns in space."""
    length = opening.length_mm or 1e6
    room = np.array((opening.width_mm, opening.height_mm, length))
    return min(float((_turned(box, *t) - room).max()) for t in tilts)


def test_passing_agrees_with_orientations_sampled_in_space() -> None:
    """Each face first and turned about in the hole by half degrees; then, for those that do not pass, tilted
    at random about all axes: a box drawn straight through a hole gains nothing from a tilt."""
    rnd = random.Random(11)
    quarter = math.pi / 2
    faces = ((0.0, 0.0, 0.0), (0.0, quarter, 0.0), (0.0, 0.0, quarter))  # which side points through the hole
    spins = np.abs(np.exp(1j * np.radians(np.arange(0.0, 180.0, 0.5))).view(float).reshape(-1, 2))
    seen = {True: 0, False: 0}
    for _ in range(40):
        box = (rnd.uniform(600, 1500), rnd.uniform(250, 900), rnd.uniform(80, 350))
        opening = Opening(
            name="hole",
            width_mm=rnd.uniform(250, 900),
            height_mm=rnd.uniform(250, 900),
            length_mm=rnd.choice((None, rnd.uniform(500, 1600))),
        )
        out = math.inf
        for face in faces:
            # the hole lies across z: a face is turned to it, and the box spun about z
            sides = _turned(box, *face)
            wide, high = spins @ sides[:2] - opening.width_mm, spins @ sides[1::-1] - opening.height_mm
            deep = sides[2] - (opening.length_mm or 1e6)
            out = min(out, float(np.maximum(np.maximum(wide, high), deep).min()))
        if abs(out) < 8.0:  # half a degree moves 1.5 m by 7 mm: too near to tell by trying
            continue
        assert passes(box, opening) == (out < 0), (box, opening, out)
        seen[out < 0] += 1
        if out > 0:
            tilts = np.array([[rnd.uniform(0, math.pi) for _ in range(3)] for _ in range(150)])
            assert _least_out(box, opening, tilts) > 0, (box, opening)
    assert min(seen.values()) >= 8, seen


def test_a_board_passes_a_hatch_on_edge() -> None:
    hatch = Opening(name="hatch", width_mm=562, height_mm=726)
    # 600 wide × 150 high, end first: on edge 600 ≤ 726 and 150 ≤ 562
    assert passes((1200, 600, 150), hatch)
    # 880 > 726, and turned far enough for its width the board is 717 mm high: more than 562
    assert not passes((1200, 880, 150), hatch)
    spare = spare_mm((1200, 600, 150), hatch)
    assert spare > 726 - 600 - 1e-6
    assert passes((1200, 600 + spare - 0.01, 150), hatch)
    assert not passes((1200, 600 + spare + 0.01, 150), hatch)


def test_a_board_that_goes_through_end_first_may_be_of_any_width() -> None:
    """950 long, 200 high, in a door 640 × 1700: carried along its width, its 950 stand upright in the 1700
    and its 200 lie in the 640. In a lorry 4000 long it goes in that way until its width fills them."""
    door = Opening(name="door", width_mm=640, height_mm=1700)
    assert spare_mm((950, 520, 200), door) == math.inf
    assert passes((950, 100_000, 200), door)
    lorry = Opening(name="lorry", width_mm=640, height_mm=1700, length_mm=4000)
    assert spare_mm((950, 520, 200), lorry) == pytest.approx(4000 - 520)


def test_lifting_follows_the_published_team_rule() -> None:
    """Two people: two thirds of the sum (HSE, read: 2 × 25 kg → 33 kg, 2 × 16 → 21). 15 kg: memory."""
    assert math.floor(TEAM_OF_TWO * (25 + 25)) == 33
    assert math.floor(TEAM_OF_TWO * (16 + 16)) == 21
    assert {1: 15.0, 2: pytest.approx(20.0)} == LIFTING_KG


def test_default_masses_are_those_of_the_default_frame() -> None:
    """Birch ply 710 kg/m³ at 9 mm and 695 at 12 mm (datasheet, read); joists at 400 mm; 3 kg/m² more."""
    strip = 0.012 * 0.090 * 695  # 0.751 kg a metre
    settings = SplittingSettings()
    assert settings.kg_per_m == pytest.approx(strip, rel=0.01)
    assert settings.kg_per_m2 == pytest.approx(0.009 * 710 + strip / 0.4 + 3.0, rel=0.01)


@pytest.mark.parametrize(
    "limits",
    [
        {"people": 1, "kg_per_m2": 14.0},  # 1.4 × 0.7 m: 13.7 + 3.2 = 16.9 kg, over 15
        {"max_mass_kg": 6.5},
        {"reach_mm": 520.0},
        {"sheet_length_mm": 900.0, "sheet_width_mm": 900.0},
        {"openings": (Opening(name="car", width_mm=1000, height_mm=650, length_mm=950),)},
    ],
)
def test_every_board_keeps_to_the_limits(limits: dict[str, object]) -> None:
    settings = SplittingSettings(max_length_mm=1500.0, **limits)  # type: ignore[arg-type]  # mixed kinds
    notes = Notes()
    found = split_plan(_plan(4200.0, 700.0), settings, notes)
    free = split_plan(_plan(4200.0, 700.0), SplittingSettings(max_length_mm=1500.0), Notes())
    assert len(found.boards) > len(free.boards)
    for b in found.boards:
        area, edge = b.length_mm * b.width_mm, 2 * (b.length_mm + b.width_mm)
        assert settings.thought_kg(area, edge) <= (settings.most_kg or 99.0) + 0.01
        assert b.width_mm <= (settings.reach_mm or 750.0) + 0.02
        assert b.length_mm <= (settings.sheet_length_mm or 1500.0) + 0.02
        assert all(passes((b.length_mm - 0.02, b.width_mm, 200.0), o) for o in settings.openings)
    assert not [f for f in notes.findings if f.code in ("BW-SPLIT-016", "BW-SPLIT-017")]


def test_limits_that_contradict_are_told_first() -> None:
    notes = Notes()
    split_plan(_plan(2000.0, 500.0), SplittingSettings(max_length_mm=600.0, min_length_mm=900.0), notes)
    assert [f.code for f in notes.findings] == ["BW-SPLIT-015"]
    through = SplittingSettings(openings=(Opening(name="hatch", width_mm=180, height_mm=150),))
    with pytest.raises(InputError, match="hatch"):
        split_plan(_plan(2000.0, 500.0), through, Notes())


@pytest.mark.parametrize("key", ["max_length_mm", "max_width_mm"])
def test_limits_in_another_unit_are_refused_at_once(key: str) -> None:
    """48 for 48 inches: 48 × 25.4 = 1219 mm. Parting a layout into boards of 48 mm takes minutes."""
    with pytest.raises(InputError) as error:
        split_plan(_plan(2000.0, 500.0), SplittingSettings(**{key: 48.0}), Notes())
    (told,) = error.value.findings
    assert told.code == "BW-SPLIT-021"
    assert told.where[0].key == f"[splitting] {key}"
    assert "48 inches are 1219 mm" in told.mend
    split_plan(_plan(2000.0, 500.0), SplittingSettings(max_length_mm=0.0, max_width_mm=0.0), Notes())


def test_a_narrow_layout_of_one_board_is_told_of_its_outline() -> None:
    notes = Notes()
    split_plan(_plan(900.0, 180.0), SplittingSettings(), notes)
    (told,) = notes.findings
    assert told.code == "BW-SPLIT-011"
    assert "outline" in told.mend
    assert "joint" not in told.mend


def test_an_outline_that_crosses_itself_is_told_with_the_point() -> None:
    bow = ((0.0, 0.0), (1000.0, 600.0), (1000.0, 0.0), (0.0, 600.0))
    plan = TrackPlan(
        name="Bow", drawing_file="p.dxf", scale_ratio=87.0, outlines=(Outline(id="e", ring=bow),)
    )
    with pytest.raises(InputError) as caught:
        split_plan(plan, SplittingSettings(), Notes())
    (place,) = caught.value.findings[0].where
    assert (place.x_mm, place.y_mm) == (500.0, 300.0)
