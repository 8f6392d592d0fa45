"""The wire schedule by hand, on two boards joined at x = 1000."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from wired import device, made, schedule

from boardwright import Notes
from boardwright.errors import InputError
from boardwright_stages.wiring.network_settings import District, WireSettings
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.model import WireKind, WireSchedule

PLAIN = WireSettings(hole_detour_mm=0)


def one(schedule: WireSchedule, kind: WireKind):
    return next(r for r in schedule.runs if r.kind is kind)


def test_a_run_across_a_joint_by_hand(straight_pair: Callable) -> None:
    """Panel at (900, 267) on A, servo at (1100, 267) on B; the joint's hole is at y = 267. Under A the wire
    lies 100 to the joint, under B 100. Each leg: 100 × 1.05 + 2 × 150 = 405. Drop of 0.5 A there and back
    in 0.22 mm² at 30 °C: 2 × 0.81 × 0.5 × 0.096 × 1.0393 = 0.0808 V."""
    a, b = straight_pair(joists_a=(350.0,), joists_b=(500.0,))
    answer = schedule(
        made((a, [device("P1", "panel", 900, 267)]), (b, [device("M1", "servo", 1100, 267, 3, 500)])), PLAIN
    )
    run = one(answer, WireKind.CONTROL)
    assert (run.source, run.devices, run.cores, run.size) == ("P1", ("M1",), 3, "0.22 mm²")
    assert [(leg.board, leg.start, leg.end, leg.route_mm, leg.length_mm) for leg in run.legs] == [
        ("A", "P1", "plug J01", 100.0, 405.0),
        ("B", "plug J01", "M1", 100.0, 405.0),
    ]
    assert [leg.holes for leg in run.legs] == [(("A-E1", 255.0),), (("B-E3", 321.0),)]
    assert run.drop_v == pytest.approx(2 * 0.81 * 0.5 * 0.096 * 1.0393, abs=1e-5)
    (plug,) = answer.plugs
    assert (plug.joint, plug.boards, plug.ways) == ("J01", ("A", "B"), 15)
    assert [(p.number, p.core, p.colour) for p in plug.pins] == [
        (1, 1, "green"),
        (2, 2, "orange"),
        (3, 3, "violet"),
    ]
    assert [(t.size, t.colour, t.metres) for t in answer.totals] == [
        ("0.22 mm²", "green", 0.81),
        ("0.22 mm²", "orange", 0.81),
        ("0.22 mm²", "violet", 0.81),
    ]
    assert "Mains is never routed" in answer.said


def test_a_bus_in_a_row_by_hand(straight_pair: Callable) -> None:
    """Supply at 500, feeds at 600, 700 and 800 in one bay, on one line: 100 + 100 + 100, no branch."""
    a, b = straight_pair(joists_a=(350.0,), joists_b=(500.0,))
    feeds = [device(f"F{n}", "feed", 500 + 100 * n, 300, 2, 3000) for n in (1, 2, 3)]
    answer = schedule(made((a, [device("S1", "power_supply", 500, 300), *feeds]), (b, [])), PLAIN)
    bus = one(answer, WireKind.POWER)
    assert [(leg.start, leg.end, leg.route_mm) for leg in bus.legs] == [
        ("S1", "F1", 100.0),
        ("F1", "F2", 100.0),
        ("F2", "F3", 100.0),
    ]
    # three feeds of 3 A, but the supply gives 3: it flows all the way; a dropper of 0.3 m 0.5 mm² comes after
    each = 2 * 0.405 * 3 * 0.026 * 1.0393
    dropper = 2 * 0.3 * 3 * 0.039 * 1.0393
    assert bus.size == "0.75 mm²"
    assert bus.drop_v == pytest.approx(3 * each + dropper, abs=1e-5)
    assert bus.far == "F3"
    droppers = one(answer, WireKind.DROPPER)
    assert (len(droppers.legs), droppers.metres, droppers.source) == (3, 0.9, bus.id)


def test_the_current_of_a_branch_is_what_hangs_on_it(straight_pair: Callable) -> None:
    a, b = straight_pair(joists_a=(350.0,), joists_b=(500.0,))
    lamps = [device(f"L{n}", "lamp", 500 + 100 * n, 300, 2, 500) for n in (1, 2)]
    answer = schedule(made((a, [device("S1", "power_supply", 500, 300), *lamps]), (b, [])), PLAIN)
    bus = one(answer, WireKind.LIGHTING)
    ohm = 2 * 0.405 * 0.026 * 1.0393
    assert bus.drop_v == pytest.approx((1.0 + 0.5) * ohm, abs=1e-5)


def test_districts_have_a_bus_each(straight_pair: Callable) -> None:
    a, b = straight_pair()
    boards = made(
        (a, [device("S1", "power_supply", 500, 300), device("F1", "feed", 600, 200, 2, 3000)]),
        (b, [device("F2", "feed", 1200, 300, 2, 3000), device("F3", "feed", 1700, 300, 2, 3000)]),
    )
    settings = WireSettings(districts={"yard": District(boards=("B",)), "shed": District(devices=("F3",))})
    buses = [r for r in schedule(boards, settings).runs if r.kind is WireKind.POWER]
    assert [(r.district, r.devices) for r in buses] == [
        ("main", ("F1",)),
        ("shed", ("F3",)),
        ("yard", ("F2",)),
    ]


def test_a_thicker_conductor_where_the_drop_asks_for_it(straight_pair: Callable) -> None:
    """About 2.5 m: 2 × 2.5 × 3 A × R ≤ 0.36 V (3 %) asks for R ≤ 0.024 Ω/m: 1 mm² has 0.0203, 0.75 has 0.027.
    At 20 % (2.4 V, 0.16 Ω/m) the current decides: 0.22 and less may not carry 3 A, 0.5 mm² may."""
    a, b = straight_pair()
    boards = made((a, [device("P1", "panel", 100, 300)]), (b, [device("M1", "solenoid", 1900, 300, 3, 3000)]))
    thin = one(schedule(boards, WireSettings(drop_percent=20)), WireKind.CONTROL)
    thick = one(schedule(boards, WireSettings(drop_percent=3)), WireKind.CONTROL)
    assert (thin.area_mm2, thick.area_mm2) == (0.5, 1.0)
    notes = Notes()
    bad = one(schedule(boards, WireSettings(drop_percent=1, sizes=("0.5",)), notes), WireKind.CONTROL)
    assert not bad.passed
    assert [f.code for f in notes.findings] == ["BW-WIRE-012"]


def test_full_holes_are_closed_and_told(straight_pair: Callable) -> None:
    """Two holes of 8 mm at 40 %: 25.6 of squares each. A core of 0.22 mm² takes 1.44: 17 cores a hole."""
    a, b = straight_pair()
    motors = [device(f"M{n}", "servo", 1150 + 60 * n, 300, 3, 100) for n in range(5)]
    boards = made(
        (a, [device("P1", "panel", 800, 300)]), (b, motors), wiring=WiringSettings(hole_diameter_mm=8)
    )
    notes = Notes()
    answer = schedule(boards, WireSettings(), notes)
    assert sorted(h.cores for h in answer.holes if h.joint and h.board == "A") == [0, 15]
    more = made(
        (a, [device("P1", "panel", 800, 300)]),
        (b, [*motors, *(device(f"N{n}", "servo", 1150 + 60 * n, 200, 3, 100) for n in range(7))]),
        wiring=WiringSettings(hole_diameter_mm=8),
    )
    answer = schedule(more, WireSettings(), notes)
    assert sum(h.cores for h in answer.holes if h.joint and h.board == "A") == 36
    assert {f.code for f in notes.findings} == {"BW-WIRE-013", "BW-WIRE-016", "BW-WIRE-017"}


def test_no_source_is_told(straight_pair: Callable) -> None:
    a, b = straight_pair()
    notes = Notes()
    boards = made(
        (a, [device("F1", "feed", 200, 300, 2, 3000), device("F2", "feed", 700, 300, 2, 3000)]), (b, [])
    )
    answer = schedule(boards, WireSettings(), notes)
    assert [f.code for f in notes.findings] == ["BW-WIRE-011"]
    assert one(answer, WireKind.POWER).metres > 0


def test_wrong_names_are_told(straight_pair: Callable) -> None:
    a, b = straight_pair()
    notes = Notes()
    boards = made((a, [device("P1", "panel", 200, 300)]), (b, []))
    schedule(boards, WireSettings(panel="P9"), notes)
    assert [f.code for f in notes.findings] == ["BW-WIRE-015"]
    with pytest.raises(InputError, match="known"):
        schedule(boards, WireSettings(sizes=("0.6",)))


def test_a_core_of_much_current_gets_several_pins(straight_pair: Callable) -> None:
    a, b = straight_pair()
    boards = made(
        (a, [device("S1", "power_supply", 800, 300)]), (b, [device("F1", "feed", 1200, 300, 2, 8000)])
    )
    (plug,) = schedule(boards, WireSettings(bus_current_a=8)).plugs
    assert [(p.number, p.core) for p in plug.pins] == [(1, 1), (2, 1), (3, 2), (4, 2)]


def test_labels_and_colours_of_the_builders_choosing(straight_pair: Callable) -> None:
    a, b = straight_pair()
    boards = made((a, [device("P1", "panel", 200, 300), device("M1", "servo", 700, 300, 3, 100)]), (b, []))
    settings = WireSettings(labels={"control run": "X"}, colours={"control run": ("pink", "mauve")})
    run = one(schedule(boards, settings), WireKind.CONTROL)
    assert (run.label, run.colours) == ("X01", ("pink", "mauve", "pink"))


def test_a_run_keeps_to_one_plug(straight_pair: Callable) -> None:
    """Six servos of three cores in plugs of eight: two runs a plug, and two of 24 pins stay free in each."""
    a, b = straight_pair()
    motors = [device(f"M{n}", "servo", 1150 + 60 * n, 300, 3, 100) for n in range(6)]
    boards = made((a, [device("P1", "panel", 800, 300)]), (b, motors))
    plugs = schedule(boards, WireSettings(plug_ways=8)).plugs
    assert [len({p.run for p in plug.pins}) for plug in plugs] == [2, 2, 2]
    assert [p.number for p in plugs[0].pins] == [1, 2, 3, 4, 5, 6]
    spare = schedule(boards, WireSettings(plug_ways=9, plug_spare=1)).plugs
    assert [len(plug.pins) for plug in spare] == [9, 9, 0]


def test_a_plug_must_pass_and_a_hole_stay_spare(straight_pair: Callable) -> None:
    """22 mm holes: a plug of 22 passes, one of 22.5 does not. One hole of the joint: no spare; two: one."""
    a, b = straight_pair()
    devices = ([device("P1", "panel", 800, 300)], [device("M1", "servo", 1200, 300, 3, 100)])
    for body, count, codes in (
        (22.0, 2, []),
        (22.5, 2, ["BW-WIRE-016"]),
        (0.0, 1, ["BW-WIRE-017"]),
    ):
        notes = Notes()
        boards = made((a, devices[0]), (b, devices[1]), wiring=WiringSettings(holes_per_joint=count))
        schedule(boards, WireSettings(plug_body_mm=body), notes)
        assert [f.code for f in notes.findings] == codes
