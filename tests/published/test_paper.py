"""Paper sizes against the rules of their standards."""

from __future__ import annotations

from itertools import pairwise

from boardwright_outputs.templates.paper import SIZES_MM


def test_a_series() -> None:
    """ISO 216 (from memory): A0 has one square metre at sides of 1 : √2, each further size is the one before
    cut in half across its longer side, whole millimetres."""
    sizes = [SIZES_MM[f"A{n}"] for n in range(5)]
    short, long = sizes[0]
    assert round((1e6 / 2**0.5) ** 0.5) == short
    assert round((1e6 * 2**0.5) ** 0.5) == long
    for larger, smaller in pairwise(sizes):
        assert smaller == (larger[1] // 2, larger[0])


def test_inch_sizes() -> None:
    """ANSI/ASME Y14.1 (from memory): A is 8½ × 11 inches, B is 11 × 17."""
    assert SIZES_MM["Letter"] == (round(8.5 * 25.4, 1), round(11 * 25.4, 1))
    assert SIZES_MM["Tabloid"] == (round(11 * 25.4, 1), round(17 * 25.4, 1))
