"""A hand on a deck near an edge that nothing holds, by Lévy's series for plates that are stiffer one way.

The series itself: a long plate on two edges with a load in its middle gives 0.01695 P·a²/D (Timoshenko and
Woinowsky-Krieger, Theory of Plates and Shells, long plates; memory); at a free edge the closed form for equal
stiffness is 4 P·a²/(D·π³·(1 - ν)(3 + ν)) · Σ 1/m³ over odd m, worked out by hand from the edge's conditions
(no bending, no Kirchhoff force).
"""

from __future__ import annotations

import cmath
import math

import pytest

from boardwright_stages.strength.deck import HAND_MM, edge_width_mm
from boardwright_timber.reference import strength_row

RUNS_ON = 0.015 * 48  # two equal spans, load in the middle of one: 0.015 P·L³/EI (AISC table, memory)
CUBES = sum(m**-3 for m in range(1, 400, 2))  # 7/8 ζ(3) = 1.0518


def give(a: float, off: float, dx: float, dy: float, dxy: float, nu: float) -> float:
    """Sag under a load of 1 on a strip of plate a wide on two edges, half way, ``off`` from its free edge.

    Each term is sin(mπx/a) times what answers Dx α⁴ w - 2 H α² ∂²w + Dy ∂⁴w = load: two dying waves on both
    sides of the load, and two from the edge that rid it of bending and force.
    """
    coupled = nu * dy
    twist = coupled + 2 * dxy
    total = 0j
    for m in range(1, 80, 2):
        wave = math.pi * m / a
        root = cmath.sqrt(twist**2 - dx * dy)
        r, s = (wave * cmath.sqrt((twist + sign * root) / dy) for sign in (1, -1))
        r, s = (k if k.real > 0 else -k for k in (r, s))
        s *= 1 + 1e-6 if abs(r - s) < 1e-9 * abs(r) else 1
        second = -(2 / a) / (2 * dy * (s**3 - s * r**2))
        first = -s / r * second
        near = [first * r**k * cmath.exp(-r * off) + second * s**k * cmath.exp(-s * off) for k in range(4)]
        stiff = (coupled + 4 * dxy) * wave**2
        bend = [dy * k**2 - coupled * wave**2 for k in (r, s)]
        force = [-dy * k**3 + stiff * k for k in (r, s)]
        no_bend = coupled * wave**2 * near[0] - dy * near[2]
        no_force = stiff * near[1] - dy * near[3]
        whole = bend[0] * force[1] - bend[1] * force[0]
        one = (no_bend * force[1] - bend[1] * no_force) / whole
        two = (bend[0] * no_force - no_bend * force[0]) / whole
        total += first + second + one * cmath.exp(-r * off) + two * cmath.exp(-s * off)
    return total.real


def test_the_series_against_known_plates() -> None:
    """Equal stiffness: far from the edge the textbook's long plate, at the edge the closed form."""
    for nu in (0.0, 0.3):
        alike = (1.0, 1.0, (1 - nu) / 2, nu)
        assert give(400.0, 2000.0, *alike) / 400**2 == pytest.approx(0.01695, abs=2e-5)
        edge = 4 * CUBES / (math.pi**3 * (1 - nu) * (3 + nu))
        assert give(400.0, 0.0, *alike) / 400**2 == pytest.approx(edge, rel=1e-3)


@pytest.mark.parametrize("span", [200.0, 300.0, 400.0, 600.0])
@pytest.mark.parametrize("material", ["birch ply", "conifer ply", "osb3", "mdf"])
def test_a_hand_near_an_open_edge_is_told_enough(material: str, span: float) -> None:
    """The deck runs on over one joist at least, which leaves 0.72. Poisson's ratio: 0.07 of ply, 0.3 of the
    others (memory). What is told, span³ / 48 over the width found, is no less, wherever the hand is, and not
    three times as much."""
    row = strength_row(material, 9.0)
    nu = 0.07 if "ply" in material else 0.3
    for along, across in ((row.along_n_mm2, row.across_n_mm2), (row.across_n_mm2, row.along_n_mm2)):
        ratios = []
        for off in (HAND_MM, 45.0, 60.0, 80.0, 100.0, 150.0, 250.0, 400.0):
            theirs = RUNS_ON * give(span, off, along, across, row.shear_modulus_n_mm2, nu)
            ratios.append(span**3 / (48 * along * edge_width_mm(span, off)) / theirs)
        assert min(ratios) >= 1
        assert max(ratios) < 3
