"""What of the list of made parts holds in the plan as it is now: levels may be raised, drawn joints moved.

Claim: boards keep to their level when it gets another height. A joint that is held gives way to one that is
drawn beside it now, so near that no board fits between them: the builder has moved it.

What this does not know: two levels that change places.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from msgspec.structs import replace

from boardwright.findings import Finding, Notes, Place, Severity
from boardwright.plan.model import DrawnJoint, TrackPlan
from boardwright_timber.model import Joint, Splitting
from boardwright_timber.model.made import HeldJoints, MadeJoint

from .as_made import EDGE
from .settings import SplittingSettings

SAME_MM = 0.05
STAYED = "As it was when parts were last marked as made, and no worse than elsewhere."
MOST = 0.5  # of a joint's length must lie beside the drawn one


def at_heights_now(held: HeldJoints, plan: TrackPlan) -> HeldJoints:
    """The list with every level at the height it has now: of new heights the nearest where its boards lie."""
    was = {b.level_mm for b in held.boards} | {j.level_mm for j in held.joints}
    now = {o.level_mm for o in plan.outlines}
    new, free = {}, sorted(now - was)
    for level in sorted(was - now):
        spots = shapely.points([(b.x_mm, b.y_mm) for b in held.boards if b.level_mm == level])
        for height in sorted(free, key=lambda h: (abs(h - level), h)):
            rings = [shapely.Polygon(o.ring, o.wells) for o in plan.outlines if o.level_mm == height]
            if 2 * int(np.count_nonzero(shapely.contains(shapely.union_all(rings), spots))) > len(spots):
                new[level] = height
                free.remove(height)
                break
    if not new:
        return held
    return replace(
        held,
        joints=tuple(replace(j, level_mm=new.get(j.level_mm, j.level_mm)) for j in held.joints),
        boards=tuple(replace(b, level_mm=new.get(b.level_mm, b.level_mm)) for b in held.boards),
        others=tuple(replace(j, level_mm=new.get(j.level_mm, j.level_mm)) for j in held.others),
    )


def without_moved(held: HeldJoints, plan: TrackPlan, settings: SplittingSettings, notes: Notes) -> HeldJoints:
    """The list without joints that the builder has drawn elsewhere now; each is told."""
    kept = []
    for one in held.joints:
        drawn = [d for d in plan.drawn_joints if d.level_mm in (None, one.level_mm)]
        beside = _beside(one, drawn, settings.min_length_mm)
        if beside is None:
            kept.append(one)
            continue
        what = one.id if one.id.startswith(EDGE) else f"joint {one.id}"
        notes.caution(
            "BW-SPLIT-024",
            f"The {what} was to stay for the sake of what is made, but {beside.id} is drawn beside it, "
            "where no board fits between: the drawn one counts",
            (beside.place, Place(file=held.file, item=one.id)),
            "Take it out of the drawing, or draw it where the joint is, if what is made is worth more; else "
            "look which made parts no longer fit.",
        )
    return replace(held, joints=tuple(kept)) if len(kept) < len(held.joints) else held


def no_worse(kept: Splitting, says: Sequence[Finding], anew: Splitting, anew_says: Sequence[Finding]) -> bool:
    """Whether a splitting whose other joints have stayed has no more boards, and no fault or caution more,
    than the one in which they were searched anew."""

    def told(findings: Sequence[Finding]) -> int:
        return sum(f.severity in (Severity.FAULT, Severity.CAUTION) for f in findings)

    return len(kept.boards) <= len(anew.boards) and told(says) <= told(anew_says)


def all_there(splitting: Splitting, joints: Iterable[MadeJoint]) -> bool:
    """Whether each of these joints is there from end to end."""
    return all(any(_is(j, one, splitting) for j in splitting.joints) for one in joints)


def not_held(splitting: Splitting, others: Iterable[MadeJoint]) -> Splitting:
    """The splitting with joints that only stayed, for want of a reason to move, told as such."""
    stayed = {j.id for j in splitting.joints if any(_is(j, one, splitting) for one in others)}

    def told(joint: Joint) -> Joint:
        return replace(joint, held=False, why=STAYED) if joint.id in stayed and joint.held else joint

    return replace(
        splitting,
        boards=tuple(replace(b, joints=tuple(map(told, b.joints))) for b in splitting.boards),
        joints=tuple(map(told, splitting.joints)),
    )


def _is(joint: Joint, one: MadeJoint, splitting: Splitting) -> bool:
    level_mm = next(b.level_mm for b in splitting.boards if b.id == joint.boards[0])
    ends = min(
        max(math.dist(joint.start, p), math.dist(joint.end, q))
        for p, q in ((one.start, one.end), (one.end, one.start))
    )
    return level_mm == one.level_mm and ends <= SAME_MM


def _beside(one: MadeJoint, drawn: Iterable[DrawnJoint], near_mm: float) -> DrawnJoint | None:
    """The drawn joint that takes the place of one that is held; None: none, or it is drawn where it is."""
    far = {d.id: (_off_mm(one, d), d) for d in drawn}
    found = [(off, d.id) for off, d in far.values() if off < near_mm]
    if not found or min(found)[0] <= SAME_MM:
        return None
    return far[min(found)[1]][1]


def _off_mm(one: MadeJoint, drawn: DrawnJoint) -> float:
    """How far the farther end of a held joint is from the line of a drawn one that runs beside it."""
    p, length = np.array(drawn.start), math.dist(drawn.start, drawn.end)
    if length < SAME_MM:
        return math.inf
    d = (np.array(drawn.end) - p) / length
    ends = np.array((one.start, one.end)) - p
    low, high = sorted((ends @ d).tolist())
    if min(high, length) - max(low, 0.0) < MOST * math.dist(one.start, one.end):
        return math.inf
    return float(np.abs(ends @ np.array((-d[1], d[0]))).max())
