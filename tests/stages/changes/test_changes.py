"""Two packs side by side: the most parts that can be kept, against trying every assignment; and the words."""

from __future__ import annotations

import itertools
import json
from dataclasses import dataclass, field
from decimal import Decimal

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.errors import InputError
from boardwright_stages.changes.compare import compare, fates
from boardwright_stages.changes.matching import matched
from boardwright_timber.likeness import NO_WORK, Work, shape, work_on
from boardwright_timber.model import Face, Grain, Hole, HoleKind, Part, Placement
from boardwright_timber.model.changes import Fate


def part(
    name: str, length: float = 400.0, holes: tuple[tuple[float, float], ...] = (), **more: object
) -> Part:
    """A strip 80 mm wide with 8 mm bolt holes at the places given."""
    return Part(
        id=name,
        board=name.partition("-")[0],
        role="joist",
        label=name,
        material="birch ply",
        thickness_mm=12.0,
        length_mm=length,
        width_mm=80.0,
        grain=Grain.LENGTH,
        ring=((0.0, 0.0), (length, 0.0), (length, 80.0), (0.0, 80.0)),
        holes=tuple(Hole(kind=HoleKind.BOLT, x_mm=x, y_mm=y, diameter_mm=8.0) for x, y in holes),
        area_mm2=length * 80.0,
        mass_kg=0.3,
        placement=Placement(x_mm=0, y_mm=0, z_mm=0, angle_deg=0, stands=True),
    )


def one_way(p: Part) -> Part:
    """The part with one end bevelled, so that it cannot be turned end for end."""
    return msgspec.structs.replace(p, left_bevel_deg=10.0)


def test_a_part_turned_end_for_end_is_the_same_piece() -> None:
    one, other = part("B01-J1", holes=((100, 20),)), part("B02-J9", holes=((300, 60),))  # 400 − 100, 80 − 20
    assert shape(one) == shape(other)
    assert work_on(one, other) == NO_WORK
    assert shape(one) != shape(part("B02-J9", holes=((300, 20),)))  # turned over: the drawn face is the back


@pytest.mark.parametrize(
    "change",
    [
        {"material": "birch"},
        {"thickness_mm": 12.02},
        {"left_bevel_deg": 3.0},
        {"openings": (((10.0, 10.0), (20.0, 10.0), (20.0, 20.0)),)},
        {"ring": ((0.0, 0.0), (400.0, 0.0), (399.9, 80.0), (0.0, 80.0))},
        {"holes": (Hole(kind=HoleKind.BOLT, x_mm=100, y_mm=20, diameter_mm=8.1),)},
        {"holes": (Hole(kind=HoleKind.BOLT, x_mm=100, y_mm=20, diameter_mm=8, depth_mm=9.0),)},
        {"holes": (Hole(kind=HoleKind.BOLT, x_mm=100, y_mm=20, diameter_mm=8, face=Face.INNER),)},
        {"holes": (Hole(kind=HoleKind.BOLT, x_mm=100, y_mm=20, diameter_mm=8, slot_mm=12.0),)},
    ],
)
def test_what_makes_another_piece(change: dict[str, object]) -> None:
    one = part("B01-J1", holes=((100, 20),))
    assert shape(one) != shape(msgspec.structs.replace(one, **change))


def test_pencil_lines_numbers_and_places_do_not() -> None:
    one = part("B01-J1", holes=((100, 20),))
    placed = Placement(x_mm=9, y_mm=9, z_mm=9, angle_deg=9, stands=False)
    assert shape(one) == shape(
        msgspec.structs.replace(one, id="B07-S2", board="B07", label="x", placement=placed)
    )


def test_a_place_where_an_edge_runs_straight_on_is_none() -> None:
    """Another board comes to meet a deck's edge from 150 to 250 mm: the deck is the same piece. One that is
    bent there by half a millimetre is not, nor is one with a nick."""
    plain = part("B01-D")
    met = ((0.0, 0.0), (400.0, 0.0), (400.0, 80.0), (250.0, 80.0), (150.0, 80.0), (0.0, 80.0))
    one = msgspec.structs.replace(plain, ring=met)
    assert work_on(plain, one) == work_on(one, plain) == NO_WORK
    assert matched([plain], [one]) == [(plain, one)]
    for bent in (79.5, 0.0):
        other = msgspec.structs.replace(plain, ring=(*met[:3], (250.0, bent), *met[4:]))
        assert work_on(plain, other) is None


def test_drilling_makes_one_part_another() -> None:
    old, new = part("B01-J1", holes=((100, 20),)), part("B01-J1", holes=((100, 20), (200, 40)))
    assert work_on(old, new) == Work(drill=1, unused=0)
    assert work_on(new, old) == Work(drill=0, unused=1)  # no hole is ever filled
    moved = part("B01-J1", holes=((140, 20),))
    assert work_on(old, moved) == Work(drill=1, unused=1)
    near = part("B01-J1", holes=((112, 20),))  # 4 mm of wood between two holes of 8 mm
    assert work_on(old, near) == Work(drill=1, unused=1)  # the other way about, where there is room
    assert work_on(one_way(old), one_way(near)) is None
    (fate,) = fates([old], [new])
    assert (fate.fate, fate.holes) == (Fate.DRILL, 1)


def test_a_tenth_of_a_millimetre_is_no_reason_to_saw_again() -> None:
    old = part("B01-J1", holes=((100, 20), (300, 20)))
    assert work_on(old, part("B01-J1", 400.09, holes=((100.05, 20), (300, 19.93)))) == NO_WORK
    assert work_on(old, part("B01-J1", 400.2, holes=((100, 20), (300, 20)))) is None
    beside = one_way(part("B01-J1", holes=((100, 20), (300, 20.2))))
    assert work_on(one_way(old), beside) is None


HOLES = ((100.0, 20.0), (200.0, 40.0), (250.0, 40.0))
PIECES = st.builds(
    lambda long, holes: (float(long), tuple(sorted(holes))),
    st.sampled_from([400, 300]),
    st.sets(st.sampled_from(HOLES)),
)


def named(pieces: list[tuple[float, tuple[tuple[float, float], ...]]], board: str) -> list[Part]:
    return [part(f"{board}-J{n}", *piece) for n, piece in enumerate(pieces, 1)]


@settings(deadline=None, max_examples=150, derandomize=True)
@given(old=st.lists(PIECES, max_size=5), new=st.lists(PIECES, max_size=5))
def test_as_many_are_kept_as_trying_every_assignment_keeps(old: list, new: list) -> None:  # type: ignore[type-arg]
    was, now = named(old, "B01"), named(new, "B01")
    pairs = matched(was, now)
    assert all(work_on(a, b) is not None for a, b in pairs)
    assert len({a.id for a, _ in pairs}) == len({b.id for _, b in pairs}) == len(pairs)
    few, many = sorted((was, now), key=len)
    becomes = {(a.id, b.id): work_on(a, b) is not None for a in was for b in now}
    ways = itertools.permutations(many, len(few))
    asked = ([(a, b) if few is was else (b, a) for a, b in zip(few, way, strict=True)] for way in ways)
    best = max(sum(becomes[a.id, b.id] for a, b in way) for way in asked)
    assert len(pairs) == best
    told = fates(was, now)
    count = {fate: sum(f.fate is fate for f in told) for fate in Fate}
    assert count[Fate.SAME] + count[Fate.RENUMBERED] + count[Fate.DRILL] == best
    assert count[Fate.REMAKE] == len(now) - best
    assert count[Fate.LEFT_OVER] == len(was) - best


PLY = {
    "stock": "ply",
    "material": "birch ply",
    "thickness_mm": 12.0,
    "length_mm": 1000.0,
    "width_mm": 800.0,
}


@dataclass
class Pack:
    """So much of a pack's data as a comparison reads."""

    parts: list[Part]
    total: str = "100.00"
    joint: tuple[float, float] = (900.0, 0.0)
    complete: bool = True
    price: str | None = "50.00"
    legs: dict[str, list[float]] = field(default_factory=dict)
    copies: int = 1
    spare: tuple[str, ...] = ()
    made: tuple[str, ...] = ()
    sheets: int = 3

    @property
    def data(self) -> bytes:
        boards = {p.board for p in self.parts}
        raw = {
            "boards": [
                {
                    "id": b,
                    "parts": [p for p in self.parts if p.board == b],
                    "legs": [{"id": "passed over", "length_mm": mm} for mm in self.legs.get(b, ())],
                }
                for b in sorted(boards)
            ],
            "joints": [{"id": "J01", "start": self.joint, "end": (900.0, 400.0), "why": "passed over"}],
            "cutting": {
                "sheets": [{"times": self.sheets - 1, **PLY}, PLY],
                "copies": self.copies,
                "spare": self.spare,
                "made": self.made,
            },
            "cost": {
                "currency": "EUR",
                "total": Decimal(self.total),
                "complete": self.complete,
                "lines": [{"group": "sheets", "item": "ply", "price": self.price}],
            },
        }
        return msgspec.json.encode(raw)


def test_the_whole_report() -> None:
    """B01-J1 stays, J2 gets another number, J3 is drilled once more, J4 is left over; B02 is new."""
    before = Pack([part("B01-J1"), part("B01-J2", 300), part("B01-J3", 350), part("B01-J4", 200)])
    after = Pack(
        [part("B01-J1"), part("B01-J5", 300), part("B01-J3", 350, ((10, 10),)), part("B02-S1", 1000)],
        total="118.50",
        joint=(950.0, 0.0),
    )
    changes = compare(before.data, after.data)
    assert {(p.fate, p.before, p.after) for p in changes.parts} == {
        (Fate.SAME, "B01-J1", "B01-J1"),
        (Fate.RENUMBERED, "B01-J2", "B01-J5"),
        (Fate.DRILL, "B01-J3", "B01-J3"),
        (Fate.LEFT_OVER, "B01-J4", ""),
        (Fate.REMAKE, "", "B02-S1"),
    }
    assert changes.joints_moved == ("J01",)
    assert changes.lines == (
        "1 part as it was.",
        "1 part the same with another number: B01-J2 is now B01-J5.",
        "1 part usable with other holes: B01-J3: 1 hole to drill.",
        "1 part to make (0.08 m²): B02-S1.",  # 1000 × 80 mm
        "1 part no longer needed: B01-J4.",
        # 200 × 80 of a sheet of 1000 × 800 at 50.00
        "Wood lost, if cut already: 1 part, worth about 1.00 EUR by the area of its blank.",
        "B01: 1 usable with other holes, 1 no longer needed, 2 unaffected.",
        "B02: new, 1 to make.",
        "Joints moved: J01.",
        "The whole layout, bought anew, costs 18.50 EUR more: 100.00 EUR before, 118.50 EUR now.",
    )


def test_money_once_parts_are_made_is_that_of_the_rest() -> None:
    """A sheet less at 50.00 because two parts are made is no cheaper layout."""
    parts = [part("B01-J1"), part("B01-J2", 300), part("B01-J3", 350)]
    made = Pack(parts, total="50.00", made=("B01-J1", "B01-J2"), sheets=2)
    assert compare(Pack(parts).data, made.data).lines[-3:] == (
        "What is made is not counted in sheets and money: 0 parts before, 2 parts now.",
        "Sheets for the rest: 3 before, 2 now.",
        "The rest, bought anew, costs 50.00 EUR less: 100.00 EUR before, 50.00 EUR now.",
    )
    assert compare(made.data, made.data).lines[-2:] == (
        "What is made is not counted in sheets and money: 2 parts before, 2 parts now.",
        "The rest costs as much as before: 50.00 EUR.",
    )


def test_wood_of_a_series_is_lost_in_every_copy() -> None:
    """10 copies and 2 spare ends: 200 × 80 of 1000 × 800 at 50.00 is 1.00, times 12."""
    before = Pack([part("B01-E1", 200), part("B01-J1", 400)], copies=10, spare=("B01-E1", "B01-E1"))
    after = Pack([part("B01-E1", 210), part("B01-J1", 400)], copies=10)
    changes = compare(before.data, after.data)
    assert changes.wood_lost == Decimal("12.00")
    assert changes.lines[0] == (
        "Copies: 10. Parts and legs are told for one copy; wood lost, sheets and money for all."
    )
    assert changes.lines[3] == (
        "Wood lost, if cut already: 1 part in each of 10 copies, worth about 12.00 EUR by the area of its "
        "blank."
    )
    fewer = compare(before.data, Pack(before.parts, copies=9).data)
    assert fewer.lines[0].startswith("Copies: 10 before, 9 now. ")


def test_a_board_that_got_another_name_is_told_as_that() -> None:
    """All of B02 is Yard's; of B03, gone as well, New has a part and another is left over."""
    before = [
        part("B01-J1"),
        part("B02-J1", 300),
        part("B02-J2", 310),
        part("B03-J1", 500),
        part("B03-J2", 510),
    ]
    after = [part("B01-J1"), part("Yard-J1", 300), part("Yard-J2", 310), part("New-J1", 500)]
    changes = compare(Pack(before).data, Pack(after).data)
    about = [line for line in changes.lines if line.startswith(("B0", "Yard", "New"))]
    assert about == [
        "B02 is now called Yard; its parts are as they were.",
        "B03: gone, 1 no longer needed.",
        "New: new, 1 unaffected.",
    ]


def test_legs_of_a_level_that_is_raised_are_told() -> None:
    """Two boards 180 mm higher, a third with its legs in another order, a fourth that lost one."""
    parts = [part(f"B0{n}-J1") for n in range(1, 5)]
    alike = {"B01": [975.0, 975.0], "B02": [975.0, 975.0], "B03": [900.0, 950.0], "B04": [900.0, 900.0]}
    raised = {"B01": [1155.0, 1155.0], "B02": [1155.0, 1155.0], "B03": [950.0, 900.0], "B04": [900.0]}
    changes = compare(Pack(parts, legs=alike).data, Pack(parts, legs=raised).data)
    assert [line for line in changes.lines if "egs" in line] == [
        "Legs of B01, B02 each: 2 of 975 mm before, 2 of 1155 mm now.",
        "Legs of B04: 2 of 900 mm before, 1 of 900 mm now.",
    ]
    assert {b.board for b in changes.boards if b.untouched} == {"B01", "B02", "B03", "B04"}  # their parts


def test_what_wood_is_worth_is_not_guessed() -> None:
    changes = compare(Pack([part("B01-J4")], price=None).data, Pack([], price=None).data)
    assert changes.wood_lost is None
    assert not [line for line in changes.lines if line.startswith("Wood lost")]


def test_a_partial_total_is_not_compared() -> None:
    pack = Pack([part("B01-J1")])
    assert "cannot be compared" in compare(pack.data, Pack(pack.parts, complete=False).data).lines[-1]


@pytest.mark.parametrize("data", [b"", b"{}", b"\xff", json.dumps({"boards": 3}).encode()])
def test_what_is_no_pack_is_refused(data: bytes) -> None:
    with pytest.raises(InputError) as error:
        compare(Pack([part("B01-J1")]).data, data)
    assert [f.code for f in error.value.findings] == ["BW-CHANGE-001"]
