"""Legs, trestles, brackets and battens under one board, as timber by length and feet by number.

Claim: legs and rails as the stand has them (``legs``); one trestle or bracket a line; battens as long as
drawn, with their anchors; so many anchors a bracket as the settings say.

Lengths are for straight legs; sections and the rail are common practice, no source. Walls and anything
overhead: by local codes and a competent person.

Legs that two boards share are counted by the one under whose end they stand.

What this does not know: folding gear, sloping floors.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from boardwright import Notes, Place
from boardwright_timber.model import (
    Board,
    BoardPosts,
    BoardStand,
    BoardStrength,
    Frame,
    HardwareLine,
    Joists,
    Leg,
    Member,
    SupportPoint,
    WallAnchor,
)

from ..strength.keep_off import NOTHING, KeepOff, named
from ..strength.rows import free_edges, rows_of, way
from ..strength.settings import SupportSettings
from .leg_bolting import leg_bolts, tell_cramped, tell_meeting
from .legs import NO_POSTS, SHORTEST_LEG_MM, legs_of, posts_of, stand

type Bearing = tuple[SupportPoint, float]  # a place, and how high above the floor its member's underside is
ANGLES_A_POST, SCREWS_AN_ANGLE = 4, 4  # two at each end: common practice, no source
BATTEN_SCREW_MM = 400.0  # a board fixed to a wall: common practice, no source


def support_lines(
    board: Board,
    frame: Frame,
    joists: Joists,
    strength: BoardStrength,
    anchors: Sequence[WallAnchor],
    settings: SupportSettings,
    notes: Notes,
    posts: BoardPosts = NO_POSTS,
    keep: KeepOff = NOTHING,
) -> Iterator[HardwareLine]:
    """Nothing for a board without figures, or one that lies on its neighbours' ends."""
    low = {m.id: m.bottom_mm for m in (*frame.members, *joists.members)}
    above = settings.floor_below_mm + board.level_mm
    places = [(p, above + low[p.member]) for p in strength.points if not p.on]
    battens = settings.battens.get(board.id, ())
    if battens:
        lengths = tuple(round(math.dist(a, b), 3) for a, b in battens)
        yield HardwareLine(
            item="wall-batten",
            says="Wall batten, planed softwood 44 × 44",
            quantity=math.ceil(round(sum(lengths), 3)),
            unit="mm",
            why=f"{len(battens)} battens of board {board.id}, as drawn",
            pieces_mm=lengths,
        )
        screws = sum(max(2, math.ceil(math.dist(a, b) / BATTEN_SCREW_MM - 1e-9) + 1) for a, b in battens)
        yield HardwareLine(
            item="screw-4x60",
            says="Wood screw 4 × 60, countersunk",
            quantity=screws,
            unit="piece",
            why=f"from below through battens into the frame, at most {BATTEN_SCREW_MM:g} mm apart",
        )
        rule = (
            f"near both ends of each batten and at most {settings.anchor_spacing_mm:g} mm apart (common "
            "practice, no source)"
        )
        yield from _anchors(len(anchors), rule, settings)
    if own := posts_of(board, frame, strength, posts, settings):
        yield from _posts(board, own, notes)
    if battens or not places or board.lift_out:
        return
    if settings.kind == "legs" or board.id in settings.points:
        legs = legs_of(board, frame, joists, strength, settings, keep.things)
        short = bool(legs) and min(leg.length_mm - leg.lap_mm for leg in legs) < SHORTEST_LEG_MM
        members = (*frame.members, *joists.members)
        wood = {named(m) for m in members}
        tell_cramped(board, legs, wood, notes)
        tell_meeting(board, legs, wood, notes)
        sawn = stand(board, frame, joists, strength, settings, keep=keep)
        yield from _legs(board, sawn, members, short, notes)
    else:
        yield from _lines(board, frame, places, settings, notes)


def _legs(
    board: Board, sawn: BoardStand, members: Sequence[Member], short: bool, notes: Notes
) -> Iterator[HardwareLine]:
    legs, rails = sawn.legs, sawn.rails
    if short:
        notes.caution(
            "BW-HARD-005",
            f"The legs of board {board.id} would be shorter than {SHORTEST_LEG_MM:g} mm: its frame nearly "
            "reaches the floor. They are left out of the list.",
            Place(board=board.id, key="supports.floor_below_mm"),
            "Set supports.floor_below_mm to how far the floor lies below the drawing's level 0.",
        )
    if not legs:
        return
    side, foot = legs[0].side_mm, legs[0].foot_mm
    said = _by_length("leg", [leg.length_mm for leg in legs])
    yield HardwareLine(
        item=f"leg-timber-{side:g}",
        says=f"Planed softwood {side:g} × {side:g} for legs and rails",
        quantity=sum(leg.length_mm for leg in legs) + sum(r.length_mm for r in rails),
        unit="mm",
        why=said + (f", {_by_length('rail', [r.length_mm for r in rails])} across" if rails else ""),
        pieces_mm=(*(leg.length_mm for leg in legs), *(r.length_mm for r in rails)),
    )
    yield from leg_bolts(board, legs, members)
    if foot:
        yield HardwareLine(
            item="adjustable-foot",
            says=f"Adjustable foot M8, {foot:g} mm high in its middle position",
            quantity=len(legs),
            unit="piece",
            why="one a leg",
        )


def _posts(board: Board, posts: Sequence[Leg], notes: Notes) -> Iterator[HardwareLine]:
    """Posts on the frame of the board below, and what holds them at both ends."""
    if min(post.length_mm for post in posts) < SHORTEST_LEG_MM:
        notes.caution(
            "BW-HARD-005",
            f"The posts of board {board.id} would be shorter than {SHORTEST_LEG_MM:g} mm: its frame nearly "
            "reaches the board below. They are left out of the list.",
            Place(board=board.id),
            "Raise the upper level in the drawing (height_mm), or make its frame shallower.",
        )
        return
    side, angles = posts[0].side_mm, ANGLES_A_POST * len(posts)
    yield HardwareLine(
        item=f"leg-timber-{side:g}",
        says=f"Planed softwood {side:g} × {side:g} for posts",
        quantity=sum(post.length_mm for post in posts),
        unit="mm",
        why=_by_length("post", [post.length_mm for post in posts]),
        pieces_mm=tuple(post.length_mm for post in posts),
    )
    yield HardwareLine(
        item="leg-angle-40",
        says="Angle bracket 40 × 40, steel",
        quantity=angles,
        unit="piece",
        why=f"{ANGLES_A_POST} a post, two at each end (common practice, no source)",
    )
    yield HardwareLine(
        item="screw-3.5x16",
        says="Wood screw 3.5 × 16, pan head",
        quantity=SCREWS_AN_ANGLE * angles,
        unit="piece",
        why=f"{SCREWS_AN_ANGLE} an angle bracket of the posts",
    )


def _anchors(number: int, rule: str, settings: SupportSettings) -> Iterator[HardwareLine]:
    """Screws into the wall and their plugs."""
    if not number:
        return
    screw, plug = settings.anchor_screw, settings.anchor_plug
    yield HardwareLine(
        item=f"wall-screw-{screw}",
        says=f"Screw {screw.replace('x', ' × ')}, into the wall",
        quantity=number,
        unit="piece",
        why=f"{rule}; which anchor holds is for the wall, local codes and a competent person",
    )
    if plug:
        yield HardwareLine(
            item=f"wall-plug-{plug}",
            says=f"Wall plug {plug.replace('x', ' × ')}, for solid walls",
            quantity=number,
            unit="piece",
            why="one for each screw into the wall",
        )


def _by_length(what: str, lengths: Iterable[float]) -> str:
    """``1 leg of 640 and 4 legs of 885``."""
    return " and ".join(
        f"{number} {what}{'s' if number > 1 else ''} of {length:g}"
        for length, number in sorted(Counter(lengths).items())
    )


def _lines(
    board: Board, frame: Frame, places: list[Bearing], settings: SupportSettings, notes: Notes
) -> Iterator[HardwareLine]:
    """One trestle or bracket for each row of places across the board."""
    along = way(board, frame, settings.kind)
    rows = rows_of((p for p, _ in places), along)
    most = max(sum(p.load_n for p in row) for row in rows)
    longest = max(math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) for row in rows for a in row for b in row)
    height = min(h for _, h in places)
    if settings.kind == "trestles":
        says = f"Trestle, {height:.0f} mm high, its beam {longest:.0f} mm at least"
    else:
        says = f"Wall bracket, its arm {longest:.0f} mm at least, its top {height:.0f} mm above the floor"
    yield HardwareLine(
        item="trestle" if settings.kind == "trestles" else "wall-bracket",
        says=says,
        quantity=len(rows),
        unit="piece",
        why=f"{len(rows)} lines across board {board.id}, each of which carries up to "
        f"{math.ceil(most)} N (statics)",
    )
    if settings.kind == "brackets":
        _about_wall(board, len(rows), most, longest, settings, notes)
        if not free_edges(board, along):
            _about_no_wall(board, notes)
        each = settings.anchors_per_bracket
        rule = f"{each} for each of {len(rows)} brackets (common practice, no source)"
        yield from _anchors(each * len(rows), rule, settings)


def _about_wall(
    board: Board, brackets: int, load_n: float, arm_mm: float, settings: SupportSettings, notes: Notes
) -> None:
    """What the wall must hold, and that nobody has said that it does."""
    notes.note(
        "BW-HARD-006",
        f"Board {board.id} is carried by {brackets} wall brackets; each must hold up to {math.ceil(load_n)} "
        "N (its share of the wood and of what stands on it, and a hand at each of its places; statics) on an "
        f"arm of {arm_mm:.0f} mm or more. Nothing says that they hold in your wall.",
        Place(board=board.id),
        "Find out what the wall is made of and which pipes and cables run in it, take brackets rated for "
        "that load, screws and plugs made for that wall ([supports] anchor_screw, anchor_plug, "
        f"anchors_per_bracket, now {settings.anchors_per_bracket}), and follow local codes and a competent "
        "person.",
    )


def _about_no_wall(board: Board, notes: Notes) -> None:
    """Brackets of a board that meets others wherever their wall would be."""
    notes.caution(
        "BW-HARD-007",
        f"No wall can hold the brackets of board {board.id}: both edges that their arms run between meet "
        "other boards.",
        Place(board=board.id),
        "Carry this board on legs or trestles (supports.kind), or on a batten or places of your own "
        "(supports.battens, supports.points), or part the layout so that each board has an edge at the wall.",
    )
