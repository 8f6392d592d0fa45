"""A hand on a deck near an edge that nothing holds, by Lévy's series for plates that are stiffer one way.

The series itself: a long plate on two edges with a load in its middle gives 0.01695 P·a²/D (Timoshenko and
Woinowsky-Krieger, Theory of Plates and Shells, long plates; memory); at a free edge the closed form for equal
stiffness is 4 P·a²/(D·π³·(1 - ν)(3 + ν)) · Σ 1/m³ over odd m, worked out by hand from the edge's conditions
(no bending, no Kirchhoff force); a narrow strip is a beam, P·a³/48EI.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from boardwright_stages.strength.deck import HAND_MM, edge_width_mm
from boardwright_timber.reference import Strength, strength_row

RUNS_ON = 0.015 * 48  # two equal spans, load in the middle of one: 0.015 P·L³/EI (AISC table, memory)
CUBES = sum(m**-3 for m in range(1, 400, 2))  # 7/8 ζ(3) = 1.0518


def give(a: float, wide: float, off: float, dx: float, dy: float, dxy: float, nu: float) -> float:
    """Sag under a load of 1 on a plate a long on two edges and so wide between two free ones, half way and
    ``off`` from one of these.

    Each term is sin(mπx/a) times what answers Dx α⁴ w - 2 H α² ∂²w + Dy ∂⁴w = load: two dying waves on both
    sides of the load, and two from each free edge that rid it of bending and force.
    """
    coupled = nu * dy
    twist = coupled + 2 * dxy
    total = 0j
    for m in range(1, 60, 2):
        wave = math.pi * m / a
        root = cmath.sqrt(twist**2 - dx * dy)
        r, s = (wave * cmath.sqrt((twist + sign * root) / dy) for sign in (1, -1))
        s *= 1 + 1e-6 if abs(r - s) < 1e-9 * abs(r) else 1
        second = -(2 / a) / (2 * dy * (s**3 - s * r**2))
        first = -s / r * second
        stiff = (coupled + 4 * dxy) * wave**2
        waves = ((r, wide), (-r, 0.0), (s, wide), (-s, 0.0))  # each with the edge that it dies away from
        rows, right = [], []
        for y, way in ((0.0, 1), (wide, -1)):
            far = abs(y - off)
            near = [
                sum(c * (way * k) ** n * cmath.exp(-k * far) for c, k in ((first, r), (second, s)))
                for n in range(4)
            ]
            ends = [cmath.exp(k * (y - edge)) for k, edge in waves]
            rows.append([(dy * k**2 - coupled * wave**2) * e for (k, _), e in zip(waves, ends, strict=True)])
            rows.append([(dy * k**3 - stiff * k) * e for (k, _), e in zip(waves, ends, strict=True)])
            right += [coupled * wave**2 * near[0] - dy * near[2], stiff * near[1] - dy * near[3]]
        each = np.linalg.solve(np.array(rows), np.array(right))
        edges = sum(c * cmath.exp(k * (off - edge)) for c, (k, edge) in zip(each, waves, strict=True))
        total += first + second + edges
    return total.real


def test_the_series_against_known_plates() -> None:
    """Equal stiffness: far from the edges the textbook's plate, at one the closed form; narrow a beam."""
    for nu in (0.0, 0.3):
        alike = (1.0, 1.0, (1 - nu) / 2, nu)
        assert give(400.0, 4000.0, 2000.0, *alike) / 400**2 == pytest.approx(0.01695, abs=2e-5)
        edge = 4 * CUBES / (math.pi**3 * (1 - nu) * (3 + nu))
        assert give(400.0, 4000.0, 0.0, *alike) / 400**2 == pytest.approx(edge, rel=1e-3)
        assert give(400.0, 8.0, 4.0, *alike) == pytest.approx(400**3 / 48 / 8 / (1 - nu**2), rel=0.01)


def stiff_of(row: Strength) -> list[tuple[float, float]]:
    """Along and across, either way round."""
    return [(row.along_n_mm2, row.across_n_mm2), (row.across_n_mm2, row.along_n_mm2)]


def poisson(material: str) -> float:
    return 0.07 if "ply" in material else 0.3  # memory


@pytest.mark.parametrize("span", [200.0, 300.0, 400.0, 600.0])
@pytest.mark.parametrize("material", ["birch ply", "conifer ply", "osb3", "mdf"])
def test_a_hand_near_an_open_edge_is_told_enough(material: str, span: float) -> None:
    """The deck runs on over one joist at least, which leaves 0.72. What is told, span³ / 48 over the width
    found, is no less, wherever the hand is, and not three times as much."""
    row = strength_row(material, 9.0)
    for along, across in stiff_of(row):
        ratios = []
        for off in (HAND_MM, 45.0, 60.0, 80.0, 100.0, 150.0, 250.0, 400.0):
            plate = (along, across, row.shear_modulus_n_mm2, poisson(material))
            theirs = RUNS_ON * give(span, 6 * span, off, *plate)
            ratios.append(span**3 / (48 * along * edge_width_mm(span, off)) / theirs)
        assert min(ratios) >= 1
        assert max(ratios) < 3


@pytest.mark.parametrize("wide", [80.0, 120.0, 160.0, 200.0, 300.0])
@pytest.mark.parametrize("material", ["birch ply", "conifer ply", "osb3", "mdf"])
def test_a_hand_near_the_rim_of_a_narrow_deck_is_told_enough(material: str, wide: float) -> None:
    """As above, of a deck that ends on both sides: in its middle, and half a hand from its rim."""
    row = strength_row(material, 9.0)
    for span in (150.0, 250.0, 300.0):
        for along, across in stiff_of(row):
            for off in (HAND_MM, wide / 2):
                plate = (along, across, row.shear_modulus_n_mm2, poisson(material))
                theirs = RUNS_ON * give(span, wide, off, *plate)
                found = min(span, wide, edge_width_mm(span, off))
                assert 1 <= span**3 / (48 * along * found) / theirs < 3, (span, along, off)
