"""Pen: draws items, keeps account of what covers what, and finds each label a free place.

Draw all lines first and the labels after them: a label only avoids what is already there. A label that
finds no place near its point moves outward, step by step, and gets a leader; at last it goes under the
drawing, with the point's coordinates. What this does not know: what the items stand for.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import pairwise

from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import Point, Ring

from .drawing import (
    Align,
    Arc,
    Box,
    Circle,
    Drawing,
    Item,
    Polyline,
    Role,
    Text,
    arc_points,
    item_box,
    text_width,
)
from .placing import Place
from .placing import at as shifted_by
from .room import Room, crosses, inside
from .tries import beside, centred, directions, leader_to, spots_in

#: Lines of these roles may run under a label when there is no better place; no other line may.
SOFT = frozenset({Role.TRACK, Role.TURNOUT, Role.DEVICE, Role.MEMBER, Role.MARK, Role.FIXING, Role.HATCH})
_SAME_MM = 1e-6
_ROUND_STEPS = 24
#: So many steps a label moves outward before it is written under the drawing instead.
_RINGS = 60
#: So many steps a label looks for clean ground before it may lie across track, members or devices.
_CLEAN = 8
#: Free room left and right, above and below a text, as a share of its height.
_AIR = 0.25


class Pen:
    """``text_mm`` is the usual height of text; every label may ask for another. ``show`` says how lengths are
    written. ``known``: from a place on the drawing to the one its reader knows, where the two differ."""

    def __init__(self, text_mm: float, show: DisplaySettings = IN_MM) -> None:
        self.text_mm, self.show = text_mm, show
        self.known: Place = shifted_by(0.0, 0.0)
        self.room = Room(cell_mm=2 * text_mm)
        self._items: list[Item] = []
        self._extent: Box | None = None
        self._drawn: set[tuple[object, ...]] = set()

    # --- lines --------------------------------------------------------------------------------------------

    def run(
        self,
        role: Role,
        points: Iterable[Point],
        *,
        closed: bool = False,
        rounds: tuple[tuple[float, float, float, float], ...] = (),
    ) -> None:
        """Draw a polyline. Repeated points are dropped; nothing is drawn twice or without length."""
        kept: list[Point] = []
        for p in points:
            if not kept or math.dist(p, kept[-1]) > _SAME_MM:
                kept.append((float(p[0]), float(p[1])))
        while closed and len(kept) > 1 and math.dist(kept[0], kept[-1]) <= _SAME_MM:
            kept.pop()
        if len(kept) < 2:
            return
        item = Polyline(role=role, points=tuple(kept), closed=closed and len(kept) > 2, rounds=rounds)
        if self._keep(item, ("polyline", role, item.closed, _same_whatever_start(kept, item.closed))):
            for a, b in item.segments:
                self.room.add_line(a, b, role not in SOFT)

    def line(self, role: Role, a: Point, b: Point) -> None:
        self.run(role, (a, b))

    def ring(
        self,
        role: Role,
        points: Iterable[Point],
        rounds: tuple[tuple[float, float, float, float], ...] = (),
    ) -> None:
        self.run(role, points, closed=True, rounds=rounds)

    def circle(self, role: Role, centre: Point, radius_mm: float) -> None:
        item = Circle(role=role, x_mm=centre[0], y_mm=centre[1], radius_mm=radius_mm)
        if radius_mm > 0 and self._keep(item, ("circle", role, *map(_micron, (*centre, radius_mm)))):
            self.room.add_circle(centre, radius_mm, role not in SOFT)

    def arc(self, role: Role, centre: Point, radius_mm: float, start_deg: float, end_deg: float) -> None:
        item = Arc(
            role=role,
            x_mm=centre[0],
            y_mm=centre[1],
            radius_mm=radius_mm,
            start_deg=start_deg,
            end_deg=end_deg,
        )
        key = ("arc", role, *map(_micron, (*centre, radius_mm, start_deg, end_deg)))
        if radius_mm > 0 and self._keep(item, key):
            for a, b in pairwise(arc_points(item, _ROUND_STEPS)):
                self.room.add_line(a, b, role not in SOFT)

    # --- text ---------------------------------------------------------------------------------------------

    def write(
        self,
        text: str,
        at: Point,
        *,
        height_mm: float | None = None,
        align: Align = Align.LEFT,
        angle_deg: float = 0.0,
        role: Role = Role.TEXT,
    ) -> Text:
        """Write a line of text at a known place, standing on ``at``."""
        item = Text(
            role=role,
            x_mm=at[0],
            y_mm=at[1],
            height_mm=height_mm or self.text_mm,
            text=text,
            align=align,
            angle_deg=angle_deg,
        )
        if text:
            self._add(item)
        return item

    def label_at(self, candidates: Iterable[Text], *, soft_too: bool = True) -> bool:
        """Write the first candidate that lies free; answer whether there was one."""
        for item in candidates:
            if self.room.free(item.box, soft_too=soft_too):
                self._add(item)
                return True
        return False

    def label_beside(
        self,
        text: str,
        at: Point,
        *,
        clear_mm: float = 0.0,
        height_mm: float | None = None,
        role: Role = Role.TEXT,
        leader: bool = False,
    ) -> None:
        """Write near a point, ``clear_mm`` off it at least; with a leader if asked, or if it had to move.
        Where there is no room at all it stands under the drawing, its place in words."""
        h = height_mm or self.text_mm
        if not self.written_beside(text, at, clear_mm, h, role, leader=leader):
            x, y = self.known(at)
            place = f"{text} (at {x:.0f}, {y:.0f})"
            self.write(place, (at[0], self.extent.bottom - 2 * h), height_mm=h, role=role)

    def written_beside(
        self,
        text: str,
        at: Point,
        clear_mm: float,
        h: float,
        role: Role,
        *,
        leader: bool = False,
        clean_only: bool = False,
        rings: int = _RINGS,
    ) -> bool:
        """Write near a point as ``label_beside`` does, or not at all; answer whether there was room.
        ``clean_only``: clear of all lines. ``rings``: so many steps off at most."""
        near = clear_mm + 0.5 * h
        clean = [(ring, (True,)) for ring in range(min(_CLEAN, rings))]
        wider = [] if clean_only else [(ring, (True, False)) for ring in range(1, rings)]
        in_the_way: dict[Point, Box] = {}
        for ring, ways in [*clean, *wider]:
            reach = near + ring * 0.9 * h
            places = []  # clear of text and hard lines, with the leader there is or need not be
            for d in directions(8 if ring < 3 else 24):
                item = beside(text, at, d, reach, h, role)
                way = leader_to(at, d, clear_mm, item.box) if leader or ring > 1 else None
                # what stopped a leader this way before mostly stops the longer one
                if way and d in in_the_way and crosses(way, in_the_way[d]):
                    continue
                if not self.room.free(item.box, soft_too=False):
                    continue
                if way and (other := self.room.text_on(*way)):
                    in_the_way[d] = other
                    continue
                places.append((item, way))
            for soft_too in ways:
                for item, way in places:
                    if soft_too and not self.room.free(item.box, soft_too=True):
                        continue
                    if way:
                        self.line(Role.DIMENSION, *way)
                    self._add(item)
                    return True
        return False

    def label_along(
        self,
        text: str,
        a: Point,
        b: Point,
        *,
        clear_mm: float = 0.0,
        height_mm: float | None = None,
        role: Role = Role.TEXT,
        beyond: bool = False,
    ) -> None:
        """Write along the line from ``a`` to ``b``, ``clear_mm`` off it, on either side; else beside it.
        With ``beyond`` rather past one of its ends, or near it with a leader, than across tracks and so on.
        """
        h = height_mm or self.text_mm
        angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 180.0
        turn = angle - 180.0 if angle > 90.0 + 1e-9 else angle
        up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
        long, wide = math.dist(a, b), text_width(text, h)

        def at(share: float, rise: float) -> Text:
            return Text(
                role=role,
                x_mm=a[0] + (b[0] - a[0]) * share + up[0] * rise,
                y_mm=a[1] + (b[1] - a[1]) * share + up[1] * rise,
                height_mm=h,
                text=text,
                align=Align.CENTRE,
                angle_deg=turn,
            )

        shares = (0.5, 0.35, 0.65, 0.2, 0.8) if wide < 0.95 * long else ()
        rises = (clear_mm + 0.4 * h, -clear_mm - 1.2 * h)
        places = [at(share, rise) for share in shares for rise in rises]
        off = (wide / 2 + clear_mm + 0.5 * h) / long
        past = [at(share, -0.35 * h) for share in (-off, 1 + off)] if beyond else []
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if (
            self.label_at(places)
            or self.label_at(past)
            or (beyond and self.written_beside(text, middle, clear_mm, h, role, clean_only=True))
            or self.label_at(places, soft_too=False)
        ):
            return
        self.label_beside(text, middle, clear_mm=clear_mm, height_mm=h, role=role)

    def label_inside(
        self,
        text: str,
        ring: Ring,
        *,
        wells: Sequence[Ring] = (),
        height_mm: float | None = None,
        smallest: float = 0.5,
        role: Role = Role.TEXT,
        in_any_size: bool = False,
    ) -> None:
        """Write inside a ring that is already drawn, smaller or turned upright if need be; else beside it;
        else inside and smaller still, which comes first ``in_any_size``: among many small rings no leader
        finds its way."""
        full = height_mm or self.text_mm
        box = item_box(Polyline(role=role, points=ring, closed=True))
        spots = spots_in(box, full / 4)
        angles = (0.0, 90.0) if box.width >= box.height / 2 else (90.0, 0.0)

        @cache
        def within(p: Point) -> bool:
            return inside(p, ring) and not any(inside(p, w) for w in wells)

        def written(sizes: Sequence[float]) -> bool:
            for soft_too in (True, False):
                for h, angle, p in self._inside_places(
                    text, box, spots, within, sizes, angles, role, soft_too=soft_too
                ):
                    self._add(centred(text, p, h, angle, role))
                    return True
            return False

        sizes = [full * (1 - (1 - smallest) * i / 4) for i in range(5)]
        tiny = [sizes[-1] * share for share in (0.8, 0.6, 0.4, 0.3)]
        if written(sizes) or (in_any_size and written(tiny)):
            return
        ground = [p for p in spots if within(p)] or [ring[0]]
        at = next((p for p in ground if self.room.clear_of_text(p)), ground[0])  # a leader may begin here
        if self.written_beside(text, at, 0.0, sizes[-1], role, leader=True):
            return
        if in_any_size or not written(tiny):
            self.label_beside(text, at, height_mm=sizes[-1], role=role, leader=True)

    def _inside_places(
        self,
        text: str,
        box: Box,
        spots: Sequence[Point],
        within: Callable[[Point], bool],
        sizes: Sequence[float],
        angles: Sequence[float],
        role: Role,
        *,
        soft_too: bool,
    ) -> Iterator[tuple[float, float, Point]]:
        """Free places for a text, the largest size first. Where the smallest finds no room no other does."""

        def free(h: float, angle: float, among: Sequence[Point]) -> Iterator[Point]:
            long, short = (box.width, box.height) if angle == 0 else (box.height, box.width)
            if text_width(text, h) > long or h * 1.35 > short:
                return
            at_zero = centred(text, (0.0, 0.0), h, angle, role).box
            for p in among:
                here = at_zero.moved(*p)
                if box.holds(here) and within(p) and self.room.free(here, soft_too=soft_too):
                    yield p

        for angle in angles:
            yield from ((sizes[0], angle, p) for p in free(sizes[0], angle, spots))
        roomy = {angle: tuple(free(sizes[-1], angle, spots)) for angle in angles}
        for h in sizes[1:]:
            for angle in angles:
                yield from ((h, angle, p) for p in free(h, angle, roomy[angle]))

    @property
    def empty(self) -> bool:
        return not self._items

    # --- the finished drawing -----------------------------------------------------------------------------

    @property
    def extent(self) -> Box:
        """The rectangle round everything drawn so far."""
        return self._extent or Box(0.0, 0.0, 1.0, 1.0)

    def drawing(self, title: str) -> Drawing:
        return Drawing(title=title, frame=self.extent.grown(self.text_mm), items=tuple(self._items))

    def _add(self, item: Item) -> None:
        """Other text keeps off a text and a little air around it."""
        box = item_box(item)
        self._items.append(item)
        self._extent = self._extent.with_(box) if self._extent else box
        if isinstance(item, Text):
            self.room.add_text(box.grown(_AIR * item.height_mm))

    def _keep(self, item: Item, key: tuple[object, ...]) -> bool:
        if key in self._drawn:
            return False
        self._drawn.add(key)
        self._add(item)
        return True


def _micron(x: float) -> int:
    return round(x * 1e6)


def _same_whatever_start(points: Sequence[Point], closed: bool) -> tuple[tuple[int, int], ...]:
    """One spelling for a run drawn from either end, or a ring from any corner and either way."""
    run = [(_micron(x), _micron(y)) for x, y in points]
    if not closed:
        return tuple(min(run, run[::-1]))
    first = run.index(min(run))
    run = run[first:] + run[:first]
    return tuple(min(run, [run[0], *run[:0:-1]]))
