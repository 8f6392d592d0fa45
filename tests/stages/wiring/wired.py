"""Boards with devices, fixings and wire holes, ready for the wire schedule."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.wiring.network_settings import WireSettings
from boardwright_stages.wiring.schedule import wire_schedule
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring as drilled
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardWiring,
    Frame,
    Joists,
    WireSchedule,
)


@dataclass
class Boards:
    boards: dict[str, Board] = field(default_factory=dict)
    plans: dict[str, BoardPlan] = field(default_factory=dict)
    frames: dict[str, Frame] = field(default_factory=dict)
    joists: dict[str, Joists] = field(default_factory=dict)
    fixings: dict[str, BoardFixings] = field(default_factory=dict)
    wiring: dict[str, BoardWiring] = field(default_factory=dict)
    notes: Notes = field(default_factory=Notes)

    def beside(self, name: str, nouns: dict[str, Any]) -> dict[str, Any]:
        return {b: nouns[b] for b in self.boards[name].neighbours}


def device(name: str, kind: str, x: float, y: float, conductors: int = 0, current_ma: float = 0.0) -> Device:
    return Device(
        id=name,
        kind=kind,
        x_mm=x,
        y_mm=y,
        length_mm=20,
        width_mm=20,
        depth_mm=30,
        clearance_mm=5,
        conductors=conductors,
        current_ma=current_ma,
    )


def made(
    *each: tuple[Any, list[Device]],
    wiring: WiringSettings | None = None,
    joints: JointSettings | None = None,
) -> Boards:
    """Drill and bolt the boards given with their devices."""
    on = Boards()
    for own, devices in each:
        name = own.board.id
        on.boards[name], on.frames[name], on.joists[name] = own.board, own.frame, own.joists
        on.plans[name] = BoardPlan(
            board=name, devices=tuple(devices), own_devices=tuple(d.id for d in devices)
        )
    for name in on.boards:
        near = [on.beside(name, n) for n in (on.boards, on.plans, on.frames, on.joists)]
        own = (on.boards[name], near[0], on.plans[name], near[1], on.frames[name], near[2], on.joists[name])
        on.fixings[name] = fixings(*own, near[3], joints or JointSettings(), on.notes)
        on.wiring[name] = drilled(*own, near[3], on.fixings[name], wiring or WiringSettings(), on.notes)
    return on


def schedule(on: Boards, settings: WireSettings, notes: Notes | None = None) -> WireSchedule:
    heard = Notes() if notes is None else notes
    return wire_schedule(on.boards, on.plans, on.frames, on.joists, on.wiring, settings, heard)
