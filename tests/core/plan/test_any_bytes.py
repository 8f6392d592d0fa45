"""Whatever the bytes, the answer is a plan or an input error: never a traceback."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.findings import Notes
from boardwright.plan import device_list, devices
from boardwright.plan.drawn import Drawn
from boardwright.plan.settings import DeviceSettings
from boardwright.plan.source import SourceFile

FIXTURES = Path(__file__).parents[3] / "fixtures"
PLAN = (FIXTURES / "exhibition-module" / "plan.dxf").read_bytes()
LIST = (FIXTURES / "exhibition-module" / "devices.csv").read_bytes()


@given(data=st.binary(max_size=300))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_any_bytes_as_a_drawing(read: Any, data: bytes) -> None:
    assert read(data).problems


def _list(data: bytes) -> None:
    """Reading a device list raises nothing, and answers devices or problems."""
    drawn = Drawn(file="plan.dxf", units="mm", layers=())
    notes, problems = Notes(), Notes()
    listed = device_list.read(SourceFile("d.csv", data), DeviceSettings(), notes, problems)
    made = devices.devices(drawn, (), listed, DeviceSettings(), notes, problems)
    for d in made:
        assert d.length_mm > 0
        assert d.width_mm > 0
        assert all(math.isfinite(v) for v in (d.x_mm, d.y_mm, d.angle_deg, d.depth_mm, d.clearance_mm))


@given(data=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
@settings(deadline=None, max_examples=150, derandomize=True)
def test_any_bytes_as_a_device_list(data: bytes) -> None:
    _list(data)
    _list(b"id,kind,x_mm,y_mm\n" + data)
    _list(b"id,kind,x (in),y (ft)\n" + data)


def _mutate(data: bytes, luck: random.Random) -> bytes:
    """Change, drop, repeat or swap lines, values and stretches of a file."""
    lines = data.split(b"\n")
    for _ in range(luck.choice((1, 3, 20))):
        i = luck.randrange(len(lines))
        what = luck.randrange(7)
        if what == 0:
            lines[i] = luck.choice(
                (b"nan", b"1e308", b"-1", b"", b"99999999", b"LINE", b"\xff\xfe", b"INSERT")
            )
        elif what == 1:
            del lines[i : i + luck.choice((1, 2, 30))]
        elif what == 2:
            lines[i:i] = lines[luck.randrange(len(lines)) :][:30]
        elif what == 3:
            j = luck.randrange(len(lines))
            lines[i], lines[j] = lines[j], lines[i]
        elif what == 4:
            lines = lines[: max(2, i)]
        elif what == 5:
            lines[i] = bytes(luck.randrange(256) for _ in range(8))
        else:
            lines[i] = lines[i][::-1]
        lines = lines or [b""]
    return b"\n".join(lines)


@pytest.mark.parametrize("start", range(0, 60, 20))
def test_damaged_drawings(read: Any, start: int) -> None:
    for seed in range(start, start + 20):
        case = read(_mutate(PLAN, random.Random(seed)), LIST)
        assert case.problems or case.plan


def test_damaged_device_lists() -> None:
    for seed in range(300):
        _list(_mutate(LIST, random.Random(seed)))
