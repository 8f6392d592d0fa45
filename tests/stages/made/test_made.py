"""Parts that are made: none is changed silently, whatever the plan becomes."""

from __future__ import annotations

import itertools
import json
import re

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import boardwright_stages.plugin
from boardwright import Finding
from boardwright.errors import InputError
from boardwright.made import MadeList
from boardwright.plan.model import Device, Outline, TrackPlan
from boardwright.testing import Bench
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.made.record import mark, opened
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_timber.likeness import NO_WORK, work_on
from boardwright_timber.model import BoardParts, CuttingPlan, Part, Splitting
from boardwright_timber.model.made import MadeParts

SHELF = ((0.0, 0.0), (2400.0, 0.0), (2400.0, 400.0), (0.0, 400.0))


def plan(*motors_mm: float, length_mm: float = 2400.0) -> TrackPlan:
    ring = tuple((min(x, length_mm), y) for x, y in SHELF)
    devices = tuple(
        Device(
            id=f"PM{n}",
            kind="point motor",
            x_mm=x,
            y_mm=200,
            length_mm=80,
            width_mm=50,
            depth_mm=45,
            clearance_mm=15,
        )
        for n, x in enumerate(motors_mm, 1)
    )
    return TrackPlan(
        name="Shelf",
        drawing_file="shelf.dxf",
        scale_ratio=76.2,
        outlines=(Outline(id="shelf", ring=ring),),
        devices=devices,
    )


def data_of(bench: Bench) -> bytes:
    """So much of a pack's data as marking reads."""
    values = bench.run(upto="made_parts").values
    boards = [v.get() for (kind, _), v in sorted(values.items(), key=lambda i: i[0][1]) if kind is BoardParts]
    splitting = values[Splitting, ""].get()
    by_id = {b.id: b for b in splitting.boards}
    raw = {
        "boards": [
            {
                "id": b.board,
                "level_mm": 0.0,
                "joints": [j.id for j in by_id[b.board].joints],
                "parts": b.parts,
                "ring": by_id[b.board].ring,
                "origin": by_id[b.board].origin,
                "angle_deg": by_id[b.board].angle_deg,
            }
            for b in boards
        ],
        "joints": splitting.joints,
    }
    return msgspec.json.encode(raw)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    with Bench(tmp_path_factory.mktemp("made") / "bench.sqlite") as one:
        one.plug(boardwright_stages.plugin)
        one.set(SplittingSettings(max_length_mm=1300))
        yield one


@pytest.fixture(scope="module")
def data(bench: Bench) -> bytes:
    bench.plan = plan(300, 900, 1700)
    return data_of(bench)


def marked(data: bytes, *names: str) -> MadeList:
    return MadeList(mark(MadeList(), data, names, undo=False).text, "made.json")


def test_a_list_is_marked_shown_and_undone(data: bytes) -> None:
    after = mark(MadeList(), data, ["B01", "B02-S1"], undo=False)
    assert after.lines[-1] == "B02: B02-S1"
    record = opened(MadeList(after.text))
    assert {p.board for p in record.parts} == {"B01", "B02"}
    assert [j.id for j in record.joints] == ["J01"]
    assert mark(MadeList(after.text), data, [], undo=False).lines == after.lines[1:]
    again = mark(MadeList(after.text), data, ["B01", "B02"], undo=True)
    assert opened(MadeList(again.text)).parts == opened(MadeList(again.text)).joints == ()
    with pytest.raises(InputError) as error:
        mark(MadeList(), data, ["B09-S1"], undo=False)
    assert [f.code for f in error.value.findings] == ["BW-MADE-013"]


def test_marking_in_a_series_says_that_it_does_nothing(data: bytes) -> None:
    series = msgspec.json.encode(msgspec.json.decode(data) | {"cutting": {"copies": 10, "sheets": []}})
    after = mark(MadeList(), series, ["B02-S1"], undo=False)
    assert after.lines[-1].startswith("But 10 copies are built")
    assert mark(MadeList(after.text), data, [], undo=False).lines[-1] == "B02: B02-S1"
    assert mark(MadeList(after.text), series, ["B02"], undo=True).lines[-1] == "Nothing is marked as made."


@pytest.mark.parametrize("text", ["x", "{}", '{"schema": "boardwright-made/2"}', '{"parts": 3}'])
def test_what_is_no_list_is_refused(text: str, data: bytes) -> None:
    if text == "{}":
        assert opened(MadeList(text)).parts == ()
        return
    with pytest.raises(InputError) as error:
        opened(MadeList(text, "made.json"))
    assert [f.code for f in error.value.findings] == ["BW-MADE-011"]


def test_what_is_made_is_not_cut_and_its_joints_stay(bench: Bench, data: bytes) -> None:
    bench.plan, bench.made = plan(300, 900, 1700), marked(data, "B01")
    outcome = bench.run(upto="cutting")
    made = outcome.values[MadeParts, ""].get()
    parts = outcome.values[BoardParts, "B01"].get().parts
    assert made.done == {p.id for p in parts}
    assert all((s.drill, s.unused) == (0, 0) for s in made.serving)
    assert [f.code for f in outcome.findings if f.code.startswith("BW-MADE")] == ["BW-MADE-003"]
    cutting = outcome.values[CuttingPlan, ""].get()
    cut = {p.part for s in cutting.sheets for p in s.parts}
    assert cutting.made == tuple(sorted(made.done))
    assert cut == {p.id for p in outcome.values[BoardParts, "B02"].get().parts}
    before = outcome.values[Splitting, ""].get().joints
    bench.plan = plan(300, 900, 1180, 1700)  # a motor where the joint stands: it may not move away
    after = bench.run(upto="made_parts")
    assert [(j.start, j.end) for j in after.values[Splitting, ""].get().joints] == [
        (j.start, j.end) for j in before
    ]
    bench.made = MadeList()
    free = bench.run(upto="made_parts").values[Splitting, ""].get().joints
    assert [(j.start, j.end) for j in free] != [(j.start, j.end) for j in before]


EDITS = st.fixed_dictionaries(
    {
        "motors": st.lists(st.integers(100, 2300), max_size=4, unique=True),
        "length_mm": st.sampled_from([2400.0, 2400.0, 2350.0, 1900.0]),
        "spacing_mm": st.sampled_from([400.0, 250.0]),
        "thickness_mm": st.sampled_from([12.0, 12.0, 15.0]),
        "names": st.sampled_from([("B01",), ("B01", "B02"), ("B01-S1", "B02-D")]),
    }
)


@settings(deadline=None, max_examples=8, derandomize=True)
@given(edit=EDITS)
def test_no_edit_changes_a_made_part_silently(bench: Bench, data: bytes, edit: dict) -> None:  # type: ignore[type-arg]
    """Each made part either is, number and wood, a part of the new plan, or a finding names it."""
    bench.made = marked(data, *edit["names"])
    bench.plan = plan(*edit["motors"], length_mm=edit["length_mm"])
    bench.set(
        JoistSettings(spacing_mm=edit["spacing_mm"]),
        FramingSettings(member_thickness_mm=edit["thickness_mm"]),
    )
    outcome = bench.run(upto="made_parts")
    bench.set(JoistSettings(), FramingSettings())
    now: dict[str, Part] = {
        p.id: p for (kind, _), v in outcome.values.items() if kind is BoardParts for p in v.get().parts
    }
    told = " ".join(f.says for f in outcome.findings if f.code in ("BW-MADE-001", "BW-MADE-002"))
    named = set(re.findall(r"\bB\d\d-\w+(?=(?:, B\d\d-\w+)* (?:is|are) made)", told))
    record = opened(bench.made)
    for part in record.parts:
        same = part.id in now and work_on(part, now[part.id]) == NO_WORK
        assert same or part.id in named, part.id
    made = outcome.values[MadeParts, ""].get()
    assert sorted([*(s.made for s in made.serving), *made.wasted]) == sorted(p.id for p in record.parts)
    assert len({s.part for s in made.serving}) == len(made.serving)


def test_no_two_findings_say_the_same_part(bench: Bench, data: bytes) -> None:
    bench.made = marked(data, "B01", "B02")
    bench.plan = plan(500, 1500)
    outcome = bench.run(upto="made_parts")
    says = [f.says.split()[0] for f in outcome.findings if f.code in ("BW-MADE-001", "BW-MADE-002")]
    assert len(says) == len(set(says))
    assert all(a != b for a, b in itertools.pairwise(says))
    json.loads(bench.made.parts_made)


def told(bench: Bench, code: str) -> list[Finding]:
    return [f for f in bench.run(upto="made_parts").findings if f.code == code]


def test_a_joist_that_makes_room_for_a_motor_is_told_where_its_board_is_made(
    bench: Bench, data: bytes
) -> None:
    """Cut alike, it had served without a word: the builder had it glued in under the motor."""
    bench.plan = plan(300, 900, 1700)
    at = {p.id: p for p in bench.run(upto="made_parts").values[BoardParts, "B01"].get().parts}["B01-J2"]
    bench.made = marked(data, "B01")
    assert told(bench, "BW-MADE-005") == []
    bench.plan = plan(300, at.placement.x_mm, 1700)
    (one,) = told(bench, "BW-MADE-005")
    assert one.severity == "caution"
    assert "B01-J2 by " in one.says
    bench.made = marked(data, "B01-J2")
    (one,) = told(bench, "BW-MADE-005")
    assert one.severity == "note"


def test_parts_of_a_board_that_may_be_put_together_serve_in_no_other(bench: Bench, data: bytes) -> None:
    """B01 is to be 350 mm deep: its joists had been told to be B02's, which were not cut. Loose ones are."""
    ring = ((0, 0), (2400, 0), (2400, 400), (1200, 400), (1200, 350), (0, 350))
    bench.plan = msgspec.structs.replace(plan(300, 900, 1700), outlines=(Outline(id="shelf", ring=ring),))
    bench.made = marked(data, "B01")
    made = bench.run(upto="made_parts").values[MadeParts, ""].get()
    assert all(s.part.startswith("B01-") for s in made.serving)
    assert {"B01-J1", "B01-J2", "B01-D"} <= set(made.wasted)
    bench.made = marked(data, "B01-J1", "B01-J2")
    made = bench.run(upto="made_parts").values[MadeParts, ""].get()
    assert {s.part[:3] for s in made.serving} == {"B02"}
    assert made.wasted == ()


def test_marking_a_board_takes_its_old_numbers_off_the_list(bench: Bench, data: bytes) -> None:
    first = opened(marked(data, "B01", "B02-S1"))
    gone = msgspec.structs.replace(first.parts[0], id="B01-S9")
    more = msgspec.structs.replace(first, parts=(*first.parts, gone))
    text = mark(MadeList(msgspec.json.encode(more).decode()), data, ["B01"], undo=False).text
    assert opened(MadeList(text)).parts == first.parts


def test_parts_that_no_longer_fit_for_one_reason_are_told_in_one_sentence(bench: Bench, data: bytes) -> None:
    bench.plan, bench.made = plan(300, 900, 1700), marked(data, "B01", "B02-S1")
    bench.set(FramingSettings(member_thickness_mm=15))
    found = {f.says.split(" made")[0]: f for f in told(bench, "BW-MADE-001")}
    bench.set(FramingSettings())
    assert list(found) == ["B01-E1, B01-J1, B01-J2, B01-S1, B01-S2, B01-S3 are", "B02-S1 is"]
    many, one = found.values()
    assert "no longer fit the plan: of each, its thickness is 12.0 mm, now 15.0 mm" in many.says
    assert [w.item for w in many.where] == many.mend.split("--undo ")[1].rstrip(".").split()
    assert one.mend.endswith("else make it anew and say boardwright made --undo B02-S1.")
