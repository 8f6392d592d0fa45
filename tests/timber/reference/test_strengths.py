"""Strength rows: every material has one in each climate, and every row says where it is from."""

from __future__ import annotations

import pytest

from boardwright_timber.reference import (
    CLIMATES,
    GAMMA_M,
    MATERIALS,
    STRENGTHS,
    climate_row,
    strength_row,
)


@pytest.mark.parametrize("material", MATERIALS)
def test_every_material_with_a_mass_has_strength_and_climate(material: str) -> None:
    assert strength_row(material, 12).material == material
    dry, damp = climate_row(material, 1), climate_row(material, 2)
    assert damp.k_def >= dry.k_def if material == "foam" else damp.k_def > dry.k_def  # foam takes no damp
    for duration in ("permanent", "short"):
        assert damp.k_mod[duration] <= dry.k_mod[duration]
    assert dry.k_mod["permanent"] < dry.k_mod["short"]
    assert GAMMA_M[material] >= 1.2


def test_every_row_says_where_it_is_from() -> None:
    assert all(row.source and row.mark for row in (*STRENGTHS, *CLIMATES))


def test_a_birch_strip_on_edge_has_the_same_stiffness_whatever_its_thickness() -> None:
    """Both flat values add up to 17500 in each row read: 11395 + 6105, 10719 + 6781, 10048 + 7452."""
    assert {strength_row("birch ply", t).edgewise_n_mm2 for t in (9, 12, 18)} == {8750.0}


def test_unknown_material() -> None:
    with pytest.raises(KeyError):
        strength_row("oak", 12)
    with pytest.raises(KeyError):
        climate_row("oak", 1)
