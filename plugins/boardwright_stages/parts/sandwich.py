"""Sides of two skins with blocks between them, taken apart: each skin and each block is a part of its own.

Claim: skins and blocks together fill the member's outline but for the gaps between blocks; a block stands at
each end, behind each strip that is screwed to the side, behind each riser, round each bolt and dowel, over
each leg, trestle or bracket, below each seam of a skin, and between those so often that no two middles are
farther apart than is set.

Glossary
    outer skin  has the member's own name; it is drawn with all the holes
    layer       what of a member lies between two depths behind its outer face

Holes are drilled after the glue has set, right through skin, block and skin, so they are drawn once, on the
outer skin. The weight of what the drill takes from the inner skin and the blocks is not taken off.

What this does not know: fittings that a builder adds later; a wall batten (it bears all along).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from msgspec.structs import replace

from boardwright.plan.model import Point
from boardwright_timber.model import (
    Grain,
    Hole,
    HoleKind,
    Leg,
    Mark,
    MarkKind,
    Member,
    MemberRole,
    Part,
    Sandwich,
    SkinSeam,
    SupportPoint,
)

from .butts import Butt
from .members import TOUCH_MM, Span, lengths_of, member_part, stretch

SLIT_MM = 10.0  # blocks nearer to each other than this are one
INNER, BLOCK = "inner skin", "block"


def taken_apart(
    part: Part, member: Member, made: Sandwich, spans: Sequence[Span], seams: Sequence[SkinSeam] = ()
) -> list[Part]:
    """Outer skin (``part`` is the whole member, drilled), inner skin and blocks; a skin with ``seams`` is of
    several lengths, and a block below a seam has its grain along the member."""
    skin, t = made.skin_mm, member.thickness_mm
    face = _layer(member, 0.0, skin, member.id)
    outers = _lengths(part.board, face, member, [s.at_mm for s in seams if s.outer], part.holes)
    behind = _layer(member, t - skin, t, f"{member.id}-I")
    inners = _lengths(part.board, behind, member, [s.at_mm for s in seams if not s.outer], ())
    core = replace(_layer(member, skin, t - skin, ""), material=made.block_material)
    blocks = [
        member_part(part.board, stretch(core, member, span, f"{member.id}-B{n}"), ())
        for n, span in enumerate(spans, 1)
    ]
    bears = [any(low < s.at_mm < high for s in seams) for low, high in spans]
    outers = [replace(o, marks=_marks(o, member, blocks, spans, whole=len(outers) == 1)) for o in outers]
    return [
        outers[0],
        *(replace(o, of=member.id) for o in outers[1:]),
        *(replace(i, role=INNER, of=member.id, from_mm=0.0) for i in inners),
        *(
            replace(b, role=BLOCK, of=member.id, grain=Grain.LENGTH if under else Grain.FREE)
            for b, under in zip(blocks, bears, strict=True)
        ),
    ]


def _lengths(
    board: str, layer: Member, member: Member, seams: Sequence[float], holes: Sequence[Hole]
) -> list[Part]:
    """A skin in its lengths; seams and holes from the member's datum."""
    begins = round(member.along(layer.datum), 6)
    if not seams:
        moved = (replace(h, x_mm=round(h.x_mm - begins, 6)) for h in holes)
        return [replace(member_part(board, layer, moved), from_mm=begins)]
    found = []
    for low, piece in lengths_of(layer, [at - begins for at in seams]):
        start, end = begins + low, begins + low + piece.length_mm
        if not low:
            start = -math.inf
        mine = (replace(h, x_mm=round(h.x_mm - begins - low, 6)) for h in holes if start <= h.x_mm < end)
        found.append(replace(member_part(board, piece, mine), from_mm=round(begins + low, 6)))
    return found


def _marks(
    skin: Part, member: Member, blocks: Sequence[Part], spans: Sequence[Span], *, whole: bool
) -> tuple[Mark, ...]:
    """Where blocks lie behind the outer skin or a length of it."""
    begins = skin.from_mm
    return tuple(
        Mark(
            kind=MarkKind.MEMBER,
            points=_upright(skin, low - begins, high - begins),
            closed=True,
            text=block.id.removeprefix(f"{member.id}-"),
        )
        for block, (low, high) in zip(blocks, spans, strict=True)
        if whole or (high - begins > TOUCH_MM and low - begins < skin.length_mm - TOUCH_MM)
    )


def block_spans(
    member: Member,
    made: Sandwich,
    butts: Iterable[Butt],
    members: Iterable[Member],
    holes: Iterable[Hole],
    bearing: Iterable[float] = (),
    leg_mm: float = 0.0,
    seams: Iterable[SkinSeam] = (),
) -> list[Span]:
    """Where blocks stand, from and to, along the member from its datum. ``bearing``: where it stands on a
    leg, a trestle or a bracket, as wide as ``leg_mm``; ``seams``: of its skins."""
    length, half = member.length_mm, made.block_mm / 2
    first = max(member.along(member.outer_start), member.along(member.inner_start))
    last = min(member.along(member.outer_end), member.along(member.inner_end))
    wanted: list[Span] = [(0.0, first + made.block_mm), (last - made.block_mm, length)]
    for butt in butts:
        if butt.through.id == member.id:
            wanted.append(_round(*_across(member, _end_of(butt)), half))
    for hole in holes:
        if hole.kind in (HoleKind.BOLT, HoleKind.DOWEL):
            wanted.append((hole.x_mm - half, hole.x_mm + half))
    wanted += [(s.at_mm - s.block_mm / 2, s.at_mm + s.block_mm / 2) for s in seams]
    wanted += [_round(at - leg_mm / 2, at + leg_mm / 2, half) for at in bearing]
    for riser in members:
        if riser.role is MemberRole.RISER and _lies_on(riser, member):
            wanted.append(_round(*_across(member, riser.outline), half))
    return _filled(_joined((max(low, 0.0), min(high, length)) for low, high in wanted), made)


def bearing_on(points: Iterable[SupportPoint | Leg], members: Iterable[Member]) -> dict[str, list[float]]:
    """Where members stand on something of the board's own or its neighbour's, along each from its datum."""
    by_id = {m.id: m for m in members}
    found: dict[str, list[float]] = {}
    for p in points:
        found.setdefault(p.member, []).append(round(by_id[p.member].along((p.x_mm, p.y_mm)), 3))
    return found


def _end_of(butt: Butt) -> tuple[Point, Point]:
    m = butt.butting
    return (m.outer_end, m.inner_end) if butt.at_end else (m.outer_start, m.inner_start)


def _across(member: Member, points: Iterable[Point]) -> Span:
    at = [member.along(p) for p in points]
    return min(at), max(at)


def _round(low: float, high: float, half: float) -> Span:
    """As long as a block at least, and past what it holds by a quarter of one."""
    middle, reach = (low + high) / 2, max(half, (high - low) / 2 + half / 2)
    return middle - reach, middle + reach


def _lies_on(riser: Member, member: Member) -> bool:
    """Whether a riser stands against one of the member's faces."""
    if not member.meets_height(riser):
        return False
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    depths = [dx * (y - oy) - dy * (x - ox) for x, y in riser.outline]
    along = _across(member, riser.outline)
    beside = along[1] > TOUCH_MM and along[0] < member.length_mm - TOUCH_MM
    return beside and (abs(min(depths) - member.thickness_mm) < TOUCH_MM or abs(max(depths)) < TOUCH_MM)


def _joined(spans: Iterable[Span]) -> list[Span]:
    found: list[Span] = []
    for low, high in sorted(spans):
        if found and low - found[-1][1] < SLIT_MM:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _filled(spans: list[Span], made: Sandwich) -> list[Span]:
    """With more blocks in gaps that are too long, evenly: a gap g takes n = ⌈(g + b) / s⌉ - 1 of them."""
    found = spans[:1]
    for (_, low), after in pairwise(spans):
        gap = after[0] - low
        more = max(0, math.ceil((gap + made.block_mm) / made.spacing_mm - 1e-9) - 1)
        free = (gap - more * made.block_mm) / (more + 1)
        for n in range(more):
            start = low + free + n * (free + made.block_mm)
            found.append((start, start + made.block_mm))
        found.append(after)
    return [(round(low, 3), round(high, 3)) for low, high in found]


def _layer(member: Member, near: float, far: float, name: str) -> Member:
    """What of a member lies between two depths behind its outer face."""

    def between(outer: Point, inner: Point, depth: float) -> Point:
        share = depth / member.thickness_mm
        return (outer[0] + share * (inner[0] - outer[0]), outer[1] + share * (inner[1] - outer[1]))

    return replace(
        member,
        id=name,
        outer_start=between(member.outer_start, member.inner_start, near),
        inner_start=between(member.outer_start, member.inner_start, far),
        outer_end=between(member.outer_end, member.inner_end, near),
        inner_end=between(member.outer_end, member.inner_end, far),
        thickness_mm=far - near,
        sandwich=None,
    )


def _upright(skin: Part, low: float, high: float) -> tuple[Point, ...]:
    low, high = round(max(low, 0.0), 6), round(min(high, skin.length_mm), 6)
    return ((low, 0.0), (high, 0.0), (high, skin.width_mm), (low, skin.width_mm))
