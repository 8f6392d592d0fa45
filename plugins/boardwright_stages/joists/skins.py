"""Sides of skins and blocks longer than any skin the stock gives: where each skin is butted, on which block.

Claim: every length of a skin comes out of the stock. Two lengths of a skin butt square over the middle of a
block of their own, as deep as the side, its grain along it, glued to both and to the other skin, which runs
through there: seams of the two skins are apart by a block and APART_MM more, so that each has a block of its
own. Seams keep off strips and risers that are fixed to the side and off joints (bolts and their nuts bear on
the skins). The fewest lengths, then seams not beside those of another strip or of the deck, then the
most even lengths. The block is as long as a fishplate would be; what its glue and the block itself bear is
checked with the strength. Staggered butts over blocks: common practice, no source.

What this does not know: wires that run along a side.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from boardwright.plan.model import Point
from boardwright_timber.model import Member, SkinSeam

from .seams import fewest

if TYPE_CHECKING:
    from collections.abc import Callable

STEP_MM, COARSE_MM = 10.0, 40.0
BLOCK_DEPTHS = (4.0, 3.0, 2.0)  # a block's length in depths of its side
APART_MM = 150.0  # between the blocks of two seams: room for one behind a joist, free at both ends
LEAST_MM = 200.0  # no length is shorter
FIXED_MM = 40.0  # from a seam to what is fixed to the side: a block and its screws
TOUCH_MM = 0.05

type Cost = Callable[[float], tuple[int, float]]
type Stretch = tuple[float, float]
type Both = tuple[tuple[float, ...], tuple[float, ...]]  # seams of the outer skin, of the inner one


def skin_seams(
    member: Member, longest: float, others: Sequence[Member], joints: Sequence[Stretch], cost: Cost
) -> tuple[SkinSeam, ...] | None:
    """Seams of both skins, the outer one's first; None: no place is free for them. ``joints``: stretches
    along the member on which a joint lies; ``cost`` of a seam at a place."""
    made = member.sandwich
    if made is None or member.thickness_mm - 2 * made.skin_mm < made.skin_mm:
        return None  # a block thinner than the skin would be the weaker
    fixed = [s for other in others if (s := _stands_at(member, other)) is not None]
    ends = _common(member)
    blocked = [(a - FIXED_MM, b + FIXED_MM) for a, b in (*fixed, *joints)]
    for depths in BLOCK_DEPTHS:
        long = depths * member.depth_mm
        free = [
            x
            for k in range(1, int(member.length_mm / STEP_MM))
            for x in (round(k * STEP_MM, 6),)
            if ends[0] + long / 2 + made.block_mm < x < ends[1] - long / 2 - made.block_mm
            if not any(a < x < b for a, b in blocked)
        ]
        least, apart = max(LEAST_MM, long), long + APART_MM + made.block_mm
        found = _one_after_the_other(member.length_mm, free, longest, cost, least, apart)
        found = found or both_at_once(member.length_mm, free, longest, cost, least, apart)
        if found is not None:
            return tuple(
                SkinSeam(member=member.id, at_mm=x, outer=is_outer, block_mm=long)
                for is_outer, stops in zip((True, False), found, strict=True)
                for x in stops
            )
    return None


def _one_after_the_other(
    length: float, free: Sequence[float], longest: float, cost: Cost, least: float, apart: float
) -> Both | None:
    """The best seams of the outer skin, and the best that these leave to the inner one."""
    outer = fewest(0.0, length, free, longest, cost, least)
    if outer is None:
        return None
    left = [x for x in free if all(abs(x - o) >= apart for o in outer)]
    inner = fewest(0.0, length, left, longest, cost, least)
    return None if inner is None else (outer, inner)


def both_at_once(
    length: float, free: Sequence[float], longest: float, cost: Cost, least: float, apart: float
) -> Both | None:
    """Seams of both skins where the best of one leave none to the other: the fewest of all, from left to
    right, on places COARSE_MM apart."""
    coarse: list[float] = []
    for x in free:
        if not coarse or x - coarse[-1] >= COARSE_MM:
            coarse.append(x)
    # by the last seam of either skin (0: none yet): the best way so far, and its seams
    best: dict[tuple[float, float], tuple[int, int, float, Both]] = {(0.0, 0.0): (0, 0, 0.0, ((), ()))}
    for x in coarse:
        more: dict[tuple[float, float], tuple[int, int, float, Both]] = {}
        hurt = cost(x)[0]
        for lasts, (number, parted, uneven, seams) in best.items():
            for skin in (0, 1):
                step, other = x - lasts[skin], lasts[1 - skin]
                if not least <= step <= longest or (other and x - other < apart) or x - other > longest:
                    continue
                at = (x, other) if skin == 0 else (other, x)
                grown = ((*seams[0], x), seams[1]) if skin == 0 else (seams[0], (*seams[1], x))
                way = (number + 1, parted + hurt, round(uneven + step**2, 3), grown)
                more[at] = min(more.get(at, way), way)
        best |= {at: min(best.get(at, way), way) for at, way in more.items()}
    ends = [
        (number, parted, round(uneven + sum((length - at) ** 2 for at in lasts), 3), seams)
        for lasts, (number, parted, uneven, seams) in best.items()
        if all(least <= length - at <= longest for at in lasts)
    ]
    return min(ends)[3] if ends else None


def _common(member: Member) -> Stretch:
    """From where to where both faces of a member reach, along it."""
    starts, ends = (member.outer_start, member.inner_start), (member.outer_end, member.inner_end)
    return max(map(member.along, starts)), min(map(member.along, ends))


def _stands_at(member: Member, other: Member) -> Stretch | None:
    """Where along a member another one stands against one of its faces."""
    if not member.meets_height(other):
        return None
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    touching: list[Point] = []
    for x, y in other.outline:
        deep = dx * (y - oy) - dy * (x - ox)
        if min(abs(deep), abs(deep - member.thickness_mm)) < TOUCH_MM:
            touching.append((x, y))
    at = [member.along(p) for p in touching]
    return (min(at), max(at)) if at and max(at) > 0 and min(at) < member.length_mm else None
