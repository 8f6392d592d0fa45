"""Hardware of a board 1000 × 600 in 12 mm ply, 90 mm deep, two joists, joined to a second one; by hand."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from boardwright import Notes
from boardwright_stages.hardware.screwing import deck_screw_length_mm
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.hardware.stages import hardware
from boardwright_stages.hardware.wiring import wire_lines
from boardwright_stages.strength.settings import SupportSettings
from boardwright_timber.model import (
    BoardFixings,
    BoardHardware,
    BoardParts,
    BoardStrength,
    Fixing,
    FixingKind,
    Grain,
    Hole,
    HoleKind,
    JointPlug,
    Part,
    Placement,
    WireKind,
    WireLeg,
    WireRun,
    WireSchedule,
)


def fixing(n: int, kind: FixingKind, size: str, grip_mm: float = 24.0) -> Fixing:
    return Fixing(
        id=f"J01-{n}",
        joint="J01",
        kind=kind,
        size=size,
        along_mm=60.0 * n,
        x_mm=1000.0,
        y_mm=60.0 * n,
        z_mm=-45.0,
        hole_diameter_mm=9.0,
        grip_mm=grip_mm,
    )


UNSUPPORTED = BoardStrength(board="A", support="legs", mass_kg=0.0, service_class=1)
TWO_BOLTS = (fixing(1, FixingKind.BOLT, "M8"), fixing(4, FixingKind.BOLT, "M8"))
TWO_DOWELS = (fixing(2, FixingKind.DOWEL, "10"), fixing(3, FixingKind.DOWEL, "10"))


def flat(role: str, thickness_mm: float, pilots: int) -> Part:
    holes = tuple(
        Hole(kind=HoleKind.PILOT, x_mm=50.0 * n, y_mm=30.0, diameter_mm=3.0, screw=(4.0, 50.0))
        for n in range(pilots)
    )
    return Part(
        id=role,
        board="A",
        role=role,
        label=role,
        material="birch ply",
        thickness_mm=thickness_mm,
        length_mm=1000.0,
        width_mm=90.0,
        grain=Grain.LENGTH,
        ring=((0.0, 0.0), (1000.0, 0.0), (1000.0, 90.0), (0.0, 90.0)),
        holes=(*holes, Hole(kind=HoleKind.WIRE, x_mm=500.0, y_mm=45.0, diameter_mm=25.0)),
        area_mm2=90000.0,
        mass_kg=0.0,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
    )


def counted(
    made,
    fixings: tuple[Fixing, ...] = (),
    settings: HardwareSettings | None = None,
    notes: Notes | None = None,
    parts: tuple[Part, ...] = (),
) -> BoardHardware:
    return hardware(
        made.board,
        made.frame,
        made.joists,
        BoardFixings(board=made.board.id, fixings=fixings),
        BoardParts(board=made.board.id, parts=parts or (flat("deck", 9.0, 0), flat("side", 12.0, 16))),
        UNSUPPORTED,
        settings or HardwareSettings(),
        SupportSettings(),
        notes if notes is not None else Notes(),
    )


def quantities(answer: BoardHardware) -> dict[str, float]:
    return {line.item: line.quantity for line in answer.lines}


def test_a_board_by_hand(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    assert quantities(counted(a, (*TWO_BOLTS, *TWO_DOWELS))) == {
        "screw-4x50": 16,  # pilots drilled: 8 butts × 2
        # sides 2 × ceil(1000 / 150) = 14, ends 2 × ceil(576 / 150) = 8, joists 2 × 3 = 6; 3 × 9 = 27 → 30
        "screw-3.5x30": 28,
        "bolt-M8x40": 2,  # 24 + 3 + 6.8 + 1.25 = 35.05 → 40
        "nut-M8": 2,
        "timber-washer-M8": 2,
        "dowel-10": 2,
        # ends of 8 butts: 8 × 12 × 90 = 8640; tops: (2 × 1000 + 4 × 576) × 12 = 51648; 0.060288 m² × 200 → 13
        "wood-glue": 13,
        "abrasive": 1,  # both faces of two parts of 0.09 m²: 0.36 m², half a sheet each
    }


def test_a_joint_is_counted_by_the_first_of_its_boards_only(straight_pair: Callable) -> None:
    _, b = straight_pair()
    items = quantities(counted(b, (*TWO_BOLTS, *TWO_DOWELS)))
    assert not {i for i in items if i.startswith(("bolt", "nut", "timber", "dowel"))}


def test_every_line_says_what_it_was_counted_from(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    lines = {line.item: line for line in counted(a, (*TWO_BOLTS, *TWO_DOWELS)).lines}
    assert "24 wood + 11.05 washer, nut and one pitch = 35.05" in lines["bolt-M8x40"].why
    assert "16 pilot holes" in lines["screw-4x50"].why
    assert "22 along sides" in lines["screw-3.5x30"].why
    assert all(line.why for line in lines.values())


def test_without_a_deck_there_are_no_deck_screws_and_no_glue_on_top(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    items = quantities(counted(a, parts=(flat("side", 12.0, 16),)))
    assert items == {"screw-4x50": 16, "abrasive": 1, "wood-glue": 2}  # 0.00864 m² × 200 = 1.728


def test_plain_washers_make_the_bolt_shorter(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    items = quantities(counted(a, TWO_BOLTS, HardwareSettings(washer="plain")))
    assert items["bolt-M8x35"] == 2  # 24 + 1.6 + 6.8 + 1.25 = 33.65
    assert items["washer-M8"] == 2


def test_bolts_of_two_grips_have_two_lengths(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    items = quantities(counted(a, (TWO_BOLTS[0], fixing(5, FixingKind.BOLT, "M8", 36.0))))
    assert (items["bolt-M8x40"], items["bolt-M8x50"], items["nut-M8"]) == (1, 1, 2)


@pytest.mark.parametrize(
    ("size", "grip_mm", "code"),
    [("M4", 24.0, "BW-HARD-001"), ("M8", 250.0, "BW-HARD-002"), ("M6", 172.0, "BW-HARD-004")],
)
def test_bolts_that_do_not_work_are_cautioned(
    size: str, grip_mm: float, code: str, straight_pair: Callable
) -> None:
    a, _ = straight_pair()
    notes = Notes()
    counted(a, (fixing(1, FixingKind.BOLT, size, grip_mm),), notes=notes)
    assert [f.code for f in notes.findings] == [code]


def test_a_neck_longer_than_the_end_is_thick_is_cautioned(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    thin = tuple(msgspec.structs.replace(m, thickness_mm=4.0) for m in a.frame.members)
    notes = Notes()
    hardware(
        a.board,
        msgspec.structs.replace(a.frame, members=thin),
        a.joists,
        BoardFixings(board="A", fixings=TWO_BOLTS),
        BoardParts(board="A"),
        UNSUPPORTED,
        HardwareSettings(),
        SupportSettings(),
        notes,
    )
    assert [f.code for f in notes.findings] == ["BW-HARD-003"]  # 5.6 > 4


def test_deck_screws_are_three_decks_long() -> None:
    assert [deck_screw_length_mm(t, HardwareSettings()) for t in (4, 6.5, 9, 12)] == [12, 20, 30, 40]


def test_wire_plugs_and_strips_by_hand(straight_pair: Callable) -> None:
    """On A two legs of one pair, 0.72 and 0.48 long: 1.2 m of each colour; its plug; two cores start here."""
    a, b = straight_pair()
    legs = tuple(
        WireLeg(board=board, start="", end="", route_mm=0.0, length_mm=long, points=())
        for board, long in (("A", 720.0), ("A", 480.0), ("B", 500.0))
    )
    run = WireRun(
        id="W01",
        label="P01",
        kind=WireKind.POWER,
        source="S1",
        devices=("F1",),
        cores=2,
        colours=("red", "black"),
        size="0.75 mm²",
        area_mm2=0.75,
        current_a=3.0,
        drop_v=0.1,
        limit_v=0.6,
        far="F1",
        metres=1.7,
        legs=legs,
    )
    wires = WireSchedule(runs=(run,), plugs=(JointPlug(id="J01-1", joint="J01", boards=("A", "B"), ways=15),))
    on_a = [(w.item, w.quantity, w.unit) for w in wire_lines(a.board, wires)]
    assert on_a == [
        ("wire-0.75-black", 1.2, "m"),
        ("wire-0.75-red", 1.2, "m"),
        ("plug-15", 1, "pair"),
        ("terminal-strip-12", 1, "piece"),
    ]
    assert {(w.item, w.quantity, w.priced_as, w.why) for w in wire_lines(b.board, wires)} == {
        (f"wire-0.75-{colour}", 0.5, "wire-0.75", "1 piece of P01, the longest 500 mm")
        for colour in ("red", "black")
    }
