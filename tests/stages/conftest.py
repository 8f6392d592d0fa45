"""Hand-made boards for the tests of joints, wiring, parts and checks: box frames on four-cornered boards."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import pytest

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Board, Frame, Joint, Joists, Member, MemberRole


@dataclass(frozen=True)
class Made:
    """A board with its frame and joists."""

    board: Board
    frame: Frame
    joists: Joists


@dataclass(frozen=True)
class BoxMaker:
    """Box frames in 12 mm ply, 90 mm deep, whose sides run through and whose ends fit between them.

    ``ring`` is four plan points, anticlockwise, first side first; joists stand square to the first side.
    ``ends_through`` turns it round: the ends run through and the sides fit between.
    """

    thickness_mm: float = 12.0
    depth_mm: float = 90.0

    def box(
        self,
        name: str,
        ring: Ring,
        joints: tuple[Joint, ...] = (),
        joists_at: Iterable[float] = (),
        ends_through: bool = False,
        end_edges: tuple[int, ...] = (1, 3),
    ) -> Made:
        origin, along = ring[0], ring[1]
        angle = math.degrees(math.atan2(along[1] - origin[1], along[0] - origin[0]))
        frameless = Board(
            id=name,
            outline="O1",
            level_mm=0.0,
            ring=ring,
            origin=origin,
            angle_deg=angle,
            length_mm=1,
            width_mm=1,
        )
        local = [frameless.to_local(p) for p in ring]
        low = (min(x for x, _ in local), min(y for _, y in local))
        board = Board(
            id=name,
            outline="O1",
            level_mm=0.0,
            ring=ring,
            origin=frameless.to_plan(low),
            angle_deg=angle,
            length_mm=max(x for x, _ in local) - low[0],
            width_mm=max(y for _, y in local) - low[1],
            joints=tuple(sorted(joints, key=lambda j: j.id)),
        )
        outer = tuple((x - low[0], y - low[1]) for x, y in local)
        frame, joists = self.frame(name, outer, tuple(joists_at), ends_through, end_edges)
        return Made(board, frame, joists)

    def frame(
        self,
        name: str,
        outer: Ring,
        joists_at: tuple[float, ...],
        ends_through: bool,
        end_edges: tuple[int, ...],
    ) -> tuple[Frame, Joists]:
        t = self.thickness_mm
        lines = [(a, b) for a, b in zip(outer, outer[1:] + outer[:1], strict=True)]
        inner_lines = [shifted(a, b, t) for a, b in lines]
        members = []
        for n, (line, inside) in enumerate(zip(lines, inner_lines, strict=True)):
            before, after = (n - 1) % 4, (n + 1) % 4
            runs_through = (n % 2 == 1) is ends_through
            at_left = lines[before] if runs_through else inner_lines[before]
            at_right = lines[after] if runs_through else inner_lines[after]
            members.append(
                Member(
                    id=f"{name}-{'E' if n in end_edges else 'S'}{n}",
                    role=MemberRole.END if n in end_edges else MemberRole.SIDE,
                    outer_start=meet(line, at_left),
                    outer_end=meet(line, at_right),
                    inner_start=meet(inside, at_left),
                    inner_end=meet(inside, at_right),
                    thickness_mm=t,
                    depth_mm=self.depth_mm,
                    material="birch ply",
                )
            )
        inner = tuple(meet(inner_lines[n - 1], inner_lines[n]) for n in range(4))
        joists = []
        for k, x in enumerate(joists_at, 1):
            right, left = ((x + t / 2, 0.0), (x + t / 2, 1.0)), ((x - t / 2, 0.0), (x - t / 2, 1.0))
            joists.append(
                Member(
                    id=f"{name}-J{k}",
                    role=MemberRole.JOIST,
                    outer_start=meet(right, inner_lines[0]),
                    outer_end=meet(right, inner_lines[2]),
                    inner_start=meet(left, inner_lines[0]),
                    inner_end=meet(left, inner_lines[2]),
                    thickness_mm=t,
                    depth_mm=self.depth_mm,
                    material="birch ply",
                )
            )
        return (
            Frame(board=name, outer=outer, inner=inner, members=tuple(members)),
            Joists(board=name, members=tuple(joists), spacing_mm=300.0, limit_mm=400.0),
        )


def shifted(a: Point, b: Point, by: float) -> tuple[Point, Point]:
    """The line through a and b moved to its left."""
    length = math.dist(a, b)
    nx, ny = -(b[1] - a[1]) / length * by, (b[0] - a[0]) / length * by
    return (a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny)


def meet(p: tuple[Point, Point], q: tuple[Point, Point]) -> Point:
    """Where two lines cross."""
    (x1, y1), (x2, y2) = p
    (x3, y3), (x4, y4) = q
    d = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    a, b = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    return ((a * (x3 - x4) - (x1 - x2) * b) / d, (a * (y3 - y4) - (y1 - y2) * b) / d)


@pytest.fixture(scope="session")
def boxes() -> BoxMaker:
    return BoxMaker()


@pytest.fixture(scope="session")
def straight_pair(boxes: BoxMaker) -> Callable[..., tuple[Made, Made]]:
    """Boards A (left) and B (right), 600 wide, joined at x = 1000 by J01, with the joists asked for.

    Travelling from (1000, 0) to (1000, 600), A lies on the left.
    """

    def make(
        width: float = 600.0, joists_a: Iterable[float] = (350.0, 650.0), joists_b: Iterable[float] = (500.0,)
    ) -> tuple[Made, Made]:
        joint = Joint(id="J01", boards=("A", "B"), start=(1000.0, 0.0), end=(1000.0, width))
        a = boxes.box("A", ((0, 0), (1000, 0), (1000, width), (0, width)), (joint,), joists_a)
        b = boxes.box("B", ((1000, 0), (2000, 0), (2000, width), (1000, width)), (joint,), joists_b)
        return a, b

    return make
