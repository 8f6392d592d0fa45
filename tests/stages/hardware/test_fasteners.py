"""Lengths and numbers of hex bolts, wing nuts, tee nuts and catches, by hand."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from boardwright import Notes
from boardwright_stages.hardware.bolting import joint_lines
from boardwright_stages.hardware.railing import rail_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_timber.model import BoardFixings, Fixing, FixingKind, RailStrip


def bolt(fastener: str, nut: str, size: str = "M8") -> Fixing:
    return Fixing(
        id="J01-A",
        joint="J01",
        kind=FixingKind.BOLT,
        size=size,
        along_mm=0,
        x_mm=0,
        y_mm=0,
        z_mm=-45,
        hole_diameter_mm=9.0,
        grip_mm=24.0,
        fastener=fastener,
        nut=nut,
    )


@pytest.mark.parametrize(
    ("fastener", "nut", "washer", "lines"),
    [
        # 24 + 3 + 6.8 + 1.25 = 35.05
        ("cup bolt", "hex nut", "timber", [("bolt-M8x40", 2), ("nut-M8", 2), ("timber-washer-M8", 2)]),
        # 24 + 3 + 10 + 1.25 = 38.25
        ("cup bolt", "wing nut", "timber", [("bolt-M8x40", 2), ("wing-nut-M8", 2), ("timber-washer-M8", 2)]),
        # 24 + 2 × 3 + 6.8 + 1.25 = 38.05
        ("hex bolt", "hex nut", "timber", [("hex-bolt-M8x40", 2), ("nut-M8", 2), ("timber-washer-M8", 4)]),
        # 24 + 2 × 1.6 + 10 + 1.25 = 38.45
        ("hex bolt", "wing nut", "plain", [("hex-bolt-M8x40", 2), ("wing-nut-M8", 2), ("washer-M8", 4)]),
        # 24 + 1.6 + 0 + 1.25 = 26.85: through the barrel and one pitch beyond
        ("hex bolt", "tee nut", "plain", [("hex-bolt-M8x30", 2), ("tee-nut-M8", 2), ("washer-M8", 2)]),
    ],
)
def test_bolts_by_hand(
    straight_pair: Callable, fastener: str, nut: str, washer: str, lines: list[tuple[str, int]]
) -> None:
    a, _ = straight_pair()
    notes = Notes()
    how = HardwareSettings(washer=washer)  # type: ignore[arg-type]  # rows of the table are plain strings
    made = joint_lines(a.board, a.frame, [bolt(fastener, nut)] * 2, how, notes)
    assert [(line.item, line.quantity) for line in made] == lines
    assert notes.findings == []


def test_a_hex_bolt_has_no_neck_and_no_smooth_shank(straight_pair: Callable) -> None:
    """M12: a cup-head bolt's neck of 8.75 passes in 12 mm ends; its smooth shank may not. Hex: neither."""
    a, _ = straight_pair()
    notes = Notes()
    list(joint_lines(a.board, a.frame, [bolt("hex bolt", "hex nut", "M12")], HardwareSettings(), notes))
    assert notes.findings == []


def test_catches_are_counted(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    catch = Fixing(
        id="J01-A",
        joint="J01",
        kind=FixingKind.CATCH,
        size="toggle",
        along_mm=0,
        x_mm=0,
        y_mm=0,
        z_mm=-45,
        hole_diameter_mm=0,
        grip_mm=0,
    )
    (line,) = joint_lines(a.board, a.frame, [catch, catch], HardwareSettings(), Notes())
    assert (line.item, line.quantity) == ("toggle-catch", 2)


@pytest.mark.parametrize(
    ("how", "lines"), [("plates", [("rail-plate", 2)]), ("screws", [("rail-screw", 4)]), ("none", [])]
)
def test_rails_are_held_on_each_board(
    straight_pair: Callable, how: str, lines: list[tuple[str, int]]
) -> None:
    """Two tracks cross the joint: two ends on each board, two screws an end."""
    for side in straight_pair():
        strips = tuple(RailStrip(joint="J01", track=t, along_mm=300, ring=()) for t in ("T1", "T2"))
        settings = HardwareSettings(rail_fixing=how)  # type: ignore[arg-type]  # rows are plain strings
        fixed = BoardFixings(board=side.board.id, rails=strips)
        assert [(line.item, line.quantity) for line in rail_lines(fixed, settings)] == lines
        assert list(rail_lines(BoardFixings(board=side.board.id), settings)) == []
