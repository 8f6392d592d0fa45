"""A frame as a net of beams: where its members meet, and how each is cut into short beams.

Claim: every member is a chain of beams along its centreline, as stiff as its wood with its real holes out; of
a sandwich that are its two skins, which bend about one axis, Σ E·t·h³/12; blocks end, so they are left out.
Where an end stands against another member, the two share a node; the butted end passes no bending on (screws
in end grain), mitred ends do (glue and gusset). A well's side that is glued along a joist or noggin is
taken to lie on its line, and shares its ends with it.

Glossary
    station   distance along a member's centreline from its start
    net I     what is left of a section's second moment of area at a hole

What this does not know: the deck, but where it is asked to count (``topping``). Screwed on without glue it
adds little (EN 1995-1-1 Annex B); left out, that is on the safe side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple, Protocol

from boardwright.plan.model import Point
from boardwright_timber.beams import Flat, built_up_stiffness_nmm2
from boardwright_timber.geometry import line_through, meet
from boardwright_timber.model import Hole, HoleKind, Member, MemberRole, Part
from boardwright_timber.reference import strength_row
from boardwright_timber.reference.strengths import Strength

from .grillage import Beam

MESH_MM = 40.0
SAME_MM = 0.5
MITRE_MM = 0.1
SHEAR_SHARE = 5 / 6  # of a rectangle, by textbook


class Place(NamedTuple):
    """A point on a member's centreline."""

    member: int
    station: float


class Piece(NamedTuple):
    """What a beam is made of: its member, its net section modulus (mm³) and net shear area (mm²)."""

    member: int
    modulus_mm3: float
    area_mm2: float


class Net(NamedTuple):
    points: list[Point]
    beams: list[Beam]
    pieces: list[Piece]
    node_of: dict[Place, int]


class Topping(Protocol):
    """What lies on members and stiffens them."""

    def on(self, member: Member, length_mm: float, stations: Sequence[float]) -> tuple[float, float] | None:
        """EI of member and deck together (N·mm²), and the share of the bare member's bending stress that is
        left at its lower edge; None: nothing lies on it. ``stations``: of what holds the member."""
        ...


class Line(NamedTuple):
    """A member's centreline."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    def at(self, station: float) -> Point:
        share = station / self.length
        return (
            self.start[0] + share * (self.end[0] - self.start[0]),
            self.start[1] + share * (self.end[1] - self.start[1]),
        )

    def nearest(self, p: Point) -> tuple[float, float]:
        """Station nearest to ``p``, and how far off it is."""
        ux, uy = (self.end[0] - self.start[0]) / self.length, (self.end[1] - self.start[1]) / self.length
        s = (p[0] - self.start[0]) * ux + (p[1] - self.start[1]) * uy
        s = min(max(s, 0.0), self.length)
        return s, math.dist(p, self.at(s))


def centreline(m: Member) -> Line:
    def mid(a: Point, b: Point) -> Point:
        return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)

    return Line(mid(m.outer_start, m.inner_start), mid(m.outer_end, m.inner_end))


def net_of(
    members: tuple[Member, ...],
    parts: dict[str, Part],
    wanted: list[Place],
    flanges: tuple[Member, ...] = (),
    topping: Topping | None = None,
) -> Net:
    """The net of a frame; every place in ``wanted`` gets a node. ``flanges`` stiffen the girders below."""
    drawn = [centreline(m) for m in members]
    flush = _flush(members, drawn)
    tips = _tips(members, drawn, {*flush, *((j, i) for i, j in flush)})
    lines = [
        _reaching(line, drawn, tips.get((i, False)), tips.get((i, True))) for i, line in enumerate(drawn)
    ]
    for i, j in flush:
        lines[i] = Line(*(lines[j].at(lines[j].nearest(p)[0]) for p in (lines[i].start, lines[i].end)))
    stations: list[list[float]] = [[0.0, line.length] for line in lines]
    joins: list[tuple[Place, Place]] = []
    butted: set[Place] = set()
    for (i, at_end), (j, off) in tips.items():
        own = Place(i, lines[i].length if at_end else 0.0)
        through, _ = lines[j].nearest(lines[i].end if at_end else lines[i].start)
        stations[j].append(through)
        joins.append((own, Place(j, through)))
        if off > MITRE_MM:
            butted.add(own)
    for i, j in _stacked(members, flanges):
        if (at := _crossing(lines[i], lines[j])) is not None:
            stations[i].append(at[0])
            stations[j].append(at[1])
            joins.append((Place(i, at[0]), Place(j, at[1])))
    for i, j in flush:
        for here, at in ((0.0, lines[i].start), (lines[i].length, lines[i].end)):
            there = lines[j].nearest(at)[0]
            stations[j].append(there)
            joins.append((Place(i, here), Place(j, there)))
    moved = {p: Place(p.member, lines[p.member].nearest(drawn[p.member].at(p.station))[0]) for p in wanted}
    for place in moved.values():
        stations[place.member].append(place.station)
    net = _meshed(members, parts, lines, stations, joins, butted, list(moved.values()), flanges, topping)
    return net._replace(node_of={p: net.node_of[at] for p, at in moved.items()})


def _tips(
    members: tuple[Member, ...], lines: list[Line], flush: set[tuple[int, int]]
) -> dict[tuple[int, bool], tuple[int, float]]:
    """Which member each end (member, whether its far end) stands against, and how far off its line is.

    A tip that runs on past the other's own end is none of these: there the other ends on this one.
    """
    found: dict[tuple[int, bool], tuple[int, float]] = {}
    for i, line in enumerate(lines):
        for at_end, p in ((False, line.start), (True, line.end)):
            near = [
                (off, j)
                for j, other in enumerate(lines)
                if j != i and (i, j) not in flush
                for s, off in (other.nearest(p),)
                if off <= members[j].thickness_mm and members[i].meets_height(members[j])
                if off <= MITRE_MM or SAME_MM < s < other.length - SAME_MM
            ]
            if near:
                off, j = min(near)
                found[i, at_end] = (j, off)
    return found


def _reaching(
    line: Line, lines: list[Line], start: tuple[int, float] | None, end: tuple[int, float] | None
) -> Line:
    """A centreline carried on to the lines it stands against, straight: a bend at the end would twist it.

    A scrap with both ends in one place stays as it is drawn.
    """

    def met(p: Point, tip: tuple[int, float] | None) -> Point:
        if tip is None or tip[1] <= MITRE_MM:
            return p
        other = lines[tip[0]]
        return other.at(other.nearest(p)[0])

    reached = Line(met(line.start, start), met(line.end, end))
    return reached if reached.length > SAME_MM else line


def _stacked(members: tuple[Member, ...], flanges: tuple[Member, ...]) -> list[tuple[int, int]]:
    """Pairs (upper, lower) of which one lies on the other, or on its flange."""
    return [
        (i, j)
        for j, lower in enumerate(members)
        if lower.role is MemberRole.GIRDER
        for i, upper in enumerate(members)
        if upper.role is MemberRole.JOIST
        and abs(upper.bottom_mm - max([lower.top_mm, *(f.top_mm for f in _on(lower, flanges))])) < MITRE_MM
    ]


def _flush(members: tuple[Member, ...], lines: list[Line]) -> list[tuple[int, int]]:
    """Pairs of which the first is a well's side that lies flush along the other, face to face, glued."""

    def along(one: Line, other: Line, apart_mm: float) -> bool:
        ends = [other.nearest(p) for p in (one.start, one.end)]
        run = abs(ends[1][0] - ends[0][0])
        return run > SAME_MM and all(abs(off - apart_mm) < MITRE_MM for _, off in ends)

    return [
        (i, j)
        for i, one in enumerate(members)
        if one.role is MemberRole.WELL_SIDE
        for j, other in enumerate(members)
        if other.role in (MemberRole.JOIST, MemberRole.NOGGIN)
        and one.meets_height(other)
        and along(lines[i], lines[j], (one.thickness_mm + other.thickness_mm) / 2)
    ]


def _on(girder: Member, flanges: tuple[Member, ...]) -> list[Member]:
    """The flanges glued along a girder's top: those that share its outer or its inner face's line."""
    return [
        f
        for f in flanges
        if abs(f.bottom_mm - girder.top_mm) < MITRE_MM
        and centreline(f).nearest(centreline(girder).at(centreline(girder).length / 2))[1]
        < (f.thickness_mm + girder.thickness_mm) / 2
    ]


def _crossing(a: Line, b: Line) -> tuple[float, float] | None:
    """Stations at which two centrelines cross; None: they do not."""
    met = meet(line_through(a.start, a.end), line_through(b.start, b.end))
    if met is None:
        return None
    (s, off), (t, away) = a.nearest(met), b.nearest(met)
    return (s, t) if max(off, away) < SAME_MM else None


def _meshed(
    members: tuple[Member, ...],
    parts: dict[str, Part],
    lines: list[Line],
    stations: list[list[float]],
    joins: list[tuple[Place, Place]],
    butted: set[Place],
    wanted: list[Place],
    flanges: tuple[Member, ...],
    topping: Topping | None,
) -> Net:
    both = list(zip(members, lines, strict=True))
    topped = [_topped_by(topping, m, line.length, i, wanted) for i, (m, line) in enumerate(both)]
    cuts = [_cut(found) for found in stations]
    first: list[int] = []
    total = 0
    for cut in cuts:
        first.append(total)
        total += len(cut)
    same = list(range(total))

    def root(n: int) -> int:
        while same[n] != n:
            n = same[n]
        return n

    def node(place: Place) -> int:
        cut = cuts[place.member]
        return root(first[place.member] + min(range(len(cut)), key=lambda k: abs(cut[k] - place.station)))

    for butting, through in joins:
        a, b = node(butting), node(through)
        if a != b:
            same[a] = b
    roots = sorted({root(n) for n in range(total)})
    number = {n: k for k, n in enumerate(roots)}
    owner = {first[m] + k: lines[m].at(s) for m, cut in enumerate(cuts) for k, s in enumerate(cut)}
    beams: list[Beam] = []
    pieces: list[Piece] = []
    for m, cut in enumerate(cuts):
        member, part = members[m], parts[members[m].id]
        row = strength_row(member.material, member.sheet_mm)
        shift = (part.length_mm - centreline(member).length) / 2  # the datum is the long point
        holes = [h for h in part.holes if h.kind is not HoleKind.PILOT]
        glued = _on(member, flanges) if member.role is MemberRole.GIRDER else []
        for k, (low, high) in enumerate(pairwise(cut)):
            start, end = number[root(first[m] + k)], number[root(first[m] + k + 1)]
            if start == end:
                continue
            between = [
                h for h in holes if low - h.diameter_mm / 2 < h.x_mm - shift < high + h.diameter_mm / 2
            ]
            beam, piece = _beam(member, row, m, between)
            if glued:
                beam, piece = _stiffened(beam, piece, member, glued[0])
            elif (top := topped[m]) is not None:
                beam, piece = _topped(beam, piece, member, top)
            beams.append(
                beam._replace(
                    start=start,
                    end=end,
                    start_released=Place(m, low) in butted,
                    end_released=Place(m, high) in butted,
                )
            )
            pieces.append(piece)
    return Net([owner[n] for n in roots], beams, pieces, {p: number[node(p)] for p in wanted})


def _topped_by(
    topping: Topping | None, member: Member, length: float, number: int, wanted: list[Place]
) -> tuple[float, float] | None:
    """What lies on a member, over the spans that its places leave it."""
    return topping.on(member, length, [p.station for p in wanted if p.member == number]) if topping else None


def _cut(stations: list[float]) -> list[float]:
    """Stations in order without twins, the ends kept exactly, with more between so that no beam is long."""
    low, high = stations[0], stations[1]
    kept = [low]
    for s in sorted(stations[2:]):
        if s - kept[-1] > SAME_MM and high - s > SAME_MM:
            kept.append(s)
    kept.append(high)
    out = [low]
    for a, b in pairwise(kept):
        n = math.ceil((b - a) / MESH_MM)
        out += [a + (b - a) * k / n for k in range(1, n)] + [b]
    return out


def _beam(member: Member, row: Strength, m: int, holes: Sequence[Hole]) -> tuple[Beam, Piece]:
    """Stiffness of a stretch of a member with these holes, the worst of them taken out all along."""
    t, h = member.bending_mm, member.depth_mm
    worst_i, worst_z, area = t * h**3 / 12, t * h**2 / 6, float(t * h)
    for hole in holes:
        i, z = _net(t, h, hole)
        solid = t * max(h - hole.diameter_mm, 1.0)
        worst_i, worst_z, area = min(worst_i, i), min(worst_z, z), min(area, solid)
    leaves, leaf = (2, t / 2) if member.sandwich else (1, t)
    twist = leaves * h * leaf**3 / 3 * (1 - 0.63 * leaf / h)
    beam = Beam(
        0,
        0,
        row.edgewise_n_mm2 * worst_i,
        SHEAR_SHARE * row.shear_modulus_n_mm2 * area,
        row.shear_modulus_n_mm2 * twist,
    )
    return beam, Piece(m, worst_z, area)


def _stiffened(beam: Beam, piece: Piece, web: Member, flange: Member) -> tuple[Beam, Piece]:
    """A web with a flange glued on top, the whole section acting as one. The web's lower edge is worst."""
    rib = strength_row(web.material, web.thickness_mm).edgewise_n_mm2
    top = strength_row(flange.material, flange.depth_mm).along_n_mm2
    parts = Flat(flange.thickness_mm, flange.depth_mm, top), Flat(web.thickness_mm, web.depth_mm, rib)
    bending = built_up_stiffness_nmm2(*parts, centreline(web).length)
    top_ea, rib_ea = (p.modulus_n_mm2 * p.width_mm * p.depth_mm for p in parts)
    arm = top_ea * (flange.depth_mm + web.depth_mm) / 2 / (top_ea + rib_ea)
    modulus = bending / rib / (web.depth_mm / 2 + arm)
    return beam._replace(bending=bending), piece._replace(modulus_mm3=modulus)


def _topped(beam: Beam, piece: Piece, member: Member, both: tuple[float, float]) -> tuple[Beam, Piece]:
    """A member with the deck it carries. Holes cost it the same share as without the deck."""
    t, h = member.bending_mm, member.depth_mm
    whole = strength_row(member.material, member.sheet_mm).edgewise_n_mm2 * t * h**3 / 12
    stiffness, stress = both
    return (
        beam._replace(bending=beam.bending / whole * stiffness),
        piece._replace(modulus_mm3=piece.modulus_mm3 / stress),
    )


def _net(t: float, h: float, hole: Hole) -> tuple[float, float]:
    """Second moment of area and section modulus of a strip with one round hole through it."""
    d = min(hole.diameter_mm, h - 1.0)
    off = hole.y_mm - h / 2
    area = t * (h - d)
    axis = -t * d * off / area  # of what is left, from the middle
    left = t * h**3 / 12 + t * h * axis**2 - t * d**3 / 12 - t * d * (off - axis) ** 2
    return left, left / (h / 2 + abs(axis))
