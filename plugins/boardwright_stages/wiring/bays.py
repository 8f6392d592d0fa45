"""Bays: the rooms a frame and its joists divide a board into, and the wire holes that join them.

The board's space inside its frame, less wells and members, falls into bays. A hole through a joist joins two
bays; a hole through a joint joins a bay to the outside. A device is reached when its bay leads outside.

What this does not know: wires brought up over a board's edge, and wires through the sides of wells.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Frame, Member, MemberRole

from .holes import outer_point

if TYPE_CHECKING:
    from shapely import Polygon

type Node = int | str

#: Wires pass below risers and over girders; a bay does not end there.
LEAVE_ROOM = frozenset({MemberRole.RISER, MemberRole.GIRDER, MemberRole.FLANGE})
SLIVER_MM2 = 100.0  # smaller than a square centimetre is a gap, not a bay
TOUCH_MM = 0.02  # members this near each other touch
STEP_MM = 1.0  # how far outside a member a hole's mouth is looked for


class Passage(msgspec.Struct, frozen=True):
    """A hole at ``along_mm`` of ``member``; ``joint`` when it leads out of the board."""

    member: Member
    along_mm: float
    joint: str | None


class Bays:
    """The bays of one board (local coordinates), numbered from left to right."""

    def __init__(self, frame: Frame, members: Iterable[Member]) -> None:
        import shapely

        solid = [shapely.Polygon(m.outline) for m in members if m.role not in LEAVE_ROOM]
        solid += [shapely.Polygon(ring) for ring in frame.wells]
        wood = shapely.union_all(solid).buffer(TOUCH_MM, join_style="mitre")
        free = shapely.Polygon(frame.bed.room if frame.bed else frame.inner).difference(wood)
        pieces = [p for p in shapely.get_parts(free) if p.geom_type == "Polygon" and p.area > SLIVER_MM2]
        self.shapes: list[Polygon] = sorted(pieces, key=lambda p: tuple(round(c, 3) for c in p.bounds))

    def at(self, point: Point) -> int | None:
        import shapely

        where = shapely.Point(point)
        return next((n for n, shape in enumerate(self.shapes) if shape.intersects(where)), None)

    def under(self, ring: Ring) -> int | None:
        """The bay that holds most of a shape; None when it touches no bay."""
        import shapely

        shape = shapely.Polygon(ring)
        areas = [shape.intersection(bay).area for bay in self.shapes]
        best = max(range(len(areas)), key=lambda n: (areas[n], -n), default=None)
        if best is None or areas[best] <= 0:
            return self.at((sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)))
        return best

    def joined_by(self, passages: Iterable[Passage]) -> Rooms:
        """What the holes join; a hole whose mouth meets no bay joins nothing."""
        beside: dict[Node, set[Node]] = {bay: set() for bay in range(len(self.shapes))}
        for passage in passages:
            outside, inside = mouths(passage.member, passage.along_mm)
            here = passage.joint if passage.joint is not None else self.at(outside)
            there = self.at(inside)
            if here is not None and there is not None:
                beside.setdefault(here, set()).add(there)
                beside[there].add(here)
        return Rooms(beside)


class Rooms:
    """Bays (by number) and joints (by id), and which of them a wire can go between."""

    def __init__(self, beside: Mapping[Node, set[Node]]) -> None:
        self._beside = beside

    def knows(self, node: Node) -> bool:
        return node in self._beside

    def reach(self, node: Node) -> frozenset[Node]:
        """Everything a wire starting at ``node`` can get to."""
        reached, todo = {node}, [node]
        while todo:
            fresh = self._beside[todo.pop()] - reached
            reached |= fresh
            todo.extend(fresh)
        return frozenset(reached)


def mouths(member: Member, along_mm: float) -> tuple[Point, Point]:
    """Points just outside the outer and the inner end of a hole."""
    x, y = outer_point(member, along_mm)
    dx, dy = member.direction
    through = member.thickness_mm + STEP_MM
    return ((x + dy * STEP_MM, y - dx * STEP_MM), (x - dy * through, y + dx * through))
