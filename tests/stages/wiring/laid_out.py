"""Random pairs of boards with joists and devices, for whatever must hold for any."""

from __future__ import annotations

import math
from typing import Any

import shapely
from hypothesis import strategies as st
from msgspec.structs import replace
from wired import Boards, device, made

from boardwright_stages.joints.settings import JointSettings
from boardwright_timber.model import Joint, Member

KINDS = (("feed", 2, 3000), ("servo", 3, 500), ("point_motor", 3, 2000), ("lamp", 2, 20), ("panel", 25, 1000))


@st.composite
def layouts(draw: Any, boxes: Any, joints: JointSettings | None = None, crowded: bool = False) -> Boards:
    """Two boards side by side, turned and shifted, as deep as may be, with joists and devices anywhere;
    ``crowded``: four to nine devices stand right behind each end besides."""
    width = float(draw(st.integers(300, 700)))
    skew = float(draw(st.integers(-100, 100)))
    long = [float(draw(st.integers(500, 1200))) for _ in range(2)]
    turn = math.radians(draw(st.integers(-180, 180)))
    shift = draw(st.tuples(st.integers(-3000, 3000), st.integers(-3000, 3000)))

    def at(x: float, y: float) -> tuple[float, float]:
        c, s = math.cos(turn), math.sin(turn)
        return (round(shift[0] + c * x - s * y, 6), round(shift[1] + s * x + c * y, 6))

    low, high = at(long[0], 0), at(long[0] + skew, width)
    joint = Joint(id="J01", boards=("A", "B"), start=low, end=high)
    rings = (
        (at(0, 0), low, high, at(0, width)),
        (low, at(sum(long), 0), at(sum(long), width), high),
    )
    each = []
    for n, name in enumerate("AB"):
        start = max(0.0, skew) if n else 0.0
        room = long[n] - 100
        joists = sorted({round(f * room) for f in draw(st.lists(st.floats(0.2, 0.8), max_size=3))})
        apart = [j for k, j in enumerate(joists) if k == 0 or j - joists[k - 1] > 60]
        deep = type(boxes)(depth_mm=draw(st.sampled_from((90.0, 90.0, 70.0, 140.0))))
        built = deep.box(name, rings[n], (joint,), [start + float(j) for j in apart])
        devices = []
        for k in range(draw(st.integers(0, 6))):
            kind, cores, current = draw(st.sampled_from(KINDS))
            x = draw(st.floats(0.15, 0.85)) * long[n] + (long[0] if n else 0.0)
            y = draw(st.floats(0.15, 0.85)) * width
            hung = device(f"{name}{k}", kind, *at(x, y), cores, current)
            devices.append(replace(hung, depth_mm=draw(st.sampled_from((30.0, 12.0, 60.0)))))
        for k in range(draw(st.integers(4, 9)) if crowded else 0):
            share, away = draw(st.floats(0.05, 0.95)), draw(st.integers(25, 90))
            spot = at(long[0] + share * skew + (away if n else -away), share * width)
            hung = device(f"{name}J{k}", "servo", *spot, 3, 500)
            long_mm, depth_mm = draw(st.sampled_from(((90.0, 60.0), (60.0, 30.0), (20.0, 12.0))))
            devices.append(replace(hung, length_mm=long_mm, depth_mm=depth_mm))
        each.append((built, devices))
    return made(*each, joints=joints)


def members_of(on: Boards) -> list[tuple[str, Member, Any]]:
    """Every member with its shape in plan coordinates."""
    found = []
    for b in on.boards:
        for m in (*on.frames[b].members, *on.joists[b].members):
            found.append((b, m, shapely.Polygon([on.boards[b].to_plan(p) for p in m.outline])))
    return found
