"""An edge that goes out and back on itself is repaired, and that is told."""

from __future__ import annotations

from typing import Any

import pytest

from boardwright import Severity


def with_edge(*points: tuple[float, float]) -> Any:
    def draw(doc: Any) -> None:
        doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "Edge"})

    return draw


@pytest.mark.parametrize("y", [-400.0, 300.0])
def test_a_spike_is_left_out_and_told(read: Any, y: float) -> None:
    case = read(with_edge((0, 0), (500, 0), (500, y), (500, 0), (1000, 0), (1000, 500), (0, 500)))
    assert case.plan.outlines[0].ring == ((0, 0), (1000, 0), (1000, 500), (0, 500))
    told = case.notes["BW-READ-097"]
    assert told.severity is Severity.MENDED
    assert told.says.startswith(
        f"{abs(y):.0f} mm of the edge go out and back on themselves, to (500, {y:.0f})"
    )


def test_corners_on_a_straight_and_hairs_are_no_spikes(read: Any) -> None:
    case = read(with_edge((0, 0), (500, 0), (500, 0.4), (500, 0), (700, 0), (1000, 0), (1000, 500), (0, 500)))
    assert "BW-READ-097" not in case.notes
