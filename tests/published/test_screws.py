"""Screw spacings against EN 1995-1-1 Table 8.2 (as read in a handbook and an open-source code that agree).

Predrilled: unloaded edge a4,c = 3 d; across the strip a2 = (3 + sin α) d, so 4 d at most. For d = 4 the
table's own worked row gives a4,c = 12 mm.
"""

from __future__ import annotations

import pytest

from boardwright_stages.parts.screw_sizes import SOLD_DIAMETERS_MM, Screw, heights


def test_the_worked_row() -> None:
    assert Screw(4.0, 50.0).from_edge_mm == 12.0


@pytest.mark.parametrize("diameter", SOLD_DIAMETERS_MM)
@pytest.mark.parametrize("depth", range(10, 160))
def test_no_pair_of_screws_is_nearer_than_the_table(diameter: float, depth: int) -> None:
    found = heights(depth, 30, Screw(diameter, 50.0))
    for z in found:
        assert min(-z, depth + z) >= 3 * diameter - 1e-9
    if len(found) == 2:
        assert found[0] - found[1] >= (3 + 1) * diameter - 1e-9
