"""Straight strips longer than any the stock gives: where each is butted of several, and the plate over it.

Claim: every length comes out of the stock. Two lengths butt square; over the seam lies a fishplate of the
same wood, as deep as the strip, on its inner face (a girder's on the face with room), glued and screwed to
both, where no joist, no other member, no device and no joint of the board is in its way. The fewest lengths,
then seams that lie not beside those of another strip or of the deck, then none near the middle, where a board
held by its ends bends more than CALM of the most, then the most even lengths. The plate is four times as long
as it is deep (a girder's six times: joists pass above it), or as there is room, down to one and a half times;
whether its glue holds what bends there is checked with the strength. Plate, staggering and lengths: common
practice, no source.

A flange lies on its web, glued and screwed, which holds it where it is butted: its seams keep off the web's
and off the joists on it.

Of a side of skins and blocks each skin is butted by itself (``skins``).

What this does not know: knots and faults in a bar, wires that run along a side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Device, Point
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import Board, Joined, Member, MemberRole, Panel, SkinSeam

from ..nesting.longest import longest_strip_mm
from ..nesting.settings import CuttingSettings, StockSettings
from .seams import fewest
from .skins import skin_seams

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

PLATE_DEPTHS = (4.0, 3.75, 3.5, 3.25, 3.0, 2.5, 2.0, 1.75, 1.5)  # a plate's length in depths of its strip
WELL_DEPTHS, LEAST_DEPTHS = 2.0, PLATE_DEPTHS[-1]  # a shorter plate uses most of its glue
GIRDER_DEPTHS = (6.0, *PLATE_DEPTHS)
STEP_MM = 10.0
ROOM_MM = 10.0
HAIR_MM = 1e-3
CLEAR_MM = 5.0  # between a plate and what stands beside it
JOINT_MM = 40.0  # between a plate and a joint: nuts and hands
STAGGER_MM = 300.0  # seams of two strips are no nearer to each other, if that can be
LEAST_MM = 200.0  # no length is shorter
CALM = 0.75  # of the bending in the middle: a quarter from an end, 4·x·(L - x) / L²
UNDER_JOIST_MM = 30.0  # between a flange's seam and the middle of a joist's screws


class TooLong(NamedTuple):
    """A strip that has no place for a seam, the longest that the stock gives, and how long a plate has room
    at most of those from ROOM_MM on, where one ``least_mm`` long is wanted; 0: none; None: it is not that."""

    member: Member
    longest_mm: float
    room_mm: float | None = None
    least_mm: float = 0.0


class Lengths(NamedTuple):
    """What is butted, its plates, and what is too long and has no place for a seam."""

    joined: tuple[Joined, ...]
    plates: tuple[Member, ...]
    whole: tuple[TooLong, ...]
    skins: tuple[SkinSeam, ...] = ()


class Plated(NamedTuple):
    """Seams of one strip and their plates, the longest for which there is room, and which of the lengths
    asked for that is; None: there is room for none."""

    stops: tuple[float, ...] | None
    plates: list[Member]
    which: int | None


def in_lengths(
    board: Board,
    frame: Sequence[Member],
    standing: Sequence[Member],
    devices: Sequence[Device],
    stock: StockSettings,
    cutting: CuttingSettings,
    seams: Sequence[float] = (),
    deck_plates: Sequence[Panel] = (),
    least_depths: float = LEAST_DEPTHS,
    *,
    tell_room: bool = True,
) -> Lengths:
    """How members of a ``frame`` that are too long are made; ``standing``: joists and what goes with them;
    ``seams``: x of the deck's, ``deck_plates``: below its seams along the board; ``least_depths``: how long a
    plate is at least; ``tell_room``: say of what is left whole what room there is."""
    import shapely

    found: list[Joined] = []
    plates: list[Member] = []
    whole: list[TooLong] = []
    skins: list[SkinSeam] = []
    kept_off = [shapely.Polygon([board.to_local(p) for p in d.keepout()]) for d in devices]
    kept_off += [shapely.Polygon(p.ring) for p in deck_plates]
    for member in sorted(frame, key=lambda m: m.role is MemberRole.FLANGE):  # flanges after their webs
        thick, wide = member.sheet_mm, member.depth_mm
        if member.flat:
            thick, wide = wide, thick
        longest = longest_strip_mm(stock, cutting, (member.material, thick), wide)
        if longest is None or member.length_mm <= longest + 1e-6:
            continue
        flange = member.role is MemberRole.FLANGE
        beside = [
            _place(m, j.at_mm)
            for j in found
            for m in frame
            if m.id == j.member and (not flange or _lies_on(member, m))
        ]
        beside += [_place(m, s.at_mm) for s in skins for m in frame if m.id == s.member]
        near = beside if flange else [*((x, 0.0) for x in seams), *beside]
        others = [m for m in (*frame, *standing, *plates) if m is not member]
        if member.sandwich:
            butts = skin_seams(
                member, longest, others, _on_joints(board, member), _beside(board, member, near)
            )
            if butts is None:
                whole.append(TooLong(member, longest))
            skins += butts or ()
            continue
        if flange:
            stops = _of_flange(board, member, others, near, longest)
            made = [Joined(member=member.id, at_mm=x) for x in stops or ()]
            laid: list[Member] = []
        else:
            every = GIRDER_DEPTHS if member.role is MemberRole.GIRDER else PLATE_DEPTHS
            wanted = [depths for depths in every if depths >= least_depths]
            stops, laid, _ = _plated(board, member, others, kept_off, near, longest, len(plates), wanted)
            made = [
                Joined(member=member.id, at_mm=x, plate=p.id) for x, p in zip(stops or (), laid, strict=True)
            ]
        if stops is None:
            asked = tell_room and not flange
            room = _room_mm(board, member, others, kept_off, near, longest) if asked else None
            whole.append(TooLong(member, longest, room, LEAST_DEPTHS * member.depth_mm))
        found += made
        plates += laid
    return Lengths(tuple(found), tuple(plates), tuple(whole), tuple(skins))


def _lies_on(flange: Member, web: Member) -> bool:
    import shapely

    below = abs(web.top_mm - flange.bottom_mm) < CLEAR_MM
    return below and shapely.Polygon(flange.outline).intersects(shapely.Polygon(web.outline))


def _plated(
    board: Board,
    member: Member,
    others: Sequence[Member],
    kept_off: Sequence[Polygon],
    near: Sequence[Point],
    longest: float,
    numbered: int,
    wanted: Sequence[float],
) -> Plated:
    """``wanted``: lengths of plates in depths of the strip, from the longest down."""
    import shapely

    beside = [m for m in others if m.meets_height(member)]
    taken = shapely.union_all([*(shapely.Polygon(m.outline) for m in beside), *kept_off]).buffer(CLEAR_MM)
    shapely.prepare(taken)
    joints = _on_joints(board, member)
    faces = (True, False) if member.role is MemberRole.GIRDER else (True,)
    blocked = {inner: _blocked(member, taken, inner=inner) for inner in faces}
    every = [round(k * STEP_MM, 6) for k in range(1, int(member.length_mm / STEP_MM))]
    cost = cache(_beside(board, member, near))
    for which, depths in enumerate(wanted):
        long = depths * member.depth_mm
        plates: dict[float, Member] = {}
        for x in every:
            low, high = x - long / 2, x + long / 2
            if any(low - JOINT_MM < b and a < high + JOINT_MM for a, b in joints):
                continue
            for inner in faces:
                if any(low < b and a < high for a, b in blocked[inner]):
                    continue
                plate = _plate(member, low, high, inner=inner)
                if plate is not None and not shapely.Polygon(plate.outline).intersects(taken):
                    plates[x] = plate
                    break
        stops = fewest(0.0, member.length_mm, sorted(plates), longest, cost, LEAST_MM, long + CLEAR_MM)
        if stops is not None:
            named = [_named(board, plates[x], numbered + n) for n, x in enumerate(stops, 1)]
            return Plated(stops, named, which)
    return Plated(None, [], None)


def _blocked(member: Member, taken: Geometry, *, inner: bool) -> list[tuple[float, float]]:
    """Stretches along a member on which something stands where its plates would be: a hair less, so that
    what only touches is left to be looked at."""
    import shapely

    near, far = _behind(member, inner=inner)
    low, high = -member.thickness_mm, member.length_mm + member.thickness_mm
    corners = ((low, near), (high, near), (high, far), (low, far))
    band = shapely.Polygon([_at(member, x, behind) for x, behind in corners])
    found = []
    for part in shapely.get_parts(band.intersection(taken)):
        at = [member.along((x, y)) for x, y in shapely.get_coordinates(part).tolist()]
        if at:  # nothing at all is one empty part
            found.append((min(at) + HAIR_MM, max(at) - HAIR_MM))
    return found


def _behind(member: Member, *, inner: bool) -> tuple[float, float]:
    """Where a plate begins and ends behind a member's outer face."""
    t = member.thickness_mm
    return (t, 2 * t) if inner else (-t, 0.0)


def _room_mm(
    board: Board,
    member: Member,
    others: Sequence[Member],
    kept_off: Sequence[Polygon],
    near: Sequence[Point],
    longest: float,
) -> float:
    """The longest plate, to ROOM_MM, for which there is room where the strip could be butted."""
    many = math.ceil(LEAST_DEPTHS * member.depth_mm / ROOM_MM)
    tried_mm = [ROOM_MM * n for n in range(many - 1, 0, -1)]
    depths = [long / member.depth_mm for long in tried_mm]
    which = _plated(board, member, others, kept_off, near, longest, 0, depths).which
    return 0.0 if which is None else tried_mm[which]


def _of_flange(
    board: Board, member: Member, others: Sequence[Member], near: Sequence[Point], longest: float
) -> tuple[float, ...] | None:
    """Seams of a flange, off its joists, and off its web's if that can be."""
    import shapely

    on_it = [
        shapely.Polygon(m.outline)
        for m in others
        if m.role is MemberRole.JOIST and abs(m.bottom_mm - member.top_mm) < CLEAR_MM
    ]
    taken = shapely.union_all(on_it).buffer(UNDER_JOIST_MM)
    wood = shapely.Polygon(member.outline).buffer(1e-6)
    places = [round(k * STEP_MM, 6) for k in range(1, int(member.length_mm / STEP_MM))]
    ends = [(_at(member, x, 0.0), _at(member, x, member.thickness_mm)) for x in places]
    lines = shapely.linestrings(ends) if ends else []
    clear = shapely.covers(wood, lines) & ~shapely.intersects(taken, lines)
    free = [x for x, is_clear in zip(places, clear.tolist(), strict=True) if is_clear]
    return fewest(0.0, member.length_mm, free, longest, _beside(board, member, near), LEAST_MM)


def _beside(board: Board, member: Member, near: Sequence[Point]) -> Callable[[float], tuple[int, float]]:
    """What a seam at a place along a member costs: other seams that it lies beside, and how far over CALM it
    bends there, in hundredths: along a board by where on the board it is, else by where on the member."""
    along = abs(member.direction[0]) > abs(member.direction[1])

    def cost(x: float) -> tuple[int, float]:
        here = _place(member, x)
        share = here[0] / board.length_mm if along else x / member.length_mm
        bent = 4 * share * (1 - share)
        return sum(_along(member, here, p) < STAGGER_MM for p in near), round(100 * max(bent - CALM, 0.0))

    return cost


def _along(member: Member, a: Point, b: Point) -> float:
    """How far apart two points are, measured along a member."""
    dx, dy = member.direction
    return abs((a[0] - b[0]) * dx + (a[1] - b[1]) * dy)


def _on_joints(board: Board, member: Member) -> list[tuple[float, float]]:
    """Stretches along a member on which a joint lies, or an end that is to mate with another module's."""
    import shapely

    face = shapely.LineString((member.outer_start, member.outer_end)).buffer(1.0, cap_style="flat")
    found = []
    for joint in (*board.joints, *board.ends):
        on = face.intersection(shapely.LineString([board.to_local(p) for p in board.face(joint)]))
        if on.length > 1.0:
            at = [member.along((float(x), float(y))) for x, y in shapely.get_coordinates(on)]
            found.append((min(at), max(at)))
    return found


def _place(member: Member, at_mm: float) -> Point:
    return _at(member, at_mm, member.thickness_mm / 2)


def _at(member: Member, at_mm: float, behind: float) -> Point:
    """The point so far along a member from its datum, and so far behind its outer face."""
    (dx, dy), (ox, oy) = member.direction, member.datum
    return (ox + at_mm * dx - behind * dy, oy + at_mm * dy + behind * dx)


def _plate(member: Member, low: float, high: float, *, inner: bool) -> Member | None:
    """A fishplate from one place along a member to another; None where its face does not reach so far."""
    t = member.thickness_mm
    ends = (member.inner_start, member.inner_end) if inner else (member.outer_start, member.outer_end)
    first, last = (member.along(p) for p in ends)
    if low < first + CLEAR_MM or high > last - CLEAR_MM:
        return None
    near, far = _behind(member, inner=inner)
    return Member(
        id="",
        role=MemberRole.FISHPLATE,
        outer_start=snap_point(_at(member, low, near)),
        outer_end=snap_point(_at(member, high, near)),
        inner_start=snap_point(_at(member, low, far)),
        inner_end=snap_point(_at(member, high, far)),
        thickness_mm=t,
        depth_mm=member.depth_mm,
        material=member.material,
        top_mm=member.top_mm,
    )


def _named(board: Board, plate: Member, number: int) -> Member:
    from msgspec.structs import replace

    return replace(plate, id=f"{board.id}-FP{number}")
