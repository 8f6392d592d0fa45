"""Reference tables against the data pages they were read from."""

from __future__ import annotations

import pytest

from boardwright_timber.reference import (
    CUP_HEAD_BOLTS,
    NUTS,
    PLAIN_WASHERS,
    TIMBER_WASHERS,
    bears_on_wood,
    bolt_for,
    clearance_hole_mm,
    density_kg_m3,
)


@pytest.mark.parametrize(
    ("thickness_mm", "sheet_kg"),
    [(4, 7.9), (6.5, 13.0), (9, 19.0), (12, 24.8), (15, 30.8), (18, 36.7), (24, 48.6)],
)
def test_mass_of_a_birch_sheet(thickness_mm: float, sheet_kg: float) -> None:
    """Read, birch plywood datasheet: 1220 × 2440, ± 0.1 kg. 12 mm: 1.22 × 2.44 × 0.012 × 695 = 24.83."""
    mass = 1.22 * 2.44 * thickness_mm / 1000 * density_kg_m3("birch ply", thickness_mm)
    assert mass == pytest.approx(sheet_kg, abs=0.1)


def test_mean_densities_of_timber_and_conifer_ply() -> None:
    """Read: EN 338 mean of C24 420; pocket-book mean of conifer ply 520."""
    assert density_kg_m3("softwood", 18) == 420
    assert density_kg_m3("conifer ply", 12) == 520


@pytest.mark.parametrize(
    ("size", "fine", "medium", "coarse"),
    [
        ("M3", 3.2, 3.4, 3.6),
        ("M6", 6.4, 6.6, 7.0),
        ("M8", 8.4, 9.0, 10.0),
        ("M10", 10.5, 11.0, 12.0),
        ("M12", 13.0, 13.5, 14.5),
    ],
)
def test_clearance_holes(size: str, fine: float, medium: float, coarse: float) -> None:
    """Read, ISO 273."""
    assert [clearance_hole_mm(size, fit) for fit in ("fine", "medium", "coarse")] == [fine, medium, coarse]


def test_an_m8_bolt_in_a_10_mm_hole_is_a_coarse_fit() -> None:
    """Read, NEM 934 and ISO 273: five 10 mm holes for M8, so bolts do not put ends in line; dowels must."""
    assert clearance_hole_mm("M8", "coarse") == 10.0


def test_cup_head_bolt_m8_and_the_end_it_goes_into() -> None:
    """Read, DIN 603: neck at most 5.6 long. It fits a 9 mm end, not one of 4 mm."""
    bolt = CUP_HEAD_BOLTS["M8"]
    assert (bolt.head_diameter_max_mm, bolt.square_max_mm, bolt.neck_max_mm) == (20.65, 8.58, 5.6)
    assert 4 < bolt.neck_max_mm < 9


def test_bolt_length_from_its_stack_up() -> None:
    """Parts read (ISO 7089, ISO 4032, DIN 603), sum calculated: 18 + 18 + 1.6 + 6.8 + 1.25 = 45.65 → 50."""
    choice = bolt_for("M8", 18.0 + 18.0, (PLAIN_WASHERS["M8"],))
    assert choice.stack_up_mm == 45.65
    assert choice.length_mm == 50
    assert choice.thread_starts_mm == 28  # 50 - 22
    assert choice.nut_starts_mm == 37.6
    assert choice.nut_runs_up


def test_washers_on_wood() -> None:
    """Sizes read, rule from memory (EN 1995-1-1 10.4.3): M8 wants 24 wide and 2.4 thick."""
    assert bears_on_wood("M8", TIMBER_WASHERS["M8"])  # 28, 3
    assert not bears_on_wood("M8", PLAIN_WASHERS["M8"])  # 16, 1.6


def test_nuts() -> None:
    """Read, ISO 4032."""
    assert (NUTS["M8"].across_flats_mm, NUTS["M8"].height_max_mm) == (13.0, 6.8)
    assert NUTS["M10"].across_flats_mm == 16.0  # DIN 934: 17
