"""Joints the builder drew: they are obeyed first, made to reach the edge when they nearly do, and checked.

A drawn joint may end on an edge, a well or another drawn joint, may run on past the edge, and may cross
several pieces. One without a level cuts the outlines of every level. What this does not know: why it was
drawn there.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np

from boardwright.findings import Notes
from boardwright.plan.model import DrawnJoint

from . import chords, healing
from .chords import Chords
from .directions import Array
from .piece import Cut, Node, Piece
from .settings import SplittingSettings

CORNER_MM = 0.5  # a drawn joint this near a corner goes to the corner


class Drawn(msgspec.Struct):
    """What became of the drawn joints: by outline, the pieces and the cuts made."""

    pieces: list[list[Piece]]
    cuts: list[list[Cut]]


def obey(
    outlines: list[Piece], joints: tuple[DrawnJoint, ...], settings: SplittingSettings, notes: Notes
) -> Drawn:
    """Cut the outlines along every drawn joint that reaches from edge to edge."""
    done = Drawn([[p] for p in outlines], [[] for _ in outlines])
    progress = True
    while progress:
        progress = False
        for joint in joints:
            for k in range(len(outlines)):
                while _cut_once(done, k, joint, settings):
                    progress = True
    for joint in joints:
        for cut in (c for cuts in done.cuts for c in cuts if c.drawn == joint.id):
            _mended(joint, cut, notes)
    return done


def _cut_once(done: Drawn, k: int, joint: DrawnJoint, settings: SplittingSettings) -> bool:
    for at, piece in enumerate(done.pieces[k]):
        if not piece.may_meet(joint.start, joint.end, settings.drawn_reach_mm + 1.0):
            continue
        found, low, high, length = _along(piece, joint)
        reach = settings.drawn_reach_mm
        for i in range(len(found)):
            if low[i] < -reach or high[i] > length + reach:
                continue
            enter, leave = (_to_corner(piece, n) for n in found.nodes(i))
            if math.dist(piece.at(enter), piece.at(leave)) < chords.SHORTEST_MM:
                continue
            parts, cut = piece.cut(enter, leave, joint.id)
            if any(p.area < 1.0 or len(p.rings[0]) < 3 or not healing.sound(p) for p in parts):
                continue
            done.pieces[k][at : at + 1] = parts
            done.cuts[k].append(cut)
            return True
    return False


def _along(piece: Piece, joint: DrawnJoint) -> tuple[Chords, Array, Array, float]:
    """Chords on the joint's line, and where they run on it, in mm from the joint's start."""
    p, q = np.array(joint.start, dtype=float), np.array(joint.end, dtype=float)
    length = math.dist(p, q)
    if length < chords.SHORTEST_MM:
        return chords.find(piece, np.empty((0, 2)), np.empty(0)), np.empty(0), np.empty(0), 0.0
    d = (q - p) / length
    normal = np.array([[-d[1], d[0]]])
    found = chords.find(piece, normal, normal @ p)
    return found, (found.start - p) @ d, (found.end - p) @ d, length


def _to_corner(piece: Piece, node: Node) -> Node:
    ring: Array = piece.rings[node.ring]
    a, b = ring[node.edge], ring[(node.edge + 1) % len(ring)]
    point = a + node.fraction * (b - a)
    if math.dist(point, a) < CORNER_MM:
        return Node(node.ring, node.edge, 0.0)
    if math.dist(point, b) < CORNER_MM:
        return Node(node.ring, node.edge, 1.0)
    return node


def report(
    joint: DrawnJoint,
    outlines: list[Piece],
    done: Drawn,
    parts_boards: bool,
    settings: SplittingSettings,
    notes: Notes,
) -> None:
    """Say what of a drawn joint could not be obeyed; ``parts_boards``: it ended up between two boards."""
    inside = followed = 0.0
    short: list[float] = []
    for outline in outlines:
        _, low, high, length = _along(outline, joint)
        inside += _covered(low, high, length)
        short += _short_of_edges(low, high, length)
    for cut in (c for cuts in done.cuts for c in cuts if c.drawn == joint.id):
        followed += math.dist(cut.start, cut.end)
    if inside - followed > settings.drawn_reach_mm + 1.0:
        notes.caution(
            "BW-SPLIT-005",
            f"The drawn joint {joint.id} does not reach from edge to edge: {inside - followed:.0f} mm of it "
            f"could not be followed{_by_how_much(short, settings.drawn_reach_mm)}",
            joint.place,
            "Draw it on to the edge, a well or another drawn joint, or remove it.",
        )
    elif not parts_boards:
        notes.caution(
            "BW-SPLIT-006",
            f"The drawn joint {joint.id} parts nothing: it lies off the layout surface, along a curved or "
            "short edge, or the same board lies on both sides of it",
            joint.place,
            "Move it onto the layout surface, draw the other joint that frees the board, or remove it.",
        )


def _short_of_edges(low: Array, high: Array, length: float) -> list[float]:
    """How far a joint's ends are from where the stretches it runs on end, mm."""
    found = []
    for a, b in zip(low.tolist(), high.tolist(), strict=True):
        if min(b, length) - max(a, 0.0) > chords.SHORTEST_MM:
            found += [-a, b - length]
    return found


def _by_how_much(short: list[float], reach_mm: float) -> str:
    """Where it ends short by more than is mended; at a free end the layout may go on for metres."""
    by = sorted(round(gap) for gap in short if gap > reach_mm)
    return f"; it ends {' and '.join(f'{gap} mm' for gap in by)} short" if by else ""


def _covered(low: Array, high: Array, length: float) -> float:
    """How much of 0…length stretches cover: where a line leaves at a corner, two are the same."""
    total = reached = 0.0
    for a, b in sorted(zip(low.tolist(), high.tolist(), strict=True)):
        end = min(b, length)
        total += max(end - max(a, reached), 0.0)
        reached = max(reached, end)
    return total


def _mended(joint: DrawnJoint, cut: Cut, notes: Notes) -> None:
    for end in (cut.start, cut.end):
        short = min(math.dist(end, joint.start), math.dist(end, joint.end))
        length = math.dist(joint.start, joint.end)
        beyond = max(math.dist(end, joint.start), math.dist(end, joint.end)) > length + 0.01
        if beyond and short > 0.01:
            notes.mended(
                "BW-SPLIT-007",
                f"The drawn joint {joint.id} stopped {short:.1f} mm short of the edge and was drawn on to it",
                (joint.place,),
                "Nothing to do, unless it was meant to stop there.",
            )
