"""Decks as strips over uneven spans, compared with an independent finite element library (PyNite)."""

from __future__ import annotations

import random

import pytest

from boardwright_timber.beams import strip


@pytest.mark.parametrize("seed", range(20))
def test_deepest_sag_of_a_strip(seed: int) -> None:
    """9 mm birch ply, 1 mm wide, one to six spans of 100 to 500 mm, 160 N/m²: within 0.1 %."""
    from Pynite import FEModel3D

    dice = random.Random(seed)
    spans = tuple(dice.uniform(100, 500) for _ in range(dice.randint(1, 6)))
    load, modulus, inertia = 1.6e-4, 11395.0, 9**3 / 12
    model = FEModel3D()
    model.add_material("ply", modulus, 620.0, 0.3, 0.0)
    model.add_section("strip", 9.0, 1.0, inertia, 1.0)
    for n in range(len(spans) + 1):
        model.add_node(f"N{n}", sum(spans[:n]), 0.0, 0.0)
        model.def_support(f"N{n}", True, True, True, True, True, False)
    for n in range(len(spans)):
        model.add_member(f"M{n}", f"N{n}", f"N{n + 1}", "ply", "strip")
        model.add_member_dist_load(f"M{n}", "FY", -load, -load)
    model.analyze_linear(check_stability=False)
    theirs = max(-m.min_deflection("dy", "Combo 1") for m in model.members.values())
    ours = max(strip(spans, (load,) * len(spans), modulus * inertia).sags_mm)
    assert ours == pytest.approx(theirs, rel=1e-3)
