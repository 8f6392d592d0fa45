"""How lengths are shown: figures worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.display import DisplaySettings, in_inches, shown_by


@pytest.mark.parametrize(
    ("mm", "parts", "shown"),
    [
        (25.4, 32, '1"'),
        (1200.0, 32, '47 1/4"'),  # 1200 / 25.4 = 47.244; 0.244 × 32 = 7.8, so 8/32
        (12.0, 32, '15/32"'),  # 0.4724 × 32 = 15.1
        (9.0, 64, '23/64"'),  # 0.3543 × 64 = 22.7
        (0.3, 32, '0"'),  # 0.38 of a part
        (0.4, 32, '1/32"'),  # 0.504 of a part
        (-12.7, 8, '-1/2"'),
        (25.0, 8, '1"'),  # 7.87 of 8 parts
    ],
)
def test_inches(mm: float, parts: int, shown: str) -> None:
    assert in_inches(mm, parts) == shown


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.floats(0, 20_000), st.sampled_from([8, 16, 32, 64]))
def test_inches_are_the_nearest_part(mm: float, parts: int) -> None:
    read = sum((Fraction(p) for p in in_inches(mm, parts).rstrip('"').split()), Fraction(0))
    assert abs(float(read) * 25.4 - mm) <= 25.4 / parts / 2 + 1e-9
    assert parts % read.denominator == 0


@pytest.mark.parametrize(
    ("units", "figure", "length"),
    [
        ("mm", "47,5", "47,5 mm"),
        ("in", '1 7/8"', '1 7/8"'),  # 1.870 in, 0.870 × 32 = 27.8: 28/32
        ("mm and in", '47,5 (1 7/8")', '47,5 mm (1 7/8")'),
    ],
)
def test_figures_and_lengths(units: str, figure: str, length: str) -> None:
    show = DisplaySettings(units=units, decimal_sign=",")  # type: ignore[arg-type]  # pytest gives text
    assert (show.figure(47.5), show.length(47.5)) == (figure, length)


def test_sentences_keep_their_millimetres() -> None:
    show = DisplaySettings(units="in", decimal_sign=",")
    assert show.prose("up to 19 mm at 2.5 kg") == 'up to 19 mm (3/4") at 2,5 kg'
    assert show.prose("screw 4 × 40 mm, M8 × 40 mm") == (
        'screw 4 × 40 mm (5/32" × 1 9/16"), M8 × 40 mm (1 9/16")'
    )
    for kept in ("8.4 N/mm2", "1.5 mm² wire", "plan.v1.2.dxf", "at (451, 776)"):
        assert show.prose(kept).replace(",", ".") == kept.replace(",", ".")
    once = show.prose("12 mm")
    assert show.prose(once) == once  # said once, never twice


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("0.15 to 0.2 mm a metre", "0,15 to 0,2 mm a metre"),
        ("about 10.9 of 20.0 kg", "about 10,9 of 20,0 kg"),
        ("materials 869.52 EUR; work 32.5 h", "materials 869,52 EUR; work 32,5 h"),
        ("Flexible wire 0.22 mm², 2.5 mm²", "Flexible wire 0,22 mm², 2,5 mm²"),
        ("offcut 5.4 (108.2 × 90.5 mm), 3.5 × 30.5", "offcut 5.4 (108,2 × 90,5 mm), 3,5 × 30,5"),
        ("rip piece 1.2 580 mm from", "rip piece 1.2 580 mm from"),  # the number of a piece
        ("grade 4.6, Table 8.2, 10.4.5, 1:7.5, a-1.2.dxf", "grade 4.6, Table 8.2, 10.4.5, 1:7.5, a-1.2.dxf"),
    ],
)
def test_the_decimal_sign_is_that_of_every_number_with_a_unit(said: str, shown: str) -> None:
    assert DisplaySettings(decimal_sign=",").prose(said) == shown


def test_what_is_finer_than_the_tape_keeps_its_millimetres_alone() -> None:
    show = DisplaySettings(units="mm and in")
    assert show.prose("0.01 mm off, 12.7 mm deep") == '0.01 mm off, 12.7 mm (1/2") deep'
    assert show.prose("0 mm") == '0 mm (0")'
    assert show.prose("1 to 0.3 mm") == "1 to 0.3 mm"  # 0.3 × 32 / 25.4 = 0.38 of a part


@pytest.mark.parametrize(
    "data", [b"", b"\xff", b"[]", b'{"shown": 3}', b'{"shown": {"units": "ell"}}', b"{}"]
)
def test_a_pack_that_does_not_say_is_shown_in_millimetres(data: bytes) -> None:
    assert shown_by(data) == DisplaySettings()


def test_a_pack_says_how_it_is_shown() -> None:
    data = b'{"shown": {"units": "in", "inch_fraction": 16, "decimal_sign": ","}, "schema": "x"}'
    assert shown_by(data) == DisplaySettings(units="in", inch_fraction=16, decimal_sign=",")


def test_in_millimetres_nothing_changes() -> None:
    for text in ("up to 19.5 mm", "2.5 kg", "at (451, 776) mm"):
        assert DisplaySettings().prose(text) == text
