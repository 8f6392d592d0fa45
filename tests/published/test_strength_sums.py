"""The grillage against published beams and a worked timber joist, each with its source and mark."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from boardwright_stages.parts.members import member_part
from boardwright_stages.strength.grillage import Beam, Solved, solve
from boardwright_stages.strength.net import Place, net_of
from boardwright_stages.strength.sums import LASTING, PASSING
from boardwright_timber.beams import final_sag_mm
from boardwright_timber.model import Member, MemberRole
from boardwright_timber.reference import GAMMA_M, strength_row

C24 = (11000 * 75 * 200**3 / 12, 5 / 6 * 690 * 75 * 200)  # EI and κGA of 75 × 200, EN 338 (read)


def beam(
    length: float, held: list[float], load: float, ei: float, shear: float = 1e15, n: int = 200
) -> Solved:
    """A straight beam of n pieces under an even load (N/mm), held at shares of its length."""
    n = 200
    points = [(length * k / n, 0.0) for k in range(n + 1)]
    beams = [Beam(k, k + 1, ei, shear, ei) for k in range(n)]
    loads = np.full(n + 1, load * length / n)
    loads[[0, -1]] /= 2
    return solve(points, beams, [round(n * share) for share in held], loads[:, None])


@pytest.mark.parametrize(("load", "sag"), [(1.0, 10.0014), (0.75, 7.5010)])
def test_textbook_joist_with_shear(load: float, sag: float) -> None:
    """C24 75 × 200, L 4500: EC5 textbook example 2.3.1 (read second-hand)."""
    assert beam(4500, [0, 1], load, *C24).sags.max() == pytest.approx(sag, rel=1e-3)


def test_textbook_joist_creep() -> None:
    """The same: what creep adds, k_def 0.6, ψ2 0.3, g 0.57 and q 1.5 kN/m² over 0.5 m: 3.0604 mm."""
    permanent, variable = (float(beam(4500, [0, 1], w * 0.5, *C24).sags.max()) for w in (0.57, 1.5))
    creep = final_sag_mm(permanent, variable, 0.6, 0.3) - permanent - variable
    assert creep == pytest.approx(3.0604, rel=1e-3)


def test_textbook_joist_strength() -> None:
    """The same: 1.35 · 0.5 + 1.5 · 1.5 kN/m² over 0.5 m, k_mod 0.8 and k_sys 1.1 of the example: 0.45573."""
    moment = beam(4500, [0, 1], (LASTING * 0.5 + PASSING * 1.5) * 0.5, *C24).bending.max()
    strength = 0.8 * 1.1 * strength_row("softwood", 75.0).edgewise_bending_n_mm2 / GAMMA_M["softwood"]
    assert moment / (75 * 200**2 / 6) / strength == pytest.approx(0.45573, rel=2e-4)


def test_section_of_a_joist_sheet() -> None:
    """47 × 195: A 9165, W 297 900, I 29.04e6 (floor-joist sheet, read)."""
    joist = Member(
        id="J",
        role=MemberRole.JOIST,
        outer_start=(0, 0),
        outer_end=(3600, 0),
        inner_start=(0, 47),
        inner_end=(3600, 47),
        thickness_mm=47,
        depth_mm=195,
        material="softwood",
    )
    net = net_of((joist,), {"J": member_part("A", joist, ())}, [])
    assert net.pieces[0].area_mm2 == 9165
    assert net.pieces[0].modulus_mm3 == pytest.approx(297_900, rel=1e-3)
    assert net.beams[0].bending / 11000 == pytest.approx(29.04e6, rel=1e-3)


@pytest.mark.parametrize(
    ("held", "k", "reactions", "most"),
    [
        ([0, 1], 5 / 384, [1 / 2, 1 / 2], 1 / 8),  # textbook (memory), library (calc)
        ([0, 1 / 2, 1], 0.005416, [0.375, 1.25, 0.375], 0.125),  # formula pages (read)
        ([0, 1 / 4, 1 / 2, 3 / 4, 1], 0.006460, [11 / 28, 32 / 28, 26 / 28, 32 / 28, 11 / 28], 0.1071),
    ],
)
def test_even_loads(held: list[float], k: float, reactions: list[float], most: float) -> None:
    """Spans of 1000: sag k·wL⁴/EI, reactions in wL, greatest moment in wL²; four spans civil table (read)."""
    spans = len(held) - 1
    got = beam(1000.0 * spans, held, 2.0, 1e9)
    assert got.sags.max() == pytest.approx(k * 2 * 1000**4 / 1e9, rel=2e-3)
    assert got.held[:, 0] == pytest.approx([r * 2000 for r in reactions], rel=5e-3)
    assert np.abs(got.bending).max() == pytest.approx(most * 2 * 1000**2, rel=5e-3)


def test_point_load_in_the_middle_and_at_the_tip() -> None:
    """PL³/48EI, PL/4 (memory, library calc); an overhang a past a span L: P·a²(L + a)/3EI (memory)."""
    points = [(0.0, 0.0), (500.0, 0.0), (1000.0, 0.0), (1400.0, 0.0)]
    beams = [Beam(k, k + 1, 1e9, 1e15, 1e9) for k in range(3)]
    got = solve(points, beams, [0, 2], np.array([[0, 0], [90, 0], [0, 0], [0, 90]], dtype=float))
    assert got.sags[1, 0] == pytest.approx(90 * 1000**3 / 48e9, rel=1e-4)
    assert got.bending[0, 1, 0] == pytest.approx(90 * 1000 / 4, rel=1e-4)
    assert got.sags[3, 1] == pytest.approx(90 * 400**2 * 1400 / 3e9, rel=1e-4)
    assert got.held[:, 1] == pytest.approx([-36, 126], rel=1e-4)


def strip_along(name: str, role: MemberRole, low: float, high: float, y: float) -> Member:
    """12 x 90 of softwood along the x axis, its faces at y and y + 12."""
    return Member(
        id=name,
        role=role,
        outer_start=(low, y),
        outer_end=(high, y),
        inner_start=(low, y + 12),
        inner_end=(high, y + 12),
        thickness_mm=12,
        depth_mm=90,
        material="softwood",
    )


def test_a_wells_side_glued_along_a_joist_bends_with_it() -> None:
    """A beam held at its ends, twice as stiff over its middle, a load P at each end of that stretch, a from
    the ends: there it sags P/EI (a³/3 + a²(L/2 - a)/2) + P a/κGA (virtual work; textbook, memory)."""
    members = (
        strip_along("J", MemberRole.JOIST, 0, 1200, 0),
        strip_along("W", MemberRole.WELL_SIDE, 400, 800, 12),
    )
    ends = [Place(0, 0.0), Place(0, 1200.0)]
    loaded = [Place(0, 400.0), Place(0, 800.0)]
    net = net_of(members, {m.id: member_part("A", m, ()) for m in members}, [*ends, *loaded])
    ei, shear = net.beams[0].bending, net.beams[0].shear
    loads = np.zeros((len(net.points), 1))
    loads[[net.node_of[p] for p in loaded]] = 100.0
    got = solve(net.points, net.beams, [net.node_of[p] for p in ends], loads)
    sag = 100 / ei * (400**3 / 3 + 400**2 * 200 / 2) + 100 * 400 / shear
    assert got.sags[net.node_of[loaded[0]], 0] == pytest.approx(sag, rel=1e-3)


def test_a_scrap_both_of_whose_ends_stand_against_one_strip_makes_a_net() -> None:
    """5 mm of a side before a corner, its ends 6 and 11 mm off an end's middle line, as on a stepped edge."""
    scrap = strip_along("S", MemberRole.SIDE, 0, 0, 0)
    scrap = replace(
        scrap, outer_start=(300, 12), outer_end=(300, 17), inner_start=(288, 12), inner_end=(288, 17)
    )
    members = (strip_along("E", MemberRole.END, 0, 300, 0), scrap)
    net = net_of(members, {m.id: member_part("A", m, ()) for m in members}, [])
    assert all(math.dist(net.points[b.start], net.points[b.end]) > 0 for b in net.beams)
