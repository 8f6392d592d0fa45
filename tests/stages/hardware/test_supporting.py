"""What stands under a board, counted by hand: a box 1200 × 600, 90 mm deep, level 0, floor 1000 mm below."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.hardware.supporting import support_lines
from boardwright_stages.strength.settings import SupportSettings
from boardwright_stages.strength.standing import about_names
from boardwright_timber.model import BoardStrength, HardwareLine, SupportPoint


def counted(
    boxes: Any, settings: SupportSettings, level: float = 0.0, notes: Notes | None = None
) -> dict[str, HardwareLine]:
    made = boxes.box("A", ((0, 0), (1200, 0), (1200, 600), (0, 600)), (), (400.0, 800.0))
    low, high = made.frame.members[0].id, made.frame.members[2].id
    points = tuple(
        SupportPoint(member=m, x_mm=x, y_mm=y, load_n=50.0, uplift_n=0.0)
        for x in (264.0, 936.0)
        for m, y in ((low, 6.0), (high, 594.0))
    )
    told = BoardStrength(board="A", support=settings.kind, points=points, mass_kg=9.0, service_class=1)
    board = replace(made.board, level_mm=level)
    lines = support_lines(
        board, made.frame, made.joists, told, settings, notes if notes is not None else Notes()
    )
    return {line.item: line for line in lines}


def test_legs(boxes: Any) -> None:
    """1000 - 90 - 25 = 885 each; two rails of 594 - 6 = 588."""
    found = counted(boxes, SupportSettings())
    assert found["leg-timber-44"].quantity == 4 * 885 + 2 * 588
    assert found["leg-timber-44"].why == "4 legs of 885, 2 rails across of 1176 together"
    assert (found["adjustable-foot"].quantity, found["leg-bolt-M8"].quantity) == (4, 4)


def test_legs_without_feet_on_a_higher_board(boxes: Any) -> None:
    found = counted(boxes, SupportSettings(foot_mm=0.0, leg_mm=34.0), level=150.0)
    assert found["leg-timber-34"].quantity == 4 * (1150 - 90) + 2 * 588
    assert "adjustable-foot" not in found


def test_no_room_for_legs(boxes: Any) -> None:
    notes = Notes()
    assert counted(boxes, SupportSettings(floor_below_mm=100.0), notes=notes) == {}
    assert [f.code for f in notes.findings] == ["BW-HARD-005"]


@pytest.mark.parametrize(("kind", "item"), [("trestles", "trestle"), ("brackets", "wall-bracket")])
def test_lines_across(boxes: Any, kind: Any, item: str) -> None:
    """Two rows, each 588 from place to place."""
    found = counted(boxes, SupportSettings(kind=kind))
    assert list(found) == [item]
    assert found[item].quantity == 2
    assert "588 mm at least" in found[item].says


def test_battens(boxes: Any) -> None:
    found = counted(boxes, SupportSettings(battens={"A": (((0.0, 600.0), (1200.0, 600.0)),)}))
    # 1200 at most 400 apart: three gaps, four screws
    assert {item: line.quantity for item, line in found.items()} == {"wall-batten": 1200, "screw-4x60": 4}
    assert "local codes" in found["screw-4x60"].why


def test_a_board_that_does_not_exist_is_told() -> None:
    notes = Notes()
    given = SupportSettings(points={"B9": ((0.0, 0.0),), "B01": ((0.0, 0.0),)})
    about_names(["B02", "B01"], given, notes)
    (finding,) = notes.findings
    assert finding.code == "BW-STR-010"
    assert "B9" in finding.says
    assert finding.mend == "The boards are B01, B02."
