"""Corner blocks: glued where two strips meet and no screw holds them.

Claim: one block for each mitred corner of the frame, for each butt joint that got no pilot hole (too skewed,
too near an end, too thin), and for each joist end that stands against no one strip. A block is as long as
the strips are deep; it is cut from 25 mm square stock, planed to the corner's angle: common practice, no
source. Saw cuts are not counted.

What this does not know: whether a device needs the room in that corner; look at the board drawing.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from boardwright_timber.geometry import path_length
from boardwright_timber.model import BoardParts, Frame, HardwareLine, HoleKind, Joists, Member, MemberRole

from ..parts.butts import Butt, butts

TOUCH_MM = 0.05
SAME_HOLE_MM = 0.01
BLOCK_MM = 25
BENT_APART_MM = 150.0  # common practice, no source
BEHIND_BENT = "holding curved edges to the members behind"


class Block(NamedTuple):
    """A block ``length_mm`` long where ``members`` meet."""

    members: tuple[str, ...]
    length_mm: float
    why: str


def block_lines(frame: Frame, joists: Joists, parts: BoardParts) -> Iterator[HardwareLine]:
    """One line: millimetres of square strip, if any blocks are needed."""
    found = blocks(frame, joists, parts)
    if found:
        counted = Counter((b.why, b.length_mm) for b in found)
        reasons = list(dict.fromkeys(b.why for b in found))
        yield block_strip(
            [b.length_mm for b in found],
            ", ".join(
                f"{number} of {length:g} for {why}"
                for reason in reasons
                for (why, length), number in sorted(counted.items())
                if why == reason
            ),
        )


def block_strip(lengths_mm: Sequence[float], why: str) -> HardwareLine:
    return HardwareLine(
        item="corner-block-strip",
        says=f"Square strip {BLOCK_MM} × {BLOCK_MM} for corner blocks, planed to each corner's angle",
        quantity=round(sum(lengths_mm), 6),
        unit="mm",
        why=why,
        pieces_mm=tuple(lengths_mm),
    )


def blocks(frame: Frame, joists: Joists, parts: BoardParts) -> list[Block]:
    """Every block of a board, by cause."""
    found = butts((*frame.members, *joists.members))
    held = {(b.butting.id, b.at_end) for b in found}
    across = frame.bed is not None and frame.bed.across
    standing = () if across else joists.joists
    wanted: list[Block] = [
        *(Block((a.id, b.id), a.depth_mm, "mitred corners") for a, b in mitres(frame)),
        *(
            Block((b.through.id, b.butting.id), b.depth_mm, "butt joints without a screw")
            for b in found
            if _is_bare(b, parts)
        ),
        *(
            Block((j.id,), j.depth_mm, "joist ends that stand against no one strip")
            for j in standing
            for at_end in (False, True)
            if (j.id, at_end) not in held
        ),
        *(
            Block((b.id,), b.depth_mm, BEHIND_BENT)
            for b in frame.bent
            for _ in range(math.ceil(path_length(b.inner) / BENT_APART_MM) + 1)
        ),
        *(
            Block((r.id,), r.length_mm, "cleats under the deck at risers")
            for r in joists.members
            if r.role is MemberRole.RISER
        ),
    ]
    # nobody saws a block to a hundredth: whole millimetres, never less than the joint is deep
    return [b._replace(length_mm=math.ceil(round(b.length_mm, 3))) for b in wanted]


def mitres(frame: Frame) -> list[tuple[Member, Member]]:
    """Pairs of members that meet end to end, in the order of the first of them."""
    return [
        (a, b)
        for a in frame.members
        for b in frame.members
        if a is not b
        and math.dist(a.outer_end, b.outer_start) <= TOUCH_MM
        and math.dist(a.inner_end, b.inner_start) <= TOUCH_MM
    ]


def _is_bare(butt: Butt, parts: BoardParts) -> bool:
    """Was the member that runs through made, with no pilot hole at this joint?"""
    return any(
        part.id == butt.through.id
        and not any(
            h.kind is HoleKind.PILOT and abs(h.x_mm - butt.through_mm) <= SAME_HOLE_MM for h in part.holes
        )
        for part in parts.by_member.values()
    )
