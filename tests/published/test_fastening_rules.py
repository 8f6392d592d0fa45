"""Rules for screws and bolts, sheets and swelling against published rows, each with its source and mark."""

from __future__ import annotations

import pytest

from boardwright_timber.reference import density_row
from boardwright_timber.reference.fastening_rules import (
    bolt_distances,
    bolt_embedment,
    effective_number,
    pilot_needed_below_mm,
    sanded_limits_mm,
    screw_distances,
    slip_n_mm,
    yield_moment_nmm,
)
from boardwright_timber.reference.movement import (
    PAPER_BIRCH_RADIAL,
    PAPER_BIRCH_TANGENTIAL,
    change_mm,
    swelling_row,
)


@pytest.mark.parametrize(("size", "row"), [(8.0, (40, 32, 80, 32, 32, 24)), (12.0, (60, 48, 84, 48, 48, 36))])
def test_bolts(size: float, row: tuple[float, ...]) -> None:
    """EN 1995-1-1 Table 8.4: a1, a2, a3,t, a3,c along the grain, a4,t at 90°, a4,c; M8 and M12 (read)."""
    along, across = bolt_distances(size), bolt_distances(size, 90.0)
    found = (along.a1_mm, along.a2_mm, along.a3_loaded_mm, along.a3_unloaded_mm, across.a4_loaded_mm)
    assert (*found, along.a4_unloaded_mm) == pytest.approx(row)


@pytest.mark.parametrize(("pilot", "row"), [(True, (20, 48, 28, 12)), (False, (40, 60, 40, 20))])
def test_screws(pilot: bool, row: tuple[float, ...]) -> None:
    """EN 1995-1-1 Table 8.2, a 4 mm screw in C24 along the grain (rule read, numbers calc)."""
    found = screw_distances(4.0, pilot=pilot)
    got = (found.a1_mm, found.a3_loaded_mm, found.a3_unloaded_mm, found.a4_unloaded_mm)
    assert got == pytest.approx(row)


def test_when_to_drill_first() -> None:
    """EN 1995-1-1 8.3.1.2(6), d 4, rho_k 350: max(28, 19.25) = 28 (read second-hand)."""
    assert pilot_needed_below_mm(4.0, 350.0) == 28.0
    assert (13 * 4 - 30) * 350 / 400 == 19.25


def test_bolts_in_a_row() -> None:
    """EN 1995-1-1 (8.34), three M8 40 mm apart: 2.117 (rule read second-hand, number calc)."""
    assert effective_number(3, 40.0, 8.0) == pytest.approx(2.117, rel=1e-3)


def test_one_bolt() -> None:
    """M8 of class 4.6: 26 743 Nmm; birch ply (630) 63.76, C24 (350) 26.40 along and 17.96 across (calc)."""
    assert yield_moment_nmm(8.0, 400.0) == pytest.approx(26743, rel=1e-3)
    assert bolt_embedment(8.0, 630.0, plywood=True) == pytest.approx(63.76, rel=1e-3)
    assert bolt_embedment(8.0, 350.0) == pytest.approx(26.40, rel=1e-3)
    assert bolt_embedment(8.0, 350.0, 90.0) == pytest.approx(17.96, rel=1e-3)


def test_slip() -> None:
    """EN 1995-1-1 Table 7.1: K_ser of an M8 in C24 (420) 2994 N/mm (formula read second-hand)."""
    assert slip_n_mm(8.0, density_row("softwood", 44.0).density_kg_m3) == pytest.approx(2994, rel=1e-3)


@pytest.mark.parametrize(
    ("thick", "more", "less"), [(18.0, 0.74, -0.94), (12.0, 0.56, -0.76), (4.0, 0.32, -0.52)]
)
def test_sanded_sheets(thick: float, more: float, less: float) -> None:
    """EN 315 (formula: memory). A mill prints +0.7/-0.9, +0.5/-0.7, +0.3/-0.5 (read): rounded down to 0.1."""
    assert sanded_limits_mm(thick) == pytest.approx((more, less))
    printed = {18.0: (0.7, -0.9), 12.0: (0.5, -0.7), 4.0: (0.3, -0.5)}[thick]
    assert tuple(int(n * 10) / 10 for n in (more, less)) == printed


def test_birch_boards_swell() -> None:
    """Wood Handbook table 13-5 (read): paper birch 95 wide, 6 to 12 %: tangential 1.73, radial 1.25 mm."""
    assert change_mm(95.0, PAPER_BIRCH_TANGENTIAL, 6) == pytest.approx(1.73, rel=1e-2)
    assert change_mm(95.0, PAPER_BIRCH_RADIAL, 6) == pytest.approx(1.25, rel=1e-2)


def test_mdf_swells() -> None:
    """A panel leaflet (read): MDF 1000 long from 9 to 12 % grows 1 mm, ± 0.5."""
    assert change_mm(1000.0, swelling_row("mdf").along, 3) == pytest.approx(1.0, abs=0.5)
