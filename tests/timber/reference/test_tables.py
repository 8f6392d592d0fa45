"""Reference tables: nearest thickness, unknown names, and no row without a source."""

from __future__ import annotations

import pytest

from boardwright.errors import InputError
from boardwright_timber.reference import (
    BOLT_LENGTHS_MM,
    CUP_HEAD_BOLTS,
    DENSITIES,
    MATERIALS,
    TIMBER_WASHERS,
    bolt_for,
    clearance_hole_mm,
    density_kg_m3,
)


def test_nearest_thickness_counts_and_of_two_the_thinner() -> None:
    assert density_kg_m3("birch ply", 10) == 710  # 9 is nearer than 12
    assert density_kg_m3("birch ply", 10.5) == 710  # 9 and 12 are equally near
    assert density_kg_m3("birch ply", 11) == 695
    assert density_kg_m3("birch ply", 40) == 680


def test_an_unknown_material_names_the_known_ones() -> None:
    with pytest.raises(ValueError, match="oak") as caught:
        density_kg_m3("oak", 18)
    assert isinstance(caught.value, InputError)
    assert all(name in str(caught.value) for name in ("birch ply", "conifer ply", "osb3", "mdf", "softwood"))


def test_every_row_has_a_source_and_a_plausible_density() -> None:
    assert set(MATERIALS) == {"birch ply", "conifer ply", "foam", "osb3", "mdf", "softwood"}
    for row in DENSITIES:
        assert row.source
        assert (20 if row.material == "foam" else 300) < row.density_kg_m3 < 1000


def test_an_unknown_size_or_fit_names_the_known_ones() -> None:
    with pytest.raises(ValueError, match="M3, M4, M5, M6, M8, M10, M12"):
        clearance_hole_mm("M7")
    with pytest.raises(ValueError, match="fine, medium, coarse"):
        clearance_hole_mm("M8", "loose")  # type: ignore[arg-type]  # the wrong name is the point


def test_a_bolt_is_never_shorter_than_its_stack_up_and_the_next_shorter_one_is() -> None:
    for size in CUP_HEAD_BOLTS:
        for grip in range(8, 160, 7):
            choice = bolt_for(size, float(grip), (TIMBER_WASHERS[size],))
            assert choice.length_mm >= choice.stack_up_mm
            shorter = [n for n in BOLT_LENGTHS_MM if n < choice.length_mm]
            assert not shorter or shorter[-1] < choice.stack_up_mm


def test_no_bolt_is_long_enough_for_everything() -> None:
    with pytest.raises(ValueError, match="longest is 200 mm"):
        bolt_for("M8", 200.0, ())


def test_the_thread_of_a_thin_long_bolt_may_not_reach_its_nut() -> None:
    choice = bolt_for("M6", 172.0, (TIMBER_WASHERS["M6"],))  # 172 + 2 + 5.2 + 1 = 180.2 → 200, threaded 24
    assert (choice.length_mm, choice.thread_starts_mm, choice.nut_starts_mm) == (200, 176, 174)
    assert not choice.nut_runs_up
    assert bolt_for("M6", 24.0, (TIMBER_WASHERS["M6"],)).nut_runs_up
