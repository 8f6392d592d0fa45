"""Where supports stand under a board: chosen at the usual places, or as the project file gives them.

Claim: lines across the longer way of the frame (``rows`` says which way for brackets), the outer two at
``from_end`` of its length from each end, more between when they would be too far apart. Legs stand under the
first and the last member that a line crosses, a trestle under every one. A lift-out lies on its ends. A
batten carries every member along it. With shared legs a board stands on a pair at each of its joints, its
own or its neighbour's, and on a pair near each end that has no joint. Where a joist, a device or a joint's
bolt is at a leg's place beside its member, the pair is moved along (``leg_room``).

Source of 0.22: two supports there give an even beam the least sag (arithmetic); the rest common practice,
no source.

With more pairs than two, overhang and spacing keep the proportion they have with two.

What this does not know: walls, doors, knees and wires under the board; how tall a leg is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from boardwright import Notes
from boardwright import Place as Where
from boardwright.plan.model import Point
from boardwright_timber.model import Board, BoardPosts, Frame, Member, MemberRole

from .keep_off import Thing
from .leg_room import SHARED_MOST_MM, has_room, places_near
from .net import Line, Place, centreline
from .rows import way
from .settings import SupportSettings

INSET_MM = 40.0  # a shared leg stands so far inside the end of the joint
STEP_MM = 50.0  # a batten is thought of as supports this far apart
ON_MEMBER_MM = 30.0  # a support this near a member's centreline stands under it
SAME_MM = 1.0
NO_POSTS = BoardPosts()


def standing(
    board: Board,
    frame: Frame,
    members: tuple[Member, ...],
    settings: SupportSettings,
    notes: Notes,
    unshared: tuple[str, ...] = (),
    posts: BoardPosts = NO_POSTS,
    things: Sequence[Thing] = (),
) -> tuple[str, dict[Place, str]]:
    """What stands under the board, in words, and under which places of which members.

    ``unshared``: joints at which the board beyond shares no legs. ``things``: what legs keep off. A place's
    value is the neighbour that it rests on there; empty: it has a support of its own.
    """
    own = is_chosen(board, settings)
    if own and settings.kind == "posts" and posts.placed:
        return on_posts(members, posts)
    if (
        own
        and settings.shared
        and settings.kind == "legs"
        and (found := _shared(board, frame, members, settings, unshared, things))
    ):
        return "legs shared at joints", found
    said, places = _own(board, frame, members, settings, notes, things)
    return said, dict.fromkeys(places, "")


def on_posts(members: tuple[Member, ...], posts: BoardPosts) -> tuple[str, dict[Place, str]]:
    """The places of a board's posts, each with the board that its post stands on."""
    number = {m.id: i for i, m in enumerate(members)}
    found: dict[Place, str] = {}
    for post in posts.under:
        i = number[post.member]
        found[Place(i, centreline(members[i]).nearest((post.x_mm, post.y_mm))[0])] = post.on
    below = sorted(set(found.values()))
    return f"posts on {' and '.join(below)}" if below else "posts", found


def _shared(
    board: Board,
    frame: Frame,
    members: tuple[Member, ...],
    settings: SupportSettings,
    unshared: tuple[str, ...],
    things: Sequence[Thing],
) -> dict[Place, str]:
    """A pair at each joint, and one near each end of the longer way that has none; empty: no joint bears."""
    import shapely

    lines = [centreline(m) for m in members]
    faces = [shapely.LineString((m.outer_start, m.outer_end)) for m in members]
    xs, ys = zip(*frame.outer, strict=True)
    low, high = (min(xs), min(ys)), (max(xs), max(ys))
    along = 0 if high[0] - low[0] >= high[1] - low[1] else 1
    found: dict[Place, str] = {}
    bare = {low[along], high[along]}
    for joint in (j for j in board.joints if not j.lift_out):
        start, end = (board.to_local(p) for p in board.face(joint))
        seam = Line(start, end)
        inset = min(INSET_MM, seam.length / 4)
        pair = []
        alone = joint.boards[0] == board.id or joint.id in unshared
        for at in (seam.at(inset), seam.at(seam.length - inset)):
            off, i = min((round(face.distance(shapely.Point(at)), 6), i) for i, face in enumerate(faces))
            if off <= SAME_MM and members[i].role is not MemberRole.JOIST:
                place = Place(i, lines[i].nearest(at)[0])
                pair.append(_beside_fixings(place, members, settings, things) if alone else place)
        if len(pair) == 2:
            neighbour = "" if alone else joint.boards[0]
            found |= dict.fromkeys(pair, neighbour)
            middle = seam.at(seam.length / 2)[along]
            bare -= {e for e in bare if abs(e - middle) < settings.from_end * (high[along] - low[along])}
    if not found:
        return {}
    for edge in sorted(bare):
        inward = settings.from_end * (high[along] - low[along])
        at = edge + inward if edge == low[along] else edge - inward
        found |= dict.fromkeys(_pair(lines, members, along, at, settings, things), "")
    return found


def _beside_fixings(
    place: Place, members: tuple[Member, ...], settings: SupportSettings, things: Sequence[Thing]
) -> Place:
    """The place nearest to that of a leg at a joint at which it has room, on the same member; none: there."""
    length = centreline(members[place.member]).length
    for station in places_near(place.station, SHARED_MOST_MM) if settings.leg_lap_mm else ():
        near = Place(place.member, station)
        if 0 <= station <= length and has_room(near, members, settings.leg_mm, settings.leg_lap_mm, things):
            return near
    return place


def _own(
    board: Board,
    frame: Frame,
    members: tuple[Member, ...],
    settings: SupportSettings,
    notes: Notes,
    things: Sequence[Thing],
) -> tuple[str, list[Place]]:
    """Supports of the board's own."""
    lines = [centreline(m) for m in members]
    given = settings.points.get(board.id, ())
    battens = settings.battens.get(board.id, ())
    if given or battens:
        return "as given", _given(board, lines, given, battens, notes)
    if board.lift_out and (ends := [i for i, m in enumerate(members) if m.role is MemberRole.END]):
        return "its ends", [Place(i, s) for i in ends for s in (0.0, lines[i].length)]
    xs, ys = zip(*frame.outer, strict=True)
    low, high = (min(xs), min(ys)), (max(xs), max(ys))
    along = way(board, frame, settings.kind)
    size = high[along] - low[along]
    hangs = settings.from_end / (1 - 2 * settings.from_end)  # overhang in spacings
    gaps = max(1, math.ceil(size / settings.max_spacing_mm - 2 * hangs - 1e-9))
    spacing = size / (gaps + 2 * hangs)
    every = settings.kind in ("trestles", "brackets")
    found: list[Place] = []
    for n in range(gaps + 1):
        at = low[along] + spacing * (hangs + n)
        crossed = _crossed(lines, members, along, at, every)
        found += crossed if every else _pair(lines, members, along, at, settings, things)
    return settings.kind, found


def _pair(
    lines: list[Line],
    members: tuple[Member, ...],
    along: int,
    at: float,
    settings: SupportSettings,
    things: Sequence[Thing],
) -> list[Place]:
    """The first and the last member crossed at a place, or as near to it as legs beside them have room; where
    they have none, as near as they are clear of wood alone."""
    first: list[Place] = []
    size = (settings.leg_mm, settings.leg_lap_mm)
    for kept in (things, ()):
        for near in places_near(at):
            crossed = _crossed(lines, members, along, near, False)
            pair = crossed[:1] + crossed[1:][-1:]
            if settings.kind != "legs" or not settings.leg_lap_mm:
                return pair
            if len(pair) > 1 and all(has_room(place, members, *size, kept) for place in pair):
                return pair
            first = first or pair
    return first


def about_names(names: Iterable[str], settings: SupportSettings, notes: Notes) -> None:
    """Boards that [supports] gives places for and that do not exist."""
    known = sorted(names)
    for table, given in (("points", settings.points), ("battens", settings.battens)):
        for name in sorted(set(given) - set(known)):
            notes.caution(
                "BW-STR-010",
                f"[supports] {table} names board {name}, which does not exist: its supports are left out.",
                Where(key=f"supports.{table}.{name}"),
                f"The boards are {', '.join(known)}.",
            )


def is_chosen(board: Board, settings: SupportSettings) -> bool:
    """Whether the places are the rule's own, and it may add to them."""
    return board.id not in settings.points and board.id not in settings.battens and not board.lift_out


def _crossed(
    lines: list[Line], members: tuple[Member, ...], along: int, at: float, every: bool
) -> list[Place]:
    """Places where the line across at ``at`` meets members, in order across the board."""
    met: list[tuple[float, Place]] = []
    for i, line in enumerate(lines):
        a, b = line.start[along], line.end[along]
        if abs(a - b) < SAME_MM or not min(a, b) <= at <= max(a, b):
            continue
        if not _stands_low(members[i], members, every):
            continue
        station = (at - a) / (b - a) * line.length
        met.append((line.at(station)[1 - along], Place(i, station)))
    return [place for _, place in sorted(met)]


def _stands_low(member: Member, members: tuple[Member, ...], every: bool) -> bool:
    """Whether supports go under this member: girders carry the rest where there are any."""
    if any(m.role is MemberRole.GIRDER for m in members):
        return member.role in (MemberRole.GIRDER, MemberRole.END)
    return every or member.role in (MemberRole.SIDE, MemberRole.END)


def _given(
    board: Board,
    lines: list[Line],
    points: tuple[Point, ...],
    battens: tuple[tuple[Point, Point], ...],
    notes: Notes,
) -> list[Place]:
    found: list[Place] = []
    for p in points:
        off, i, s = min((off, i, s) for i, line in enumerate(lines) for s, off in (line.nearest(p),))
        if off <= ON_MEMBER_MM:
            found.append(Place(i, s))
            continue
        x, y = board.to_plan(p)
        notes.caution(
            "BW-STR-009",
            f"The support given at ({p[0]:g}, {p[1]:g}) from the datum corner of board {board.id} is under "
            f"no member: the nearest is {off:.0f} mm away. It is left out.",
            Where(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
            "Move it under a side, an end or a joist, in [supports] points.",
        )
    for batten in battens:
        whole = Line(*batten)
        for i, line in enumerate(lines):
            n = max(1, math.ceil(line.length / STEP_MM))
            stations = [line.length * k / n for k in range(n + 1)]
            found += [
                Place(i, s) for s in stations if whole.length and whole.nearest(line.at(s))[1] <= ON_MEMBER_MM
            ]
    return found


def stands(points: list[Point], centre: Point) -> bool:
    """Whether a thing with this centre of mass stays on these supports: the centre lies between them."""
    import shapely

    hull = shapely.MultiPoint(points).convex_hull
    return bool(hull.geom_type == "Polygon" and hull.buffer(1e-6).contains(shapely.Point(centre)))
