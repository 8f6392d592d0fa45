"""Curved edges: their length and radius measured on drawn arcs, and kerfs by arithmetic."""

from __future__ import annotations

import math

import pytest
from any_shapes import board_of

from boardwright import Notes
from boardwright.plan.model import Ring
from boardwright_stages.framing.curved import KERF_MM, SKIN_MM, curves, kerf_spacing_mm
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame


def bowed(radius: float, half_deg: float, steps: int = 60) -> Ring:
    """A board whose front bulges: an arc of this radius, then straight sides 400 long and a straight back."""
    half = math.radians(half_deg)
    wide = 2 * radius * math.sin(half)
    arc = [
        (wide / 2 + radius * math.sin(a), radius * math.cos(half) - radius * math.cos(a))
        for a in (half * (k / steps * 2 - 1) for k in range(steps + 1))
    ]
    return (*arc, (wide, 400.0), (0.0, 400.0))


@pytest.mark.parametrize(("radius", "half_deg"), [(600.0, 40.0), (1500.0, 20.0)])
def test_length_and_radius(radius: float, half_deg: float) -> None:
    (curve,) = curves(bowed(radius, half_deg))
    assert curve.length_mm == pytest.approx(2 * radius * math.radians(half_deg), rel=1e-3)
    assert curve.radius_mm == pytest.approx(radius, rel=2e-3)
    assert curve.turn_deg > 0


def test_straight_boards_have_none() -> None:
    assert curves(((0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0))) == []


def test_closed_kerfs_make_the_turn() -> None:
    """All kerfs closed, a strip of length L has turned by L / spacing · kerf / depth = L / radius."""
    length, radius, thick = 700.0, 500.0, 12.0
    turned = length / kerf_spacing_mm(radius, thick) * KERF_MM / (thick - SKIN_MM)
    assert turned == pytest.approx(length / radius)


@pytest.mark.parametrize(
    ("how", "word"), [("laminated", "4 layers of 3 × 90"), ("kerfed", "kerfs 180 apart")]
)
def test_told_when_asked(how: str, word: str) -> None:
    """Radius 600 and 12 mm: 4 layers; kerfs 600 · 3 / 10 = 180 apart."""
    board = board_of(bowed(600.0, 40.0))
    notes = Notes()
    frame(board, FramingSettings(curved_edge=how, max_overhang_mm=40), notes)  # type: ignore[arg-type]  # rows are plain strings
    (told,) = [f for f in notes.findings if f.code == "BW-FRAME-011"]
    assert word in told.says
    quiet = Notes()
    frame(board, FramingSettings(max_overhang_mm=40), quiet)
    assert "BW-FRAME-011" not in {f.code for f in quiet.findings}
