"""Lets the tests of this folder import ``any_shapes`` of the frame tests; frames and joists in one go."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_timber.model import Board, BoardPlan, Frame, Joists

sys.path.insert(0, str(Path(__file__).parents[1] / "framing"))


@dataclass(frozen=True)
class Joisted:
    frame: Frame
    joists: Joists
    notes: Notes

    @property
    def codes(self) -> list[str]:
        return [f.code for f in self.notes.findings]

    @property
    def centres(self) -> list[float]:
        """Middle of each joist along the board."""
        return [round((m.outer_start[0] + m.inner_start[0]) / 2, 3) for m in self.joists.members]


def joisted_board(
    board: Board, devices: tuple[Device, ...] = (), settings: JoistSettings | None = None
) -> Joisted:
    notes = Notes()
    framing = FramingSettings(member_thickness_mm=12)
    made = frame(board, framing, notes)
    plan = BoardPlan(board=board.id, devices=devices, own_devices=tuple(d.id for d in devices))
    return Joisted(made, joists(board, plan, made, framing, settings or JoistSettings(), notes), notes)


@pytest.fixture(scope="session")
def joisted() -> Callable[..., Joisted]:
    return joisted_board
