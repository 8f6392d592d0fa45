"""Published beam coefficients and worked timber sections, each with its source and mark."""

from __future__ import annotations

import pytest

from boardwright_stages.strength.sums import Wood, deck_stiffness
from boardwright_timber.beams import Flat, built_up_stiffness_nmm2, final_sag_mm, strip
from boardwright_timber.reference import strength_row

TOP, RIB = Flat(400, 9, 9000), Flat(44, 95, 8000)


@pytest.mark.parametrize(("spans", "k"), [(1, 0.0130208), (2, 0.005416), (3, 0.006884)])
def test_deepest_sag(spans: int, k: float) -> None:
    """Textbook 5/384 (calc); formula pages 0.005416 (read); three spans 0.0069 (read), 0.006884 (calc)."""
    assert max(strip((1.0,) * spans, (1.0,) * spans, 1.0).sags_mm) == pytest.approx(k, rel=5e-4)


@pytest.mark.parametrize(
    ("loads", "reactions", "moments"),
    [
        ((1.0, 1.0), (0.375, 1.25, 0.375), (0, -0.125, 0)),  # formula pages (read)
        ((1.0, 1.0, 1.0), (0.4, 1.1, 1.1, 0.4), (0, -0.1, -0.1, 0)),  # formula page (read)
        ((1.0, 0.0), (7 / 16, 5 / 8, -1 / 16), (0, -1 / 16, 0)),  # reference manual page (read)
    ],
)
def test_reactions_and_moments(
    loads: tuple[float, ...], reactions: tuple[float, ...], moments: tuple[float, ...]
) -> None:
    found = strip((1.0,) * len(loads), loads, 1.0)
    assert found.reactions_n == pytest.approx(reactions, rel=1e-9)
    assert found.moments_nmm == pytest.approx(moments, rel=1e-9)


def test_four_spans() -> None:
    """Civil-formula table (read): end shears 11/28 | 17/28 + 15/28 | 13/28 + 13/28."""
    found = strip((1.0,) * 4, (1.0,) * 4, 1.0).reactions_n
    assert found == pytest.approx((11 / 28, 32 / 28, 26 / 28, 32 / 28, 11 / 28), rel=1e-9)


def test_joist_sheet_after_creep() -> None:
    """Floor-joist sheet 47 × 195, C24, L 3600: g 0.278, q 0.9 (read); 1.903, 6.161, 10.316 mm (calc)."""
    stiffness = 11000 * 47 * 195**3 / 12
    permanent, variable = (strip((3600.0,), (w,), stiffness).sags_mm[0] for w in (0.278, 0.9))
    assert (permanent, variable) == pytest.approx((1.903, 6.161), rel=1e-3)
    assert final_sag_mm(permanent, variable, 0.6, 0.3) == pytest.approx(10.316, rel=1e-3)


def test_glued_top() -> None:
    """Ply 400 × 9 on 44 × 95: EI 6.9865e10 by a section library (calc)."""
    assert built_up_stiffness_nmm2(TOP, RIB, 1200) == pytest.approx(6.9865e10, rel=1e-4)


def test_screwed_top() -> None:
    """The same with K 1000 N/mm every 150 mm over 1200: EI 2.78517e10 by EN 1995-1-1 Annex B (calc)."""
    assert built_up_stiffness_nmm2(TOP, RIB, 1200, 1000 / 150) == pytest.approx(2.78517e10, rel=1e-3)


@pytest.mark.parametrize(
    ("alpha", "beta"),
    [(0.0444, 0.2874), (0.0616, 0.3762), (0.1110, 0.6102), (0.1417, 0.7476), (0.1421, 0.75)],
)  # a/b = 1, 1.2, 2, 5, endless
def test_a_deck_strip_is_on_the_safe_side_of_a_plate(alpha: float, beta: float) -> None:
    """Roark table 11.4 case 1a (read): y = α·q·b⁴/(E·t³), stress = β·q·b²/t². A strip of one span has
    5/384 · 12 = 0.15625 and 6/8 = 0.75; the endless plate's α is 0.15625 · (1 - 0.3²)."""
    solved = strip((1.0,), (1.0,), 1 / 12)  # E = t = 1
    assert alpha < solved.sags_mm[0] == pytest.approx(0.15625, rel=1e-6)
    assert beta <= 6 / 8
    assert pytest.approx(0.1421, rel=2e-3) == 0.15625 * (1 - 0.3**2)


@pytest.mark.parametrize(
    ("inches", "area", "inertia", "modulus"),
    [(0.5, 6.0, 0.125, 0.5), (0.469, 5.625, 0.103, 0.440), (0.375, 4.5, 0.053, 0.281)],
)
def test_panel_strips_a_foot_wide(inches: float, area: float, inertia: float, modulus: float) -> None:
    """A US panel table (read second-hand), 12 in wide: A in², I in⁴, S in³; ours is E·t³/12 a mm."""
    stiffness, _ = deck_stiffness(Wood("birch ply", inches), along=True)
    got = stiffness / strength_row("birch ply", inches).along_n_mm2 * 12
    assert (12 * inches, got, got / (inches / 2)) == pytest.approx((area, inertia, modulus), rel=6e-3)


def test_a_strip_without_spans_is_refused() -> None:
    with pytest.raises(ValueError, match="for each span"):
        strip((), (), 1.0)


@pytest.mark.parametrize(
    ("rib_depth", "inertia"),
    [
        (150.0, 53.125e6),
        (100.0, 22.604e6),
    ],  # 150 × 50 on 50 × 150 (section library, calc), on 50 × 100 (read)
)
def test_t_sections(rib_depth: float, inertia: float) -> None:
    """Worked examples of T sections: with E = 1 the stiffness is the second moment of area, mm⁴."""
    top, rib = Flat(150, 50, 1.0), Flat(50, rib_depth, 1.0)
    assert built_up_stiffness_nmm2(top, rib, 1000) == pytest.approx(inertia, rel=1e-4)


@pytest.mark.parametrize(
    "alpha", [0.1267, 0.1478, 0.1621, 0.1715, 0.1770, 0.1805, 0.1851]
)  # a/b = 1, 1.2, 1.4, 1.6, 1.8, 2, endless
def test_a_hand_on_the_deck_is_on_the_safe_side(alpha: float) -> None:
    """Roark, plate held on its edges under a load in its middle: y = α·W·b²/(E·t³) (read).

    Ours is a strip as wide as its span: W·b³/(48·E·b·t³/12) = 0.25 W·b²/(E·t³); never less, at most twice.
    """
    assert alpha < 12 / 48 < 2 * alpha
