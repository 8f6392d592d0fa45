"""What the list keeps of boards and joints: as they were when something of them was marked."""

from __future__ import annotations

import itertools
from typing import Any

import msgspec

from boardwright.made import MadeList
from boardwright_stages.made.record import mark, opened
from boardwright_timber.model import Grain, Part, Placement
from boardwright_timber.model.made import MadeJoint, MadeRecord


def pack(*joints_x: float, length: float = 3000.0) -> bytes:
    """A shelf 400 mm deep with joints at these places, one part a board, and no more than marking reads."""
    ends = (0.0, *joints_x, length)
    boards: list[dict[str, Any]] = []
    for n, (a, b) in enumerate(itertools.pairwise(ends), 1):
        ring = [(a, 0.0), (b, 0.0), (b, 400.0), (a, 400.0)]
        part = Part(
            id=f"B0{n}-D",
            board=f"B0{n}",
            role="deck",
            label=f"B0{n}-D",
            material="ply",
            thickness_mm=9.0,
            length_mm=b - a,
            width_mm=400.0,
            grain=Grain.LENGTH,
            ring=((0.0, 0.0), (b - a, 0.0), (b - a, 400.0), (0.0, 400.0)),
            area_mm2=(b - a) * 400.0,
            mass_kg=1.0,
            placement=Placement(x_mm=0, y_mm=0, z_mm=0, angle_deg=0, stands=False),
        )
        own = [f"J0{k}" for k in (n - 1, n) if 0 < k < len(ends) - 1]
        boards.append(
            {"id": f"B0{n}", "level_mm": 0.0, "joints": own, "parts": [part], "ring": ring, "origin": ring[0]}
        )
    joints = [{"id": f"J0{k}", "start": (x, 0.0), "end": (x, 400.0)} for k, x in enumerate(joints_x, 1)]
    return msgspec.json.encode({"boards": boards, "joints": joints})


def marked(record: MadeRecord | None, data: bytes, *names: str, undo: bool = False) -> MadeRecord:
    text = msgspec.json.encode(record).decode() if record else ""
    return opened(MadeList(mark(MadeList(text, "made.json"), data, names, undo).text, "made.json"))


def lines(record: MadeRecord) -> dict[str, float]:
    return {j.id: j.start[0] for j in record.joints}


def test_boards_of_the_pack_are_remembered_those_made_with_their_edge() -> None:
    record = marked(None, pack(1000, 2000), "B02")
    assert [(b.id, b.x_mm, b.y_mm, len(b.ring)) for b in record.boards] == [
        ("B01", 500.0, 200.0, 0),
        ("B02", 1500.0, 200.0, 4),
        ("B03", 2500.0, 200.0, 0),
    ]
    assert [(j.id, j.boards) for j in record.joints] == [("J01", ("B02",)), ("J02", ("B02",))]
    nothing = marked(record, pack(1000, 2000), "B02", undo=True)
    assert nothing.boards == nothing.joints == nothing.parts == ()


def test_joints_of_what_was_marked_before_stay_as_they_were() -> None:
    """B02 was made between 1000 and 2000; the pack has moved on when B04 is marked."""
    first = marked(None, pack(1000, 2000, 2600), "B02")
    later = marked(first, pack(900, 1900, 2500), "B04")
    assert lines(later) == {"J01": 1000.0, "J02": 2000.0, "J03": 2500.0}
    assert [j.id for j in first.others] == ["J03"]
    assert later.others == ()
    (made,) = (b for b in later.boards if b.id == "B02")
    assert made == next(b for b in first.boards if b.id == "B02")
    gone = marked(first, pack(1500), "B01")
    assert lines(gone) == {"J01": 1500.0, "J02": 2000.0}
    assert {b.id for b in gone.boards} == {"B01", "B02"}


def test_a_board_marked_anew_is_held_as_it_is_now() -> None:
    """It had been held for good at the first place, where nothing of it was any more."""
    first = marked(None, pack(1000, 2000), "B02")
    anew = marked(first, pack(1000.0004, 2100), "B02")
    assert lines(anew) == {"J01": 1000.0, "J02": 2100.0}
    (made,) = (b for b in anew.boards if b.id == "B02")
    assert max(x for x, _ in made.ring) == 2100.0


def test_a_list_of_an_older_release_is_read_and_goes_on() -> None:
    first = marked(None, pack(1000, 2000), "B02")
    bare = tuple(MadeJoint(id=j.id, start=j.start, end=j.end) for j in first.joints)
    old = msgspec.structs.replace(first, boards=(), joints=bare)
    later = marked(old, pack(1000, 2000), "B03")
    assert lines(later) == {"J01": 1000.0, "J02": 2000.0}
    assert [(b.id, len(b.ring)) for b in later.boards] == [("B01", 0), ("B02", 0), ("B03", 4)]


def test_a_board_is_complete_while_all_its_parts_are_on_the_list() -> None:
    record = marked(None, pack(1000, 2000), "B02-D")
    assert [b.complete for b in record.boards] == [False, True, False]
    place = record.boards[1].places["B02-D"]
    assert (place.x_mm, place.y_mm, place.angle_deg) == (1500.0, 200.0, 0.0)  # 1000 + 1000 / 2, 400 / 2
    both = marked(record, pack(1000, 2000), "B03")
    undone = marked(both, pack(1000, 2000), "B02-D", undo=True)
    assert [(b.complete, dict(b.places) != {}, len(b.ring)) for b in undone.boards] == [
        (False, False, 0),
        (False, False, 0),
        (True, True, 4),
    ]
