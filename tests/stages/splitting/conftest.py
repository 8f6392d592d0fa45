"""Plans made in the test, and what must hold for every splitting."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest
import shapely

from boardwright import Finding, Notes
from boardwright.plan.model import Outline, Ring, TrackPlan
from boardwright.plan.reading import read_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_timber.model import Board, Joint, Splitting
from boardwright_timber.model.made import HeldJoints, MadeBoard, MadeJoint

type PlanOf = Callable[..., TrackPlan]
type Cut = Callable[..., tuple[Splitting, list[Finding]]]
type Sound = Callable[[TrackPlan, Splitting, list[Finding], SplittingSettings], None]

FIXTURES = Path(__file__).parents[3] / "fixtures"
CLEAR = {"BW-SPLIT-002", "BW-SPLIT-003", "BW-SPLIT-004"}


def make_plan(ring: Ring, wells: tuple[Ring, ...] = (), **more: Any) -> TrackPlan:
    outlines = (Outline(id="A", ring=ring, wells=wells), *more.pop("outlines", ()))
    return TrackPlan(name="Test", drawing_file="test.dxf", scale_ratio=76.2, outlines=outlines, **more)


def split_soundly(plan: TrackPlan, **settings: float) -> tuple[Splitting, list[Finding]]:
    """Split, and check what must hold whatever the plan."""
    wanted, notes = SplittingSettings(**settings), Notes()
    made = split(plan, wanted, notes)
    assert_sound(plan, made, notes.findings, wanted)
    return made, notes.findings


def assert_sound(
    plan: TrackPlan, made: Splitting, findings: list[Finding], settings: SplittingSettings
) -> None:
    _tiles(plan, made)
    _limits(made, findings, settings)
    for joint in made.joints:
        _meets_both(made, joint)
    _keeps_away(plan, made, findings, settings)
    _rails_and_bolts(plan, made, findings, settings)


def _rails_and_bolts(
    plan: TrackPlan, made: Splitting, findings: list[Finding], settings: SplittingSettings
) -> None:
    """Joints have room for bolts, are crossed squarely enough and end clear of rails, or it is said."""

    def said(code: str, joint: Joint) -> bool:
        return any(p.item == joint.id for f in findings if f.code == code for p in f.where)

    shortest = settings.settled(JointSettings()).shortest_joint_mm or 0.0
    end_clear = settings.rail_mm(plan.scale_ratio) + settings.rail_end_clear_mm
    level_of = {b.id: b.level_mm for b in made.boards}
    for joint in made.joints:
        assert joint.length_mm >= shortest - 0.02 or said("BW-SPLIT-010", joint)
        line = shapely.LineString([joint.start, joint.end])
        d = (np.array(joint.end) - np.array(joint.start)) / joint.length_mm
        for track in plan.at_level(level_of[joint.boards[0]]).tracks:
            for a, b in pairwise(track.points):
                leg = shapely.LineString((a, b))
                hit = leg.intersection(line)
                if hit.geom_type == "Point" and min(math.dist(p, hit.coords[0]) for p in (a, b)) > 3:
                    along = (np.array(b) - np.array(a)) / leg.length
                    off = math.degrees(math.asin(min(1.0, abs(float(along @ d)))))
                    assert off <= settings.max_off_square_deg + 0.1 or said("BW-SPLIT-008", joint)
                for end in (joint.start, joint.end) if settings.rail_end_clear_mm else ():
                    away = leg.distance(shapely.Point(end))
                    assert away >= end_clear - 0.02 or said("BW-SPLIT-018", joint)


def _tiles(plan: TrackPlan, made: Splitting) -> None:
    """Boards cover each outline and nothing else, once: area error and overlap within 1 mm²."""
    for outline in plan.outlines:
        whole = shapely.Polygon(outline.ring, outline.wells)
        areas = [shapely.Polygon(b.ring, b.wells) for b in made.boards if b.outline == outline.id]
        strips = [
            shapely.LineString((j.start, j.end)).buffer(b.clear_mm, cap_style="square")
            for b in made.boards
            if b.outline == outline.id and b.clear_mm
            for j in b.joints
        ]  # a lift-out stands back from its joints: what no board covers there is its clearance
        areas.append(
            shapely.intersection(shapely.union_all(strips), whole).difference(shapely.union_all(areas))
        )
        assert all(a.is_valid for a in areas)
        assert abs(sum(a.area for a in areas) - whole.area) <= 1.0
        assert shapely.symmetric_difference(shapely.union_all(areas, grid_size=1e-6), whole).area <= 1.0
    assert [b.id for b in made.boards] == sorted(b.id for b in made.boards)
    assert [j.id for j in made.joints] == sorted(j.id for j in made.joints)


def _limits(made: Splitting, findings: list[Finding], settings: SplittingSettings) -> None:
    stuck = {p.board for f in findings if f.code == "BW-SPLIT-001" for p in f.where}
    for board in made.boards:
        local = np.array([board.to_local(p) for p in board.ring])
        assert np.allclose(local.min(axis=0), 0, atol=1e-4)
        assert np.allclose(local.max(axis=0), (board.length_mm, board.width_mm), atol=1e-4)
        assert board.width_mm <= board.length_mm + 0.01 + 1e-6
        assert 0.0 <= board.angle_deg < 180.0
        if board.id in stuck:
            continue
        long, short = settings.box_mm
        assert board.length_mm <= long + 0.02
        assert board.width_mm <= short + 0.02
        smallest = shapely.oriented_envelope(shapely.Polygon(board.ring)).area
        assert board.length_mm * board.width_mm <= 1.02 * smallest + 1.0


def _meets_both(made: Splitting, joint: Any) -> None:
    """The joint is on both boards' boundary, the first board on its left; the boards know it."""
    first, second = ({b.id: b for b in made.boards}[name] for name in joint.boards)
    assert joint.boards[0] < joint.boards[1]
    for board in (first, second):
        assert joint in board.joints
        own = shapely.LineString(board.face(joint))
        edge = shapely.boundary(shapely.Polygon(board.ring, board.wells))
        assert (
            shapely.hausdorff_distance(shapely.intersection(own.buffer(1e-3), edge), own)
            < 0.01 + board.clear_mm
        )
    d = (np.array(joint.end) - np.array(joint.start)) / joint.length_mm
    middle = (np.array(joint.end) + np.array(joint.start)) / 2
    left = np.array((-d[1], d[0]))
    inside = min(0.01, joint.length_mm / 4)
    on_left, on_right = (middle + (inside + b.clear_mm) * left * s for b, s in ((first, 1), (second, -1)))
    assert shapely.Polygon(first.ring, first.wells).distance(shapely.Point(on_left)) < 1e-3
    assert shapely.Polygon(second.ring, second.wells).distance(shapely.Point(on_right)) < 1e-3


def _keeps_away(
    plan: TrackPlan, made: Splitting, findings: list[Finding], settings: SplittingSettings
) -> None:
    said = {p.item for f in findings if f.code in CLEAR for p in f.where}
    level_of = {b.id: b.level_mm for b in made.boards}
    for joint in made.joints:
        line = shapely.LineString([joint.start, joint.end])
        here = plan.at_level(level_of[joint.boards[0]])
        for turnout in here.turnouts:
            clear = line.distance(shapely.Polygon(turnout.ring)) >= settings.turnout_clear_mm - 1e-3
            assert clear or joint.id in said
        for ring in [d.keepout() for d in here.devices] + [o.ring for o in here.obstacles]:
            clear = line.distance(shapely.Polygon(ring)) >= settings.device_clear_mm - 1e-3
            assert clear or joint.id in said


@pytest.fixture
def plan_of() -> PlanOf:
    """plan_of(ring, wells=(), **parts of a TrackPlan)"""
    return make_plan


@pytest.fixture
def cut() -> Cut:
    """cut(plan, **settings) → splitting and findings, checked to be sound."""
    return split_soundly


def read_fixture(case: str) -> tuple[TrackPlan, dict[str, Any]]:
    """The track plan of a case of ``fixtures/`` and its table of splitting."""
    folder = FIXTURES / case
    table = tomllib.loads((folder / "layout.toml").read_text(encoding="utf-8"))
    plan = read_plan(
        SourceFile("plan.dxf", (folder / "plan.dxf").read_bytes()),
        SourceFile("devices.csv", (folder / "devices.csv").read_bytes()),
        msgspec.convert(table["drawing"], DrawingSettings),
        msgspec.convert(table["devices"], DeviceSettings),
        case,
        Notes(),
    )
    return plan, table["splitting"]


@pytest.fixture
def read() -> Callable[[str], tuple[TrackPlan, dict[str, Any]]]:
    """read(case) → plan and splitting table of a fixture."""
    return read_fixture


def joints_of(splitting: Splitting, name: str, with_edge: bool = False) -> HeldJoints:
    """As ``made.json`` holds them once something of a board is made; ``with_edge``: and the board itself."""
    (board,) = (b for b in splitting.boards if b.id == name)
    own = {j.id for j in board.joints}
    return HeldJoints(
        tuple(
            MadeJoint(id=j.id, start=j.start, end=j.end, level_mm=board.level_mm)
            for j in splitting.joints
            if j.id in own
        ),
        "made.json",
        (_made(board),) if with_edge else (),
    )


def _made(board: Board) -> MadeBoard:
    x, y = board.to_plan((board.length_mm / 2, board.width_mm / 2))
    return MadeBoard(id=board.id, x_mm=x, y_mm=y, level_mm=board.level_mm, ring=board.ring)


@pytest.fixture(scope="session")
def held_of() -> Callable[..., HeldJoints]:
    return joints_of
