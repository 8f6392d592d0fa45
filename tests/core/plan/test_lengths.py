"""Lengths as people write them. 1 in = 25.4 mm: international yard and pound agreement of 1959."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.display import in_inches
from boardwright.plan.lengths import length_mm

INCH = Fraction(254, 10)

WRITTEN = [
    ("12.5", "mm", 12.5),
    ("12.5", "cm", 125),
    ("-0.25", "m", -250),
    ("1", "in", 25.4),
    ("12 1/2", "in", 317.5),  # 12.5 × 25.4
    ("12-1/2", "in", 317.5),
    ('12½"', "in", 317.5),
    ("1⁄2", "in", 12.7),
    ("½", "in", 12.7),
    ("-12 1/2", "in", -317.5),
    ("3/4 in.", "in", 19.05),
    ("2 inches", "in", 50.8),
    ("3' 6\"", "in", 1066.8),  # 42 × 25.4
    ("3' 6", "in", 1066.8),
    ("3'-6 1/2\"", "in", 1079.5),  # 42.5 × 25.4
    ("3′ 6½″", "in", 1079.5),
    ("-3' 6\"", "ft", -1066.8),
    ("3 ft 6 in", "ft", 1066.8),
    ("3ft6in", "ft", 1066.8),
    ("3'", "in", 914.4),
    ("3.5", "ft", 1066.8),
    ("3 1/2", "ft", 1066.8),
    ('6"', "ft", 152.4),
    ("6''", "ft", 152.4),
    ("0' 0\"", "ft", 0),
]


@pytest.mark.parametrize(("text", "unit", "mm"), WRITTEN)
def test_as_written(text: str, unit: str, mm: float) -> None:
    assert length_mm(text, unit, decimal_comma=False) == mm


@pytest.mark.parametrize(
    "text", ["1/0", "3' 14\"", "12 1/2 3", "'", '"', "1 2", "twelve", "1/2/3", "3' x", ""]
)
def test_what_is_no_length(text: str) -> None:
    assert length_mm(text, "in", decimal_comma=False) is None


@pytest.mark.parametrize("text", ["3' 6\"", "12 1/2", '12"', "½"])
@pytest.mark.parametrize("unit", ["mm", "cm", "m"])
def test_inches_in_a_metric_column_are_a_slip(text: str, unit: str) -> None:
    assert length_mm(text, unit, decimal_comma=False) is None


def test_a_decimal_comma_where_it_can_be_meant() -> None:
    assert length_mm("12,5", "in", decimal_comma=True) == 317.5
    assert length_mm("12,5", "in", decimal_comma=False) is None


@given(st.integers(0, 20_000), st.sampled_from([8, 16, 32, 64]))
@settings(deadline=None, max_examples=100, derandomize=True)
def test_what_this_program_shows_in_inches_is_read_back(count: int, parts: int) -> None:
    """``47 1/4"`` of a pack may be copied into a list: it is the same length to the last digit."""
    mm = float(count * INCH / parts)
    assert length_mm(in_inches(mm, parts), "in", decimal_comma=False) == mm


@given(st.text(alphabet="0123456789 -./'\"½ftinche,e_", max_size=14), st.sampled_from(["in", "ft"]))
@settings(deadline=None, max_examples=200, derandomize=True)
def test_any_text_is_a_length_or_none(text: str, unit: str) -> None:
    value = length_mm(text, unit, decimal_comma=True)
    assert value is None or value == float(value)
