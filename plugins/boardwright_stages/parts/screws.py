"""Pilot holes at butt joints.

Two 4 × 50 screws at each butt joint, 30 mm from top and bottom edge, in 3 mm pilot holes with countersinks
(common practice, no source). A screw is driven in line with the butting strip, so at a skewed butt the drill
is tilted. A pilot moves up or down out of the way of bolts, dowels and wire holes, in the through member and
in the butting one, whose end the screw enters; where there is no room it is left out with a caution.

What this does not know: screws at mitres, in gussets and in the deck; whether a screw holds in end grain
(published design rules allow it no load in withdrawal there: the glue and the shear do the work).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import msgspec

from boardwright import Notes, Place
from boardwright_timber.model import Face, Hole, HoleKind

from .butts import Butt

PILOT_MM = 3.0
SCREW_MM = 4.0
SCREW_LENGTH_MM = 50.0
FROM_EDGE_MM = 30.0
NEAREST_EDGE_MM = 12.0  # 3 × 4 mm: unloaded edge, EN 1995-1-1 Table 8.2, predrilled
CLEAR_MM = 4.0  # wood left between a screw and any other hole
HEIGHT_STEP_MM = 2.5
MOST_SKEW_DEG = 35.0


class Bored(msgspec.Struct):
    """Holes already in one member (part coordinates), and screws lying along it: (low x, high x, y)."""

    holes: list[Hole]
    screws: list[tuple[float, float, float]]


def drill(butt: Butt, bored: Mapping[str, Bored], board: str, notes: Notes) -> None:
    """Add the pilots of one butt joint to ``bored``."""
    through, butting = butt.through, butt.butting
    place = Place(board=board, item=butting.id)
    if abs(butt.skew_deg) > MOST_SKEW_DEG:
        notes.caution(
            "BW-PART-001",
            f"{butting.id} meets {through.id} {abs(butt.skew_deg):.0f}° off square: too skewed to screw.",
            place,
            "Glue it and add a corner block inside.",
        )
        return
    if _from_end(butt) < PILOT_MM:
        notes.caution(
            "BW-PART-005",
            f"{butting.id} meets {through.id} so near its end that a screw would break out.",
            place,
            "Glue it and add a corner block inside.",
        )
        return
    depth = min(through.depth_mm, butting.depth_mm)
    wanted = (-min(FROM_EDGE_MM, depth / 3), -depth + min(FROM_EDGE_MM, depth / 3))
    for z in wanted:
        height = _free_height(butt, z, depth, bored)
        if height is None:
            notes.caution(
                "BW-PART-002",
                f"No room for a screw through {through.id} into the end of {butting.id}.",
                place,
                "Glue the joint well and add a corner block, or move the bolt or wire hole beside it.",
            )
            continue
        bored[through.id].holes.append(
            Hole(
                kind=HoleKind.PILOT,
                x_mm=round(butt.through_mm, 6),
                y_mm=round(through.depth_mm + height, 6),
                diameter_mm=PILOT_MM,
                depth_mm=None,
                face=Face.OUTER if butt.head_outer else Face.INNER,
                note=_note(butt),
                tilt_deg=round(butt.tilt_deg, 6),
            )
        )
        low, high = _lane(butt)
        bored[butting.id].screws.append((low, high, butting.depth_mm + height))


def _from_end(butt: Butt) -> float:
    """Wood between a screw's line and the nearer end of the through member, on the worse of its two faces."""
    through = butt.through
    lean = math.radians(butt.tilt_deg)
    near, far = butt.through_mm, butt.through_mm + through.thickness_mm * math.tan(lean)
    outer, inner = (near, far) if butt.head_outer else (far, near)
    return math.cos(lean) * min(
        outer - through.along(through.outer_start),
        through.along(through.outer_end) - outer,
        inner - through.along(through.inner_start),
        through.along(through.inner_end) - inner,
    )


def _note(butt: Butt) -> str:
    tilt = abs(butt.skew_deg)
    if tilt < 1:
        return "countersink, screw 4 × 50"
    return f"countersink, screw 4 × 50, drill {tilt:.0f}° off square, in line with {butt.butting.id}"


def _lane(butt: Butt) -> tuple[float, float]:
    """Where a screw lies in the butting member, from that member's datum."""
    into = SCREW_LENGTH_MM - butt.through.thickness_mm / math.cos(math.radians(butt.skew_deg))
    length = butt.butting.length_mm
    return (length - into, length) if butt.at_end else (0.0, into)


def _free_height(butt: Butt, z_mm: float, depth_mm: float, bored: Mapping[str, Bored]) -> float | None:
    """The free height (negative z) nearest to the wanted one in the same half of the depth."""
    upper = z_mm > -depth_mm / 2
    low, high = (-depth_mm / 2, -NEAREST_EDGE_MM) if upper else (-depth_mm + NEAREST_EDGE_MM, -depth_mm / 2)
    steps = int(depth_mm / HEIGHT_STEP_MM)
    for n in range(steps + 1):
        outward = n * HEIGHT_STEP_MM * (1 if upper else -1)  # towards the edge first: a wider stance
        for z in (z_mm + outward, z_mm - outward):
            if low <= z <= high and _is_free(butt, z, bored):
                return z
    return None


def _is_free(butt: Butt, z_mm: float, bored: Mapping[str, Bored]) -> bool:
    through, butting = bored[butt.through.id], bored[butt.butting.id]
    y = butt.through.depth_mm + z_mm
    reach = butt.through.thickness_mm * abs(math.tan(math.radians(butt.skew_deg)))
    for hole in through.holes:
        gap = math.hypot(max(abs(hole.x_mm - butt.through_mm) - reach, 0.0), hole.y_mm - y)
        if gap < hole.diameter_mm / 2 + SCREW_MM / 2 + CLEAR_MM:
            return False
    for low, high, at in through.screws:  # screws lying along the through member near its end
        if low - CLEAR_MM <= butt.through_mm <= high + CLEAR_MM and abs(at - y) < SCREW_MM + CLEAR_MM:
            return False
    y = butt.butting.depth_mm + z_mm
    low, high = _lane(butt)
    for hole in butting.holes:
        aside = max(low - hole.x_mm, hole.x_mm - high, 0.0)
        if math.hypot(aside, hole.y_mm - y) < hole.diameter_mm / 2 + SCREW_MM / 2 + CLEAR_MM:
            return False
    return True
