"""Why joists stand where they do, told in figures that are those of the board. Members are 12 mm thick."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from any_shapes import board_of

from boardwright.plan.model import Device
from boardwright_stages.joists.reasons import seams_in_words
from boardwright_stages.joists.settings import JoistSettings

type Joist = Callable[..., Any]
OBLONG = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0))


def device(name: str, x: float, y: float = 300.0, length: float = 60.0, width: float = 40.0) -> Device:
    return Device(
        id=name,
        kind="point_motor",
        x_mm=x,
        y_mm=y,
        length_mm=length,
        width_mm=width,
        depth_mm=50,
        clearance_mm=10,
    )


def test_limit_and_number(joisted: Joist) -> None:
    """Supports at 6 and 1194: 1188 / 3 = 396 with two joists, 1188 / 2 = 594 with one."""
    limit, number = joisted(board_of(OBLONG)).joists.why
    assert limit.startswith(
        "Supports of the deck at most 400 mm apart: joists.spacing_mm; 9 mm birch ply keeps"
    )
    assert number == "2 joists leave 396 mm at most; one fewer would leave 594 mm at best."


def test_what_the_deck_bears_is_the_limit_where_it_is_less(joisted: Joist) -> None:
    made = joisted(board_of(OBLONG), (), JoistSettings(spacing_mm=1000)).joists
    borne = f"{made.limit_mm:.0f} mm"
    assert f"at most {borne} apart, not joists.spacing_mm, 1000 mm: 9 mm birch ply keeps" in made.why[0]
    assert made.why[0].endswith(f"the limits of [strength] up to {borne}.")
    asked = joisted(board_of(OBLONG), (), JoistSettings(spacing_mm=1000, by_deck=False)).joists
    assert asked.why[0] == "Supports of the deck at most 1000 mm apart: joists.spacing_mm."


def test_a_device_in_the_way_costs_a_joist(joisted: Joist) -> None:
    """402 ± (30 + 10 + 6) is taken; the first of two joists must stand between 394 and 406."""
    why = joisted(board_of(OBLONG), (device("PM1", 402),)).joists.why
    assert "3, not the 2 that would do with nothing below the deck: clear of PM1." in why


@pytest.mark.parametrize("x", [357.0, 445.0, 755.0, 843.0])
def test_how_far_a_device_pushed_a_joist(joisted: Joist, x: float) -> None:
    """The millimetres told are those between the board with the device and the board without it."""
    alone, pushed = joisted(board_of(OBLONG)), joisted(board_of(OBLONG), (device("PM1", x),))
    told = [s for s in pushed.joists.why if "clear of PM1" in s]
    assert len(told) == 1
    found = re.match(r"B01-J(\d) stands (\d+) mm (farther from|nearer to) the datum end", told[0])
    assert found is not None
    n = int(found[1]) - 1
    move = pushed.centres[n] - alone.centres[n]
    assert abs(move) == pytest.approx(float(found[2]), abs=0.5)
    assert (move > 0) == (found[3] == "farther from")


def test_devices_out_of_the_way_are_no_reason(joisted: Joist) -> None:
    assert len(joisted(board_of(OBLONG), (device("PM1", 600),)).joists.why) == 2


def test_a_trimmed_joist_and_a_seam(joisted: Joist) -> None:
    made = joisted(board_of(OBLONG), (device("TT", 600, length=900, width=120),)).joists
    assert any("TT leaves no place for a whole joist" in s for s in made.why)
    joists = joisted(board_of(OBLONG)).joists.members
    assert list(seams_in_words((798.0,), joists)) == [
        "The deck is longer than a sheet: its pieces meet over B01-J2."
    ]
    assert not list(seams_in_words((), joists))
