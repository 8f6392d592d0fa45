"""Pilot holes at butt joints.

Two screws at each butt joint (``screw_sizes`` says which), 30 mm from top and bottom edge, in pilot holes
with 90° countersinks (common practice, no source); shallow strips get them nearer, or one in the middle. A
screw is driven in line with the butting strip, so at a butt skewed by a degree or more the drill is tilted.
A pilot moves up or down out of the way of bolts, dowels and wire holes, in the through member and in the
butting one, whose end the screw enters; where there is no room it is left out with a caution.

What this does not know: screws at mitres, in gussets and in the deck; whether a screw holds in end grain
(published design rules allow it no load in withdrawal there: the glue and the shear do the work).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

import msgspec

from boardwright import Notes, Place
from boardwright_timber.model import Face, Hole, HoleKind

from .butts import Butt
from .screw_sizes import Screw, heights, screw_for

FROM_EDGE_MM = 30.0
CLEAR_MM = 4.0  # wood left between a screw and any other hole
HEIGHT_STEP_MM = 2.5
MOST_SKEW_DEG = 35.0
SQUARE_DEG = 1.0  # 0.2 mm in a side of 12 mm; common practice, no source


class Bored(msgspec.Struct):
    """Holes already in one member (part coordinates), and screws lying along it: (low x, high x, y)."""

    holes: list[Hole]
    screws: list[tuple[float, float, float]]


def drill(found: Iterable[Butt], bored: Mapping[str, Bored], board: str, notes: Notes) -> None:
    """Add the pilots of butt joints to ``bored``. Joints that get none or too few are told by cause."""
    thin: list[Butt] = []
    cramped: list[Butt] = []
    for butt in found:
        place = Place(board=board, item=butt.butting.id)
        names = f"{butt.butting.id} meets {butt.through.id}"
        if abs(butt.skew_deg) > MOST_SKEW_DEG:
            notes.caution(
                "BW-PART-001",
                f"{names} {abs(butt.skew_deg):.0f}° off square: too skewed to screw.",
                place,
                "Glue it and add a corner block inside.",
            )
            continue
        depth = butt.depth_mm
        screw, wanted = _screw_in(butt)
        if screw is None or not wanted:
            thin.append(butt)
        elif _from_end(butt) < screw.pilot_mm:
            notes.caution(
                "BW-PART-005",
                f"{names} so near its end that a screw would break out.",
                place,
                "Glue it and add a corner block inside.",
            )
        elif not _bore(butt, screw, wanted, depth, bored):
            cramped.append(butt)
    _tell_thin(thin, board, notes)
    _tell_cramped(cramped, board, notes)


def suits_none(butt: Butt) -> bool:
    """Whether a joint that could be screwed is of strips too thin or too shallow for any screw."""
    return abs(butt.skew_deg) <= MOST_SKEW_DEG and not _screw_in(butt)[1]


def _screw_in(butt: Butt) -> tuple[Screw | None, tuple[float, ...]]:
    """The screw that suits a joint and its heights; none."""
    screw = screw_for(butt.through.thickness_mm, butt.butting.thickness_mm, butt.skew_deg)
    return screw, () if screw is None else heights(butt.depth_mm, FROM_EDGE_MM, screw)


def _bore(
    butt: Butt, screw: Screw, wanted: tuple[float, ...], depth_mm: float, bored: Mapping[str, Bored]
) -> bool:
    """Bore the pilots of one joint. False when one found no room."""
    through, butting = butt.through, butt.butting
    complete = True
    for z in wanted:
        height = _free_height(butt, screw, z, depth_mm, bored)
        if height is None:
            complete = False
            continue
        bored[through.id].holes.append(
            Hole(
                kind=HoleKind.PILOT,
                x_mm=round(butt.through_mm, 6),
                y_mm=round(butt.top_mm + height - through.bottom_mm, 6),
                diameter_mm=screw.pilot_mm,
                depth_mm=None,
                face=Face.OUTER if butt.head_outer else Face.INNER,
                note=_note(butt, screw),
                tilt_deg=0.0 if _as_square(butt) else round(butt.tilt_deg, 6),
                screw=(screw.diameter_mm, screw.length_mm),
            )
        )
        low, high = _lane(butt, screw)
        bored[butting.id].screws.append((low, high, butt.top_mm + height - butting.bottom_mm))
    return complete


def _tell_thin(found: list[Butt], board: str, notes: Notes) -> None:
    if not found:
        return
    sizes = sorted({(b.butting.thickness_mm, b.depth_mm) for b in found})
    notes.caution(
        "BW-PART-006",
        f"Board {board}: no wood screw suits {_joints(found)}, whose strips are "
        f"{' and '.join(f'{t:g} mm thick and {d:g} mm deep' for t, d in sizes)}.",
        [Place(board=board, item=b.butting.id) for b in found],
        "Glue these joints with a corner block inside each, or take members of 9 mm (framing."
        "member_thickness_mm) and 18 mm depth (framing.depth_mm) or more.",
    )


def _tell_cramped(found: list[Butt], board: str, notes: Notes) -> None:
    if found:
        ends = ", ".join(f"{b.through.id} into the end of {b.butting.id}" for b in found)
        notes.caution(
            "BW-PART-002",
            f"Board {board}: bolts or wire holes leave no room for every screw of {_joints(found)}: through "
            f"{ends}.",
            [Place(board=board, item=b.butting.id) for b in found],
            "Glue it well and add a corner block, or move the bolt or wire hole beside it.",
        )


def _joints(found: list[Butt]) -> str:
    return f"{len(found)} butt joint{'s' if len(found) > 1 else ''}"


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


def _note(butt: Butt, screw: Screw) -> str:
    if _as_square(butt):
        return f"countersink, screw {screw}"
    tilt = abs(butt.skew_deg)
    return f"countersink, screw {screw}, drill {tilt:.0f}° off square, in line with {butt.butting.id}"


def _as_square(butt: Butt) -> bool:
    """So near to square that the pilot is drilled square: no hand sets a drill finer."""
    return abs(butt.skew_deg) < SQUARE_DEG


def _lane(butt: Butt, screw: Screw) -> tuple[float, float]:
    """Where a screw lies in the butting member, from that member's datum."""
    into = screw.length_mm - butt.through.thickness_mm / math.cos(math.radians(butt.skew_deg))
    length = butt.butting.length_mm
    return (length - into, length) if butt.at_end else (0.0, into)


def _free_height(
    butt: Butt, screw: Screw, z_mm: float, depth_mm: float, bored: Mapping[str, Bored]
) -> float | None:
    """The free height nearest to the wanted one in the same half of the depth, from its top (negative)."""
    upper, edge = z_mm >= -depth_mm / 2, screw.from_edge_mm
    low, high = (-depth_mm / 2, -edge) if upper else (-depth_mm + edge, -depth_mm / 2)
    steps = int(depth_mm / HEIGHT_STEP_MM)
    for n in range(steps + 1):
        outward = n * HEIGHT_STEP_MM * (1 if upper else -1)  # towards the edge first: a wider stance
        for z in (z_mm + outward, z_mm - outward):
            if low <= z <= high and _is_free(butt, screw, z, bored):
                return z
    return None


def _is_free(butt: Butt, screw: Screw, z_mm: float, bored: Mapping[str, Bored]) -> bool:
    through, butting = bored[butt.through.id], bored[butt.butting.id]
    y = butt.top_mm + z_mm - butt.through.bottom_mm
    reach = butt.through.thickness_mm * abs(math.tan(math.radians(butt.skew_deg)))
    for hole in through.holes:
        gap = math.hypot(max(abs(hole.x_mm - butt.through_mm) - reach, 0.0), hole.y_mm - y)
        if gap < hole.diameter_mm / 2 + screw.diameter_mm / 2 + CLEAR_MM:
            return False
        if hole.kind is HoleKind.PILOT and gap < screw.apart_mm and hole.x_mm == round(butt.through_mm, 6):
            return False
    for low, high, at in through.screws:  # screws lying along the through member near its end
        if (
            low - CLEAR_MM <= butt.through_mm <= high + CLEAR_MM
            and abs(at - y) < screw.diameter_mm + CLEAR_MM
        ):
            return False
    y = butt.top_mm + z_mm - butt.butting.bottom_mm
    low, high = _lane(butt, screw)
    for hole in butting.holes:
        aside = max(low - hole.x_mm, hole.x_mm - high, 0.0)
        if math.hypot(aside, hole.y_mm - y) < hole.diameter_mm / 2 + screw.diameter_mm / 2 + CLEAR_MM:
            return False
    return True
