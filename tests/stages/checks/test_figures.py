"""How a measure that failed is told."""

from __future__ import annotations

import pytest

from boardwright_stages.checks.stages import figures


@pytest.mark.parametrize(
    ("measured", "limit", "told"),
    [
        (0.091667, 1.0, "0.0917"),
        (0.9375, 1.0, "0.938"),
        (0.99972, 1.0, "0.99972"),
        (12.0, 10.0, "12"),
        (0.010022, 0.01001, "0.010022"),
        (5012.4, 0.01, "5012"),
    ],
)
def test_a_measure_has_three_figures_unless_they_are_the_limits(
    measured: float, limit: float, told: str
) -> None:
    assert figures(measured, limit) == told
