"""Consumables by area, by hand."""

from __future__ import annotations

from boardwright_stages.hardware.finishing import finish_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_timber.model import BoardParts, Grain, Part, Placement


def part(role: str, length: float, width: float) -> Part:
    return Part(
        id=role,
        board="A",
        role=role,
        label=role,
        material="birch ply",
        thickness_mm=9.0,
        length_mm=length,
        width_mm=width,
        grain=Grain.FREE,
        ring=((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)),
        area_mm2=length * width,
        mass_kg=0.0,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
    )


BOARD = BoardParts(board="A", parts=(part("deck", 1000, 600), part("side", 1000, 100)))


def test_area_times_coverage_rounded_up() -> None:
    how = HardwareSettings(sealer_ml_per_m2=120, underlay_dm2_per_m2=100, abrasive_sheets_per_m2=1)
    # both faces of 0.6 + 0.1 m² are 1.4 m²: 168 ml, 2 sheets; 0.6 m² of deck are 60 dm²
    assert [(n.item, n.quantity, n.unit) for n in finish_lines(BOARD, how)] == [
        ("sealer", 168, "ml"),
        ("underlay", 60, "dm²"),
        ("abrasive", 2, "piece"),
    ]


def test_nought_buys_none() -> None:
    assert list(finish_lines(BOARD, HardwareSettings(abrasive_sheets_per_m2=0))) == []


def test_a_board_without_wood_needs_nothing() -> None:
    how = HardwareSettings(sealer_ml_per_m2=120, underlay_dm2_per_m2=100)
    assert list(finish_lines(BoardParts(board="A"), how)) == []
