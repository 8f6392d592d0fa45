"""Movement by hand: damp wood and warm rails."""

from __future__ import annotations

import pytest
from any_shapes import board_of

from boardwright import Notes
from boardwright_stages.movement.settings import MovementSettings
from boardwright_stages.movement.stages import movement
from boardwright_stages.strength.settings import StrengthSettings
from boardwright_timber.model import BoardParts, Grain, Part, Placement

OBLONG = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0))


def deck(material: str) -> Part:
    return Part(
        id="D",
        board="B01",
        role="deck",
        label="D",
        material=material,
        thickness_mm=9,
        length_mm=1200,
        width_mm=600,
        grain=Grain.LENGTH,
        ring=OBLONG,
        area_mm2=720000,
        mass_kg=5,
        placement=Placement(x_mm=0, y_mm=0, z_mm=0, angle_deg=0, stands=False),
    )


@pytest.mark.parametrize(
    ("material", "room", "across", "along", "rails"),
    [
        # 600 · 0.0002 · 6 = 0.72; 1200 · 0.0002 · 6 = 1.44; rails 1200 · 17e-6 · 30 = 0.612 and 1.44 more
        ("birch ply", "shed", 0.8, 1.5, 2.1),
        # 600 · 0.001/3 · 3 = 0.6; 1.2; rails 1200 · 17e-6 · 15 = 0.306 and 1.2 more
        ("mdf", "house", 0.6, 1.2, 1.6),
        ("foam", "house", 0.0, 0.0, 0.4),
    ],
)
def test_by_hand(material: str, room: str, across: float, along: float, rails: float) -> None:
    notes = Notes()
    found = movement(
        {"B01": board_of(OBLONG)},
        {"B01": BoardParts(board="B01", parts=(deck(material),))},
        StrengthSettings(room=room),  # type: ignore[arg-type]  # rows of the table are plain strings
        MovementSettings(),
        notes,
    )
    (one,) = found.boards
    assert (one.across_mm, one.along_mm, one.rails_mm) == (across, along, rails)
    assert [f.code for f in notes.findings] == ["BW-MOVE-001", "BW-MOVE-002"]
    assert f"{rails:g} mm" in notes.findings[1].says
