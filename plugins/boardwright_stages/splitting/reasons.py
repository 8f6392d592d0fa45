"""Why each joint is where it is, and how much room each board leaves under its limits, in words.

A joint is told from one step to either side: what would stop it there; and by its costs (``places``). What
this does not know: why another row of joints altogether would have cost more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import msgspec
import shapely
from msgspec.structs import replace

from boardwright import NO_MEMO, Memo
from boardwright.plan.model import Point
from boardwright_timber.model import Board, Joint

from .directions import Array
from .keepaway import KeepAway
from .limits import spare_mm
from .piece import FIT_MM, Cut, Piece
from .places import CHEAPER, told_cost
from .settings import SplittingSettings
from .terms import NEAR_MM
from .tracks import Tracks

CHEAPEST = ": the cheapest place was taken."
ALONG = 0.9  # cosine from which a move counts as along a board's side


class Near(msgspec.Struct, frozen=True):
    """What a joint is judged by: its level's rules, the boards as cut, directions joints should follow."""

    keep_away: KeepAway
    tracks: Tracks
    pieces: dict[str, Piece]
    main: Array


def why(
    joint: Joint, boards: tuple[Board, Board], cuts: Sequence[Cut], near: Near, settings: SplittingSettings
) -> str:
    """What stops the joint either way, what it costs and what the next best place would have cost.

    ``boards``: those it joins; ``cuts``: their other joints. The distances themselves are the joint's own
    fields.
    """
    sides = near.pieces[joint.boards[0]], near.pieces[joint.boards[1]]
    cost = told_cost(joint, sides, near.main, near.keep_away, near.tracks, settings, cuts)
    stops = _stops(joint, boards, near.keep_away, settings)
    if CHEAPER in cost:
        stops = stops.removesuffix(CHEAPEST) + "." if stops.endswith(CHEAPEST) else stops
    return " ".join(s for s in (stops, cost) if s)


def _looked_at(
    joint: Joint, boards: tuple[Board, Board], near: Near, settings: SplittingSettings
) -> tuple[Any, ...]:
    """All that ``why`` looks at, besides other cuts and settings: what is far from the two boards is not."""
    sides = [near.pieces[name] for name in joint.boards]
    reach = NEAR_MM + settings.step_mm + 1.0
    blockers = {b: None for side in sides for b in near.keep_away.near(side, reach)}
    return (
        replace(joint, crossings=(), nearest_turnout_mm=None, nearest_device_mm=None),
        [replace(b, joints=()) for b in boards],
        [[ring.tolist() for ring in side.rings] for side in sides],
        near.main.tolist(),
        [(b.kind, b.id, b.clear_mm, b.ring.tolist()) for b in near.keep_away.blockers if b in blockers],
        near.tracks.digest,
    )


def _stops(
    joint: Joint, boards: tuple[Board, Board], keep_away: KeepAway, settings: SplittingSettings
) -> str:
    if joint.drawn:
        return "Drawn by the builder."
    if joint.held:
        return "Held for what is made."
    first, second = joint.boards
    d = _unit(joint)
    left = (-d[1], d[0])
    stops = []
    for towards, grows, way in ((first, boards[1], 1.0), (second, boards[0], -1.0)):
        step = (left[0] * settings.step_mm * way, left[1] * settings.step_mm * way)
        stop = _stop(joint, step, grows, keep_away, settings)
        if stop:
            comma = "," if stop.startswith("board ") else ""  # two boards' names side by side
            stops.append(f"{settings.step_mm:.0f} mm nearer to {towards}{comma} {stop}")
    if not stops:
        return f"Free to move {settings.step_mm:.0f} mm either way{CHEAPEST}"
    free = "" if len(stops) == 2 else "; the other way is free, but no cheaper"
    return f"{'; '.join(stops)}{free}."


def _stop(
    joint: Joint, step: Point, grows: Board, keep_away: KeepAway, settings: SplittingSettings
) -> str | None:
    start = (joint.start[0] + step[0], joint.start[1] + step[1])
    end = (joint.end[0] + step[0], joint.end[1] + step[1])
    near = keep_away.too_near(start, end)
    if near:
        blocker, gap = near[0]
        what = f"{blocker.kind} {blocker.id}"
        return f"it would be {gap:.0f} mm from {what}, less than {blocker.clear_mm:.0f} mm"
    size = math.hypot(*step)
    along = abs(_cosine(step, grows.angle_deg))
    long, short = settings.box_mm
    for part, has, limit in ((along, grows.length_mm, long), (_across(along), grows.width_mm, short)):
        if part > ALONG and has + size * part > limit + FIT_MM:
            return f"board {grows.id} would measure {has + size * part:.0f} mm, more than {limit:.0f} mm"
    if settings.max_mass_kg is not None:
        mass = settings.thought_kg(_area(grows) + size * joint.length_mm, _edge(grows) + 2 * size)
        if mass > settings.max_mass_kg:
            most = settings.max_mass_kg
            return f"board {grows.id} would weigh about {mass:.1f} kg, more than {most:.1f} kg"
    return None


def margins(board: Board, asked: SplittingSettings) -> str:
    """What room a board leaves under each limit that is on."""
    long, short = asked.box_mm
    room = long - board.length_mm, short - board.width_mm
    told = [
        f"{abs(r):.0f} mm {'under' if r >= -FIT_MM else 'over'} the {limit}"
        for r, limit in zip(room, ("longest", "widest"), strict=True)
    ]
    if asked.most_kg is not None:
        mass = float(asked.thought_kg(_area(board), _edge(board)))
        told.append(f"about {mass:.1f} of {asked.most_kg:.1f} kg finished")
    if board.clear_mm:
        told.append(f"stands back {board.clear_mm:g} mm from each joint, to lift out")
    box = (board.length_mm - FIT_MM, board.width_mm - FIT_MM, asked.height_mm)
    for opening in asked.openings:
        told.append(_passing(opening.name, spare_mm(box, opening)))
    return "; ".join(told)


def _passing(name: str, spare: float) -> str:
    if spare < 0:
        return f"{-spare:.0f} mm too wide for {name}"
    wider = "however wide it were" if math.isinf(spare) else f"and could be {spare:.0f} mm wider"
    return f"passes {name}, {wider}"


def told(
    boards: list[Board],
    joints: list[Joint],
    near: dict[str, Near],
    asked: SplittingSettings,
    settled: SplittingSettings,
    memo: Memo = NO_MEMO,
) -> tuple[list[Board], list[Joint]]:
    """Boards and joints with their reasons; ``near``: by board, what each joint is judged by."""
    named = {b.id: b for b in boards}

    def told_of(joint: Joint) -> str:
        pair, judged = (named[joint.boards[0]], named[joint.boards[1]]), near[joint.boards[0]]
        others = {j.id: j for b in pair for j in b.joints if j.id != joint.id}
        cuts = [Cut(j.start, j.end) for j in others.values()]
        inputs = (*_looked_at(joint, pair, judged, settled), cuts, settled)
        return memo.by(inputs, why, joint, pair, cuts, judged, settled)

    reasoned = {j.id: replace(j, why=told_of(j)) for j in joints}
    with_margins = [
        replace(b, margins=margins(b, asked), joints=tuple(reasoned[j.id] for j in b.joints)) for b in boards
    ]
    return with_margins, list(reasoned.values())


def _unit(joint: Joint) -> Point:
    (x, y), (u, v) = joint.start, joint.end
    return (u - x) / joint.length_mm, (v - y) / joint.length_mm


def _cosine(step: Point, angle_deg: float) -> float:
    a = math.radians(angle_deg)
    return (step[0] * math.cos(a) + step[1] * math.sin(a)) / math.hypot(*step)


def _across(along: float) -> float:
    return math.sqrt(max(0.0, 1.0 - along**2))


def _area(board: Board) -> float:
    return float(shapely.Polygon(board.ring, board.wells).area)


def _edge(board: Board) -> float:
    return float(shapely.Polygon(board.ring, board.wells).length)
