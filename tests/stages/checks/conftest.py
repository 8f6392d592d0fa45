"""Whole ways from hand-made boards to parts, so that checks have something real to measure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pytest

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.parts.stages import parts
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import BoardFixings, BoardParts, BoardPlan


@dataclass(frozen=True)
class Built:
    fixings: Mapping[str, BoardFixings]
    parts: Mapping[str, BoardParts]
    plans: Mapping[str, BoardPlan]
    notes: Notes


def build_all(made: Mapping[str, object], devices: tuple[Device, ...] = ()) -> Built:
    """Fixings, wiring and parts of every board of ``made`` (id → Made)."""
    notes = Notes()
    built = Built({}, {}, {}, notes)
    for name, own in sorted(made.items()):
        near = own.board.neighbours
        boards, frames, joists = (
            {n: getattr(made[n], field) for n in near} for field in ("board", "frame", "joists")
        )
        plan = BoardPlan(board=name, devices=devices)
        plans = {n: BoardPlan(board=n, devices=devices) for n in near}
        around = (own.board, boards, plan, plans, own.frame, frames, own.joists, joists)
        fixed = fixings(*around, JointSettings(), notes)
        wired = wiring(*around, fixed, WiringSettings(), notes)
        built.fixings[name] = fixed
        built.plans[name] = plan
        built.parts[name] = parts(
            own.board, plan, own.frame, own.joists, fixed, wired, FramingSettings(), notes
        )
    return built


@pytest.fixture(scope="session")
def build() -> Callable[..., Built]:
    return build_all
