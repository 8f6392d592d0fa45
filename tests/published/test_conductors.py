"""Conductors, fill and voltage drop against published figures; the source stands beside each."""

from __future__ import annotations

import pytest

from boardwright_timber.reference import (
    CONDUCTORS,
    COPPER_OHM_MM2_PER_KM,
    conductor,
    fill,
    fill_limit,
    gauge,
    hole_for_mm,
    ohm_per_metre,
)


def test_class_5_resistances() -> None:
    """IEC 60228 class 5, read."""
    for size, ohm in (("0.5", 39.0), ("0.75", 26.0), ("1", 19.5), ("1.5", 13.3), ("2.5", 7.98), ("4", 4.95)):
        assert conductor(size).ohm_per_km == ohm


@pytest.mark.parametrize(
    ("number", "area", "ohm"),
    [
        (12, 3.31, 5.21),
        (14, 2.08, 8.29),
        (18, 0.823, 20.95),
        (20, 0.518, 33.3),
        (24, 0.205, 84.2),
        (28, 0.081, 213),
    ],
)
def test_wire_gauges(number: int, area: float, ohm: float) -> None:
    """ASTM B258 table, read: 0.5 %."""
    assert gauge(number).area_mm2 == pytest.approx(area, rel=0.005)
    assert gauge(number).ohm_per_km == pytest.approx(ohm, rel=0.005)


def test_rules_of_gauges() -> None:
    """Three numbers up doubles the resistance, ten multiplies it by ten (read; they are nearly so: 1 %)."""
    assert gauge(23).ohm_per_km / gauge(20).ohm_per_km == pytest.approx(2, rel=0.01)
    assert gauge(30).ohm_per_km / gauge(20).ohm_per_km == pytest.approx(10, rel=0.02)


@pytest.mark.parametrize(("celsius", "factor"), [(25, 0.980), (30, 0.962), (40, 0.926)])
def test_temperature(celsius: float, factor: float) -> None:
    """Factors back to 20 °C, read: resistance at a temperature × factor is that at 20 °C."""
    wire = conductor("1.5")
    assert ohm_per_metre(wire, celsius) * factor == pytest.approx(ohm_per_metre(wire, 20), rel=0.002)


def test_published_drops() -> None:
    """20 A over 10 m of conductor, copper of 17.241 Ω·mm²/km (read): 1.38 V in 2.5 mm², 2.30 V in 1.5 mm²,
    1.43 V in 2.5 mm² at 30 °C. 6 A over a 5 m pair of 1.5 mm² class 5: 0.798 V (calc from read)."""
    for area, celsius, volts in ((2.5, 20, 1.38), (1.5, 20, 2.30), (2.5, 30, 1.43)):
        at = COPPER_OHM_MM2_PER_KM / area / 1000 * (1 + 0.00393 * (celsius - 20))
        assert 20 * 10 * at == pytest.approx(volts, rel=0.01)
    assert 2 * 5 * 6 * ohm_per_metre(conductor("1.5"), 20) == pytest.approx(0.798, rel=0.001)


def test_published_pair_drops() -> None:
    """6 A, 5 m run, class 5 (calc from read rows)."""
    for size, volts in (
        ("0.5", 2.34),
        ("0.75", 1.56),
        ("1", 1.17),
        ("1.5", 0.80),
        ("2.5", 0.48),
        ("4", 0.30),
    ):
        assert 2 * 5 * 6 * ohm_per_metre(conductor(size), 20) == pytest.approx(volts, abs=0.006)


def test_fill_limits() -> None:
    """NEC chapter 9 table 1, read: one 53 %, two 31 %, more 40 %."""
    assert [fill_limit(n) for n in (1, 2, 3, 40)] == [0.53, 0.31, 0.40, 0.40]


def test_cores_in_a_hole() -> None:
    """At 40 % and 2.5 mm outer diameter: 25 cores in 20 mm, 40 in 25, 65 in 32 (calc)."""
    for hole, cores in ((20, 25), (25, 40), (32, 65)):
        assert hole_for_mm((2.5,) * cores) <= hole < hole_for_mm((2.5,) * (cores + 1))
    assert fill((2.5,) * 25, 20) == pytest.approx(25 * 6.25 / 400)
    assert hole_for_mm(()) == 0.0


def test_the_trunking_example() -> None:
    """UK worked example, read: 10 cables of factor 95 and 16 of 18.1 need 1239.6: 75 × 50 (1555) holds them,
    50 × 50 (1037) does not. Its factors are 45 % of the inside area: 48 × 48 × 0.45 = 1037."""
    needed = 10 * 95 + 16 * 18.1
    assert needed == pytest.approx(1239.6)
    assert round(48 * 48 * 0.45) == 1037 < needed < 1555


def test_names_of_conductors() -> None:
    assert conductor("0.50 mm²".replace("0.50", "0.5")) is CONDUCTORS["0.5 mm²"]
    assert conductor("awg 20").name == "AWG 20"
    for wrong in ("0.6", "AWG", "AWG 99", ""):
        with pytest.raises(ValueError, match="known"):
            conductor(wrong)
