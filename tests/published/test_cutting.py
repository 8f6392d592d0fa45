"""Cutting against published figures."""

from __future__ import annotations

import pytest

from boardwright import Notes
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import BoardParts, CuttingPlan, Grain, Part, Placement


def part(id_: str, length: float, width: float) -> Part:
    return Part(
        id=id_,
        board="A",
        role="part",
        label=id_,
        material="birch ply",
        thickness_mm=12.0,
        length_mm=length,
        width_mm=width,
        grain=Grain.LENGTH,
        ring=((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)),
        area_mm2=length * width,
        mass_kg=0.0,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
    )


def cut(parts: list[Part], length: float, width: float, kerf: float = 0.0, stages: int = 0) -> CuttingPlan:
    sheet = StockSheet(
        name="sheet", material="birch ply", thickness_mm=12.0, length_mm=length, width_mm=width
    )
    plan = cutting(
        {"A": BoardParts(board="A", parts=tuple(parts))},
        StockSettings(sheets=(sheet,)),
        CuttingSettings(kerf_mm=kerf, trim_mm=0.0, stages=stages),
        Notes(),
    )
    assert sorted(p.part for s in plan.sheets for p in s.parts) == sorted(p.id for p in parts)
    return plan


def test_four_605_out_of_a_2440_strip() -> None:
    """Common practice, no source: 4 × 605 + 3 × 3 = 2429, 11 mm left; a fifth needs a second strip."""
    plan = cut([part(f"J{n}", 605.0, 95.0) for n in range(4)], 2440.0, 95.0, kerf=3.0)
    (sheet,) = plan.sheets
    assert [c.at_mm for c in sheet.cuts] == [605.0, 1213.0, 1821.0, 2429.0]
    assert 2440.0 - sheet.cuts[-1].at_mm == 11.0
    assert len(cut([part(f"J{n}", 605.0, 95.0) for n in range(5)], 2440.0, 95.0, kerf=3.0).sheets) == 2


def test_strips_of_95_out_of_1220() -> None:
    """Calculated: 12 × 95 + 11 × 3.2 = 1175.2, so 44.8 left; the cut that frees the twelfth leaves 41.6."""
    plan = cut([part(f"S{n:02d}", 2440.0, 95.0) for n in range(12)], 2440.0, 1220.0, kerf=3.2)
    (sheet,) = plan.sheets
    assert len(sheet.cuts) == 12
    assert 1220.0 - sheet.cuts[-1].at_mm == pytest.approx(44.8)
    assert 1220.0 - sheet.cuts[-1].at_mm - sheet.kerf_mm == pytest.approx(41.6)
    assert (
        len(cut([part(f"S{n:02d}", 2440.0, 95.0) for n in range(13)], 2440.0, 1220.0, kerf=3.2).sheets) == 2
    )


def test_four_pieces_of_24_inches_do_not_come_out_of_96_inches() -> None:
    """Read, a woodworking article: with a kerf of 1/8 in three are whole, the last is 23 5/8 in."""
    inch = 25.4
    plan = cut([part(f"P{n}", 24 * inch, 100.0) for n in range(4)], 96 * inch, 100.0, kerf=inch / 8)
    first, second = plan.sheets
    assert [len(first.parts), len(second.parts)] == [3, 1]
    left = 96 * inch - first.cuts[-1].at_mm - first.kerf_mm
    assert left == pytest.approx(23.625 * inch, abs=1e-6)
