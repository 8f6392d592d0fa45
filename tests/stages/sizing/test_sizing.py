"""Sizing: the lightest strip that holds, and the next lighter that does not, checked against single runs."""

from __future__ import annotations

import pytest

from boardwright import Notes
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.sizing.settings import SizingSettings, StripSize
from boardwright_stages.sizing.stages import sizing
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_timber.model import Board, BoardPlan, BoardSizing

BOARD = Board(
    id="A",
    outline="O1",
    level_mm=0.0,
    ring=((0.0, 0.0), (1800.0, 0.0), (1800.0, 600.0), (0.0, 600.0)),
    origin=(0.0, 0.0),
    angle_deg=0.0,
    length_mm=1800.0,
    width_mm=600.0,
)
SUPPORTS = SupportSettings(most_added=0)


def advice(
    *strips: tuple[float, float], limits: StrengthSettings | None = None, style: str = "box", on: bool = True
) -> tuple[BoardSizing, Notes]:
    notes = Notes()
    found = sizing(
        BOARD,
        BoardPlan(board="A"),
        SizingSettings(advise=on, strips=tuple(StripSize(thickness_mm=t, depth_mm=d) for t, d in strips)),
        FramingSettings(style=style),
        JoistSettings(),
        limits or StrengthSettings(),
        SUPPORTS,
        notes,
    )
    return found, notes


def test_the_lightest_that_holds_and_the_next_that_does_not() -> None:
    strips = ((18.0, 90.0), (9.0, 50.0), (12.0, 120.0), (9.0, 90.0), (12.0, 70.0))
    found, notes = advice(*strips)
    *failed, chosen = found.tried
    assert chosen.why == ""
    assert all(strip.why for strip in failed)
    weights = [strip.kg_per_m for strip in found.tried]
    assert weights == sorted(weights)
    (finding,) = notes.findings
    assert finding.code == "BW-SIZE-001"
    assert f"{chosen.thickness_mm:g} × {chosen.depth_mm:g}" in finding.says
    for strip in found.tried:  # one by one the answer is the same
        alone, _ = advice((strip.thickness_mm, strip.depth_mm))
        assert alone.tried[0].why == strip.why


def test_a_tighter_limit_never_gives_a_lighter_strip() -> None:
    strips = tuple((t, d) for t in (9.0, 12.0, 18.0) for d in (50.0, 90.0, 120.0))
    weights = []
    for sag in (2.0, 0.5, 0.2):
        found, _ = advice(*strips, limits=StrengthSettings(frame_sag_mm=sag, hand_sag_mm=20.0))
        weights.append(found.tried[-1].kg_per_m)
    assert weights == sorted(weights)
    assert weights[0] < weights[-1]


def test_none_holds() -> None:
    found, notes = advice((9.0, 50.0), limits=StrengthSettings(frame_sag_mm=0.01))
    assert found.tried[-1].why
    assert [f.code for f in notes.findings] == ["BW-SIZE-002"]


@pytest.mark.parametrize(("style", "on"), [("l-girder", True), ("box", False)])
def test_no_advice(style: str, on: bool) -> None:
    found, notes = advice((12.0, 90.0), style=style, on=on)
    assert (found.tried, notes.findings) == ((), [])
