"""What is said of strips along edges."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.geometry import offset_path, path_length, tightest_radius_mm
from boardwright_timber.model import Board, BoardEdging, Frame

from ..framing.bent import BEND_RATIO
from ..splitting.settings import SplittingSettings
from .choosing import Edges, Key
from .laying import LEAST_MM
from .parts import strip_kg

SLACK_MM = 0.05
GRAM_KG = 0.001


def about_bare(boards: Mapping[str, Board], edges: Edges, bare: Sequence[Key], notes: Notes) -> None:
    """Stretches that were asked for and get none."""
    if not bare:
        return
    told = [(b, edges[b][n]) for b, n in bare]
    where = [_place(boards[b], s.path[0]) for b, s in told]
    says = ", ".join(f"{s.length_mm:.0f} mm of board {b}" for b, s in told)
    notes.caution(
        "BW-EDGE-002",
        f"No fascia stands along {says}: shorter than {LEAST_MM:g} mm, or without room for its thickness "
        "between boards.",
        where,
        "Draw the edge there without the short piece or the narrow slot, or close the place with a block of "
        "solid wood.",
    )


def about_bends(board: Board, made: BoardEdging, notes: Notes) -> None:
    for strip in made.strips:
        radius = min(tightest_radius_mm(offset_path(p.inner, -strip.thickness_mm / 2)) for p in strip.pieces)
        if radius < BEND_RATIO * strip.thickness_mm - SLACK_MM:
            thinnest = math.floor(radius / BEND_RATIO * 10) / 10
            notes.caution(
                "BW-EDGE-001",
                f"Strip {strip.id} of {strip.thickness_mm:g} mm is bent to a radius of {radius:.0f} mm: dry, "
                f"it bends to {BEND_RATIO * strip.thickness_mm:.0f} mm ({BEND_RATIO:g} times its thickness; "
                "common practice, no source).",
                _place(board, strip.pieces[0].inner[len(strip.pieces[0].inner) // 2], strip.id),
                (
                    f"Take {thinnest:g} mm or less (fascia.thickness_mm), "
                    if thinnest >= 1
                    else "Ease the curve, "
                )
                + "glue it of two thinner layers, or saw kerfs across its back till it goes round, on waste "
                "first.",
            )


def about_holds(board: Board, made: BoardEdging, spacing_mm: float, notes: Notes) -> None:
    """Stretches of a strip with nothing to screw to."""
    for strip in made.strips:
        long = sum(path_length(p.inner) for p in strip.pieces)
        held = [0.0, *(h.at_mm for h in strip.holds), long]
        widest, at = max((b - a, a) for a, b in pairwise(held))
        if widest > 2 * spacing_mm or not strip.holds:
            notes.caution(
                "BW-EDGE-005",
                f"Strip {strip.id} has nothing to be screwed to for {widest:.0f} mm from {at:.0f} mm on: no "
                "member's face or end stands behind it there, and no deck to glue a block to.",
                _place(board, strip.pieces[0].inner[0], strip.id),
                "Glue and screw upright blocks to the joists or the risers nearest to the edge, out to the "
                "strip's inner face; or leave this edge out (fascia.not_near).",
            )


def about_climb(board: Board, made: BoardEdging, frame: Frame, deck_mm: float, notes: Notes) -> None:
    """A deck that climbs above the strips' level top."""
    high = max((p[2] for panel in frame.deck for way in panel.ways or () for p in way), default=0.0) + deck_mm
    top = max(s.top_mm for s in made.strips)
    if high > top + SLACK_MM:
        notes.caution(
            "BW-EDGE-006",
            f"The deck of board {board.id} climbs {high - top:.0f} mm above the level top of its fascia.",
            Place(board=board.id),
            f"Set fascia.above_mm to {math.ceil(high - deck_mm)} or more and saw the top to the ground's "
            "line, or leave the edge to scenery.",
        )


def about_size(board: Board, made: BoardEdging, splitting: SplittingSettings, notes: Notes) -> None:
    """A board that its strips make larger than the splitting was told."""
    points = [p for s in made.strips for piece in s.pieces for p in piece.outer]
    xs, ys = ([0.0, size, *(p[n] for p in points)] for n, size in ((0, board.length_mm), (1, board.width_mm)))
    grown = sorted((max(xs) - min(xs), max(ys) - min(ys)), reverse=True)
    own = sorted((board.length_mm, board.width_mm), reverse=True)
    most = splitting.box_mm
    if any(g > m + SLACK_MM >= o for g, m, o in zip(grown, most, own, strict=True)):
        notes.note(
            "BW-EDGE-007",
            f"With its fascia board {board.id} is {grown[0]:.1f} × {grown[1]:.1f} mm, more than the "
            f"{most[0]:.0f} × {most[1]:.0f} that [splitting] allows.",
            Place(board=board.id),
            "Take the fascia off to carry it, or let [splitting] make the board smaller by so much.",
        )


def about_mass(board: Board, made: BoardEdging, splitting: SplittingSettings, notes: Notes) -> None:
    """A board that its strips make heavier than the guideline it was split by."""
    import shapely

    most = splitting.most_kg
    if most is None:
        return
    shape = shapely.Polygon(board.ring, board.wells)
    own = splitting.thought_kg(shape.area, shape.length)
    more = sum(map(strip_kg, made.strips))
    if own <= most + GRAM_KG < own + more:
        metres = sum(path_length(p.inner) for s in made.strips for p in s.pieces) / 1000
        notes.caution(
            "BW-EDGE-008",
            f"With {more:.1f} kg of fascia board {board.id} is thought to weigh {own + more:.1f} kg, more "
            f"than {most:.1f} kg.",
            Place(board=board.id),
            "Take the fascia off to carry it, or let it be counted when boards are split: set [splitting] "
            f"kg_per_m to {splitting.kg_per_m + more / metres:.2f}.",
        )


def _place(board: Board, at: Point, item: str | None = None) -> Place:
    x, y = board.to_plan(at)
    return Place(board=board.id, item=item, x_mm=round(x, 1), y_mm=round(y, 1))
