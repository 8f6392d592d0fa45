"""pack.json says everything, once, and a reader gets back what was written."""

from __future__ import annotations

import inspect
import json
import os
import subprocess
import sys
import tempfile
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import UNSET
from two_boards import nouns

from boardwright.display import IN_MM
from boardwright.plan.model import TrackPlan
from boardwright_outputs.manifest.model import Pack, PackBoard, PackFrame, Plan
from boardwright_outputs.manifest.outputs import manifest, written
from boardwright_timber.model import Board, Frame

HERE = Path(__file__).parent


def made(**changes: Any) -> bytes:
    every = {"show": IN_MM, **nouns(), **changes}
    return manifest(**{n: every[n] for n in inspect.signature(manifest).parameters}).files["pack.json"]


def pack() -> Pack:
    return msgspec.json.decode(made(), type=Pack)


def test_reads_back_as_it_was_written() -> None:
    assert written(pack()) == made()


def test_holds_every_noun() -> None:
    given_nouns, read = nouns(), pack()
    assert read.schema == "boardwright-pack/1"
    assert read.name == given_nouns["plan"].name
    assert read.plan.outlines == given_nouns["plan"].outlines
    assert read.plan.devices == given_nouns["plan"].devices
    assert read.joints == given_nouns["splitting"].joints
    assert read.cutting == given_nouns["cutting"]
    assert read.cost == given_nouns["cost"]
    assert read.space == given_nouns["space"].boards
    assert read.movement == given_nouns["movement"].boards
    assert read.standing == given_nouns["standing"].groups
    assert read.wires == given_nouns["wires"]
    assert read.checks == given_nouns["checks"]
    assert read.findings == given_nouns["findings"].findings
    assert read.sources == given_nouns["provenance"].sources
    assert read.settings == given_nouns["provenance"].settings
    assert read.end_room == given_nouns["end_room"]
    for board in read.boards:
        b = board.id
        assert board.ring == given_nouns["boards"][b].ring
        assert board.joints == ("J1",)
        assert board.parts == given_nouns["parts"][b].parts
        assert board.frame.members == given_nouns["frames"][b].members + given_nouns["joists"][b].members
        assert board.wire_holes == given_nouns["wiring"][b].holes
        assert board.hardware == given_nouns["hardware"][b].lines
        assert board.fastening == given_nouns["fastening"][b].lines
        assert board.edging == (given_nouns["edging"][b].strips or UNSET)
        assert (board.legs, board.leg_rails) == (
            given_nouns["stands"][b].legs,
            given_nouns["stands"][b].rails,
        )


def test_a_fixing_stands_once_unless_its_boards_disagree() -> None:
    assert [f.id for f in pack().fixings] == ["J1-bolt-1"]
    fixings = nouns()["fixings"]
    moved = msgspec.structs.replace(fixings["B"].fixings[0], z_mm=-44.0)
    fixings["B"] = msgspec.structs.replace(fixings["B"], fixings=(moved,))
    read = msgspec.json.decode(made(fixings=fixings), type=Pack)
    assert [f.z_mm for f in read.fixings] == [-45.0, -44.0]


@pytest.mark.parametrize(
    ("noun", "record", "elsewhere"),
    [
        (Board, PackBoard, set()),
        (Frame, PackFrame, {"board"}),
        (TrackPlan, Plan, {"name"}),
    ],
)
def test_no_field_of_a_noun_is_left_out(noun: Any, record: Any, elsewhere: set[str]) -> None:
    """These nouns are copied field by field; a field added to one must find its place in the record."""
    assert set(noun.__struct_fields__) - elsewhere <= set(record.__struct_fields__)


def test_the_same_bytes_in_another_process() -> None:
    asked = "import sys; sys.path[:0] = sys.argv[1:]; import test_manifest as m; "
    asked += "sys.stdout.buffer.write(m.made())"
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-c", asked, str(HERE), str(HERE.parent / "workbook")],
            check=True,
            capture_output=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        assert run.stdout == made()


def test_is_laid_out_for_comparing_line_by_line() -> None:
    text = made().decode()
    assert text.endswith("}\n")
    assert "\n     [1800.0, 500.0],\n" in text  # a point is one line
    assert max(len(line) for line in text.splitlines()) < 200
    first = json.loads(text)
    before, after = text.splitlines(), made(plan=_moved()).decode().splitlines()
    assert len(before) == len(after)
    assert [a for a, b in zip(before, after, strict=True) if a != b] == ['    "x_mm": 400.0,']
    assert first["plan"]["devices"][0]["x_mm"] == 400.0


def _moved() -> TrackPlan:
    plan: TrackPlan = nouns()["plan"]
    device = msgspec.structs.replace(plan.devices[0], x_mm=401.5)
    return msgspec.structs.replace(plan, devices=(device,))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    name=st.text(st.characters(exclude_categories=["Cs"]))
    | st.sampled_from(["[\n1,\n2\n]", "[ 1, 2 ]", '"', "\\n[1,2]"]),
    x=st.floats(allow_nan=False, allow_infinity=False),
)
def test_any_name_and_number_comes_back(name: str, x: float) -> None:
    original = pack()
    joint = msgspec.structs.replace(original.joints[0], id=name, start=(x, -0.0))
    changed = msgspec.structs.replace(original, name=name, joints=(joint,))
    assert msgspec.json.decode(written(changed), type=Pack) == changed


def test_money_is_exact() -> None:
    assert '"price": "0.035"' in made().decode()
    assert pack().cost.total == Decimal("107.44")


def test_an_unknown_schema_is_refused_and_a_new_field_passed_over() -> None:
    other = made().replace(b"boardwright-pack/1", b"boardwright-pack/2")
    with pytest.raises(msgspec.ValidationError, match="schema"):
        msgspec.json.decode(other, type=Pack)
    later = made().replace(b'"name":', b'"colour": "green", "name":')
    assert msgspec.json.decode(later, type=Pack) == pack()


def test_no_path_of_this_machine() -> None:
    for place in (Path.cwd(), HERE, Path(sys.prefix), Path(tempfile.gettempdir())):
        assert str(place).encode() not in made()
