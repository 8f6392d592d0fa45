"""Whatever two boards and their devices look like: every device reaches its source, through holes alone."""

from __future__ import annotations

import math
import os
from itertools import pairwise
from typing import Any

import shapely
from hypothesis import given, settings
from laid_out import layouts, members_of
from wired import Boards, schedule

from boardwright_stages.wiring.network_settings import WireSettings
from boardwright_timber.model import WireKind, WireSchedule

EXAMPLES = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 40


def prove(on: Boards, answer: WireSchedule) -> None:
    drilled = {(h.member, h.along_mm): h for w in on.wiring.values() for h in w.holes}
    wood = members_of(on)
    for run in answer.runs:
        if run.kind is WireKind.DROPPER:
            continue
        reached(run)
        for leg in run.legs:
            through(leg, wood, drilled)
    own = {d for p in on.plans.values() for d in p.own_devices}
    wired = {d for r in answer.runs for d in (*r.devices, r.source)} | set(answer.off)
    lonely = {d for d in own - wired if len(own) > 1}
    # alone on an island of its own, or a controller that nothing leads to and that feeds itself
    assert all(lone(on, d, own - set(answer.off)) for d in lonely), lonely


def lone(on: Boards, name: str, others: set[str]) -> bool:
    kinds = {d.id: d.kind for p in on.plans.values() for d in p.devices}
    unjoined = not any(h.joint for w in on.wiring.values() for h in w.holes)
    return unjoined or all(o == name or kinds[o] == kinds[name] for o in others)


def reached(run: Any) -> None:
    """The legs lead from the source to every device without a gap."""
    joined = {run.source}
    for leg in run.legs:
        joined |= {leg.start, leg.end} if leg.start in joined else set()
    assert set(run.devices) <= joined, run.id
    assert all(leg.start in joined for leg in run.legs), run.id


def through(leg: Any, wood: list[Any], drilled: dict[Any, Any]) -> None:
    """A leg crosses wood only at the holes it names, and those are drilled."""
    line = shapely.LineString(leg.points) if len(leg.points) > 1 else shapely.Point(leg.points[0])
    named = {member for member, _ in leg.holes}
    for board, member, shape in wood:
        if board != leg.board:
            continue
        crossed = line.intersection(shape.buffer(-0.1)).length
        if member.id not in named:
            assert crossed < 0.1, (leg, member.id)
    for key in leg.holes:
        assert key in drilled, key


def test_devices_reach_their_source_through_drilled_holes(boxes: Any) -> None:
    @settings(deadline=None, max_examples=EXAMPLES, derandomize=True)
    @given(layouts(boxes))
    def run(on: Boards) -> None:
        answer = schedule(on, WireSettings())
        prove(on, answer)
        in_the_wood(on)

    run()


def in_the_wood(on: Boards) -> None:
    """Every wire hole lies in its member, at least its radius from every edge and a diameter from an end."""
    members = {m.id: m for _, m, _ in members_of(on)}
    for drilled in on.wiring.values():
        for hole in drilled.holes:
            m = members[hole.member]
            r = hole.diameter_mm / 2
            assert -hole.z_mm - r >= r
            assert m.depth_mm + hole.z_mm - r >= r
            assert hole.along_mm - r >= r - 1e-6
            assert m.length_mm - hole.along_mm - r >= r - 1e-6
    mates = [h for w in on.wiring.values() for h in w.holes if h.joint]
    for one, other in pairwise(sorted(mates, key=lambda h: (h.x_mm, h.y_mm))):
        apart = math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm))
        assert apart <= 0.01 or apart >= 2 * one.diameter_mm
