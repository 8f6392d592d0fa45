"""Twelve boards to one drawing: any end mates with any end, the board either way round, proved in plan."""

from __future__ import annotations

import math
from typing import Any

import pytest

from boardwright import Notes
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import joint_fixings
from boardwright_stages.wiring.holes import joint_points
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.model import Joint

COPIES, LONG, SAME_MM = 12, 900.0, 0.01

type Hole = tuple[float, float, float, float]  # x and y from the board's middle, z, diameter


def ends_of(boxes: Any, width: float, settings: JointSettings, joists: tuple[float, ...]) -> list[list[Hole]]:
    """Holes of the left and right end of every copy in a row, in axes from each board's own middle."""
    joints = [
        Joint(
            id=f"J{n:02d}",
            boards=(f"M{n:02d}", f"M{n + 1:02d}"),
            start=(LONG * (n + 1), 0.0),
            end=(LONG * (n + 1), width),
        )
        for n in range(COPIES - 1)
    ]
    halves = []
    for n in range(COPIES):
        x = LONG * n
        own = tuple(j for j in joints if f"M{n:02d}" in j.boards)
        ring = ((x, 0.0), (x + LONG, 0.0), (x + LONG, width), (x, width))
        built = boxes.box(f"M{n:02d}", ring, own, joists)
        halves.append(Half(built.board, built.frame, built.joists))
    found = []
    for n, joint in enumerate(joints):
        fixed = joint_fixings(joint, halves[n], halves[n + 1], settings, Notes())
        assert len(fixed) >= 4
        wires = joint_points(joint, halves[n], halves[n + 1], fixed, WiringSettings())
        assert len(wires) == 2
        holes = [(f.along_mm, f.z_mm, f.hole_diameter_mm) for f in fixed] + [(t, z, 22.0) for t, z in wires]
        for side in (LONG / 2, -LONG / 2):  # the right end of the one board, the left end of the next
            found.append([(side, t - width / 2, z, d) for t, z, d in holes])
    return found


def placed(holes: list[Hole], at_x: float, turned: bool) -> list[Hole]:
    """The board with its middle at ``at_x``; ``turned``: round by 180°."""
    sign = -1.0 if turned else 1.0
    return sorted((at_x + sign * x, sign * y, z, d) for x, y, z, d in holes)


@pytest.mark.parametrize(
    ("width", "settings", "joists"),
    [
        (600.0, JointSettings(), (450.0,)),
        (600.0, JointSettings(bolts_per_joint=4), (300.0, 600.0)),
        (500.0, JointSettings(bolt_size="M6", dowels_per_joint=3), ()),
    ],
    ids=["wide", "four bolts", "odd dowels"],
)
def test_any_end_mates_with_any_end(
    boxes: Any, width: float, settings: JointSettings, joists: tuple[float, ...]
) -> None:
    ends = ends_of(boxes, width, settings, joists)
    assert len(ends) == 2 * (COPIES - 1)
    tried = 0
    for one in ends:
        for other in ends:
            # the first end is brought to face right, the second to face left, so both meet at x = 0
            mine = placed(one, -LONG / 2, turned=one[0][0] < 0)
            theirs = placed(other, LONG / 2, turned=other[0][0] > 0)
            assert all(abs(h[0]) <= 1e-9 for h in (*mine, *theirs))
            for a, b in zip(mine, theirs, strict=True):
                assert math.dist(a[:3], b[:3]) <= SAME_MM
                assert a[3] == b[3]
            tried += 1
    assert tried == (2 * (COPIES - 1)) ** 2


def test_a_lopsided_pattern_would_be_seen(boxes: Any) -> None:
    """The proof can fail: one hole 1 mm aside no longer meets its mate on a board turned round."""
    first, second, *_ = ends_of(boxes, 600.0, JointSettings(), (450.0,))
    x, y, z, d = first[0]
    bad = [(x, y + 1.0, z, d), *first[1:]]
    mine, theirs = placed(bad, -LONG / 2, turned=False), placed(second, LONG / 2, turned=False)
    assert max(math.dist(a[:3], b[:3]) for a, b in zip(mine, theirs, strict=True)) == pytest.approx(1.0)
