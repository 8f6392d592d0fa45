"""Wires that lead on into the next module: laid to every end, and every pin told."""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace
from wired import Boards, device

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.hardware.wiring import wire_lines
from boardwright_stages.joints.ends import end_pattern
from boardwright_stages.joints.module_ends import Connector, EndProfile, ModuleEndSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.wiring.demand import wire_demand
from boardwright_stages.wiring.network_settings import WireSettings
from boardwright_stages.wiring.schedule import wire_schedule
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import BoardPlan, Joint, WireSchedule

TRACK = Connector(name="track", run="power bus", pins=("front rail", "back rail"))
PHONE = Connector(name="phone", run="through", pins=("a", "b", "c"), halves="alike", current_a=0.1)
LONG, WIDE = 1000.0, 400.0


def module(boxes: Any, *devices: Device) -> Boards:
    """One board of 1000 by 400 with a joist in its middle; both its short sides mate with other modules."""
    built = boxes.box("A", ((0, 0), (LONG, 0), (LONG, WIDE), (0, WIDE)), (), (500.0,))
    ends = (
        Joint(id="E01", boards=("A", "A"), start=(0.0, WIDE), end=(0.0, 0.0)),
        Joint(id="E02", boards=("A", "A"), start=(LONG, 0.0), end=(LONG, WIDE)),
    )
    on = Boards({"A": replace(built.board, ends=ends)}, {}, {"A": built.frame}, {"A": built.joists})
    on.plans["A"] = BoardPlan(board="A", devices=devices, own_devices=tuple(d.id for d in devices))
    how = JointSettings()
    pattern = end_pattern(on.boards, on.plans, on.frames, on.joists, how, on.notes)
    own = (on.boards["A"], {}, on.plans["A"], {}, built.frame, {}, built.joists, {})
    on.fixings["A"] = fixings(*own, how, on.notes, ends=pattern)
    on.wiring["A"] = wiring(*own, on.fixings["A"], WiringSettings(), on.notes, ends=pattern)
    return on


def profile(*connectors: Connector) -> ModuleEndSettings:
    return ModuleEndSettings(profile="ours", profiles={"ours": EndProfile(connectors=connectors)})


def scheduled(on: Boards, *connectors: Connector, notes: Notes | None = None) -> WireSchedule:
    heard = Notes() if notes is None else notes
    nouns = (on.boards, on.plans, on.frames, on.joists, on.wiring)
    return wire_schedule(*nouns, WireSettings(), heard, profile(*connectors))


def test_a_bus_that_only_passes_through(boxes: Any) -> None:
    """From end to end: 33 beside the middle of each end, straight through the holes of ends and joist
    at the same place: 1000 along and twice 33 outside, 5 % slack and two tails of 150 in."""
    notes = Notes()
    answer = scheduled(module(boxes), TRACK, notes=notes)
    (bus,) = answer.runs
    assert (bus.source, bus.devices, bus.cores) == ("end E01", ("end E02",), 2)
    (leg,) = bus.legs
    assert [member for member, _ in leg.holes] == ["A-E3", "A-J1", "A-E1"]
    straight = LONG + 2 * 33
    assert leg.route_mm >= LONG
    assert leg.length_mm == math.ceil(leg.route_mm * 1.05 + 300 - 1e-6)
    assert leg.route_mm == pytest.approx(straight, abs=40)
    assert [f.code for f in notes.findings] == []
    filled = {h.joint: h.cores for h in answer.holes if h.cores and h.joint}
    assert filled == {"E01": 2, "E02": 2}


def test_every_pin_at_every_end_is_told(boxes: Any) -> None:
    answer = scheduled(module(boxes), TRACK, PHONE)
    told = [
        (p.joint, p.name, p.half, [(x.number, x.carries, x.colour) for x in p.pins]) for p in answer.plugs
    ]
    track = [(1, "front rail", "red"), (2, "back rail", "black")]
    phone = [(1, "a", "green"), (2, "b", "orange"), (3, "c", "violet")]
    assert told == [
        (end, *each)
        for end in ("E01", "E02")
        for each in (
            ("track", "plug", track),
            ("track", "socket", track),
            ("phone", "connector", phone),
        )
    ]
    runs = {r.id: r for r in answer.runs}
    assert {runs[p.run].label for plug in answer.plugs for p in plug.pins} == {"PB01 main", "C02 phone"}


def test_devices_of_the_module_hang_on_the_bus_that_comes_in(boxes: Any) -> None:
    on = module(boxes, device("F1", "feed", 300, 200, 2, 500))
    bus, droppers = scheduled(on, TRACK).runs
    assert bus.source == "end E01"
    assert set(bus.devices) == {"F1", "end E02"}
    assert droppers.devices == ("F1",)
    assert bus.current_a == 3.0  # 0.5 here and 3 passed on: the bus is held to 3


def test_a_supply_of_the_module_feeds_the_next_ones(boxes: Any) -> None:
    supply = device("S1", "power_supply", 300, 200, 2, 0)
    (bus, *_) = scheduled(module(boxes, supply, device("F1", "feed", 700, 200, 2, 500)), TRACK).runs
    assert bus.source == "S1"
    assert set(bus.devices) == {"F1", "end E01", "end E02"}


def test_pins_that_nothing_leads_to(boxes: Any) -> None:
    on = module(boxes)
    on.wiring["A"] = replace(on.wiring["A"], holes=())  # no hole: nothing gets out
    answer = scheduled(on, TRACK)
    assert answer.runs == ()
    assert [(p.run, p.core, p.carries) for p in answer.plugs[0].pins] == [
        ("", 0, "front rail"),
        ("", 0, "back rail"),
    ]


def test_without_connectors_nothing_is_led_out(boxes: Any) -> None:
    answer = scheduled(module(boxes))
    assert (answer.runs, answer.plugs) == ((), ())


def test_joists_are_drilled_for_what_passes_through(boxes: Any) -> None:
    on = module(boxes)
    assert wire_demand(on.boards, on.plans, WireSettings())["A"].across(500) is None
    through = wire_demand(on.boards, on.plans, WireSettings(), profile(TRACK, PHONE))["A"].across(500)
    assert through is not None
    assert through.cores == 5


def test_half_a_pair_is_bought_for_each_half(boxes: Any) -> None:
    """Two ends, a plug and a socket at each: two pairs; connectors that are alike: one pair for two."""
    on = module(boxes)
    lines = {line.item: line.quantity for line in wire_lines(on.boards["A"], scheduled(on, TRACK, PHONE))}
    assert (lines["plug-2"], lines["plug-3"]) == (2, 1)


def test_halves_by_hand() -> None:
    right = replace(TRACK, halves="plug right")
    assert [right.halves_at(h) for h in (1, -1)] == [("plug",), ("socket",)]
    left = replace(TRACK, halves="socket right")
    assert [left.halves_at(h) for h in (1, -1)] == [("socket",), ("plug",)]
    with pytest.raises(ValueError, match="wants two pins"):
        Connector(name="x", run="power bus", pins=("a", "b", "c"))
    with pytest.raises(ValueError, match="one name"):
        EndProfile(connectors=(TRACK, TRACK))
