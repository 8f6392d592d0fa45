"""Decks put together again from their part drawings, by the stored placements.

Claim: decks as drawn cover the drawn outline once, with nothing over (members: ``members``).

Glossary
    gap    the strip a lift-out leaves free along a joint, as wide as its working clearance
    hair   what lies between a nearly straight arc and its chord, where a joint leaves only one chord of it
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations, pairwise

import msgspec
import shapely
from shapely import LineString, Polygon
from shapely.affinity import affine_transform

from . import shapes
from .opened import Opened, many
from .profiles import CUT
from .record import Board, Circle, Outline, Part

AREA_MM2 = 1.0  # decks and outline
HAIR_MM = 0.02


def check_boards(opened: Opened) -> Iterator[str]:
    rings: dict[str, Polygon] = {}
    decks: dict[str, shapely.Geometry] = {}
    for board in opened.pack.boards:
        try:
            rings[board.id] = shapes.board_shape(board)
        except ValueError as problem:
            opened.fault(
                "BW-VERIFY-033", f"board {board.id}: its edge crosses itself: {problem}", board=board.id
            )
            continue
        _size(opened, board, rings[board.id])
        found = _deck(opened, board, rings[board.id])
        if found is not None:
            decks[board.id] = found
    worst = max([_tiles(opened, rings, "boards"), _tiles(opened, rings | decks, "decks as drawn")])
    yield (
        f"{many(len(decks), 'deck')}, read from the drawings and put into place: they cover the drawn "
        f"outline once, {worst:.3f} mm² left over or covered twice."
    )


def _size(opened: Opened, board: Board, ring: Polygon) -> None:
    outer = [local(board, p) for p in ring.exterior.coords]
    low = (min(p[0] for p in outer), min(p[1] for p in outer))
    high = (max(p[0] for p in outer), max(p[1] for p in outer))
    off = max(abs(low[0]), abs(low[1]), abs(high[0] - board.length_mm), abs(high[1] - board.width_mm))
    if off > 0.05:
        opened.fault(
            "BW-VERIFY-033",
            f"board {board.id}: its edge is {high[0] - low[0]:.1f} × {high[1] - low[1]:.1f} mm in its own "
            f"axes, its size is told as {board.length_mm:.1f} × {board.width_mm:.1f} mm",
            board=board.id,
        )


def local(board: Board, p: tuple[float, ...]) -> tuple[float, float]:
    turned = _axes(board)
    dx, dy = p[0] - board.origin[0], p[1] - board.origin[1]
    return dx * turned[0] + dy * turned[1], -dx * turned[1] + dy * turned[0]


def _circles(board: Board) -> Iterator[tuple[Circle, tuple[float, float]]]:
    """The board's circles, each with its middle in the board's own axes."""
    for circle in board.circles:
        yield circle, local(board, (circle.x_mm, circle.y_mm))


def _axes(board: Board) -> tuple[float, float]:
    a = math.radians(board.angle_deg)
    return math.cos(a), math.sin(a)


def _deck(opened: Opened, board: Board, ring: Polygon) -> shapely.Geometry | None:
    """The board's deck in plan axes as its drawings have it; None where a drawing cannot be read."""
    pieces: list[Polygon] = []
    for part in board.parts:
        if part.role != "deck":
            continue
        drawn = opened.part_drawing(part)
        contours = []
        for run in drawn.runs if drawn else ():
            if run.layer == CUT and run.closed and len(run.corners) > 1:  # two make a circle
                points = [shapes.in_plan(board, part, x, y)[:2] for x, y in shapes.bulged(run)]
                contours.append(points)
        if not contours:
            return None
        contours.sort(key=lambda c: -Polygon(c).area)
        try:
            pieces.append(shapes.area(contours[0], _openings(part, contours[1:])))
        except ValueError:
            return None  # told where the drawing is looked at
    if not pieces:
        opened.fault("BW-VERIFY-035", f"board {board.id} has no deck", board=board.id)
        return None
    deck = shapes.together(pieces)
    meant: shapely.Geometry = ring
    if board.frame.deck:
        round_ = [msgspec.structs.replace(c, x_mm=x, y_mm=y) for c, (x, y) in _circles(board)]
        panels = [
            shapes.area(shapes.rounded(p.ring, round_), [shapes.rounded(w, round_) for w in p.wells])
            for p in board.frame.deck
        ]
        meant = shapes.together([_to_plan(board, p) for p in panels])
    if (off := shapes.off(deck, meant)) > AREA_MM2:
        opened.fault(
            "BW-VERIFY-032",
            f"board {board.id}: its deck as drawn and placed differs from the board by {off:.1f} mm²",
            board=board.id,
            item=", ".join(p.id for p in board.parts if p.role == "deck"),
        )
    return None if board.frame.deck else deck


def _openings(part: Part, contours: list[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
    """Contours that are openings of the deck; slots are no more than holes, and cover nothing less."""
    return contours[: len(part.openings)]


def _to_plan(board: Board, shape: Polygon) -> Polygon:
    c, s = _axes(board)
    moved = affine_transform(shape, [c, -s, s, c, *board.origin])
    assert isinstance(moved, Polygon)
    return moved


def _tiles(opened: Opened, pieces: dict[str, shapely.Geometry], what: str) -> float:
    """How much is left over, missing or covered twice, mm²."""
    worst = 0.0
    for outline in opened.pack.plan.outlines:
        try:
            wanted = shapes.area(
                shapes.rounded(outline.ring, outline.circles),
                [shapes.rounded(w, outline.circles) for w in outline.wells],
            )
        except ValueError as problem:
            opened.fault("BW-VERIFY-030", f"the drawn outline {outline.id} crosses itself: {problem}")
            continue
        own = {b: g for b, g in pieces.items() if opened.boards[b].outline == outline.id}
        lying = own | _gaps(opened, set(own))
        for one, two in combinations(lying, 2):
            twice = lying[one].intersection(lying[two]).area
            worst = max(worst, twice)
            if twice > AREA_MM2:
                opened.fault(
                    "BW-VERIFY-031",
                    f"{what}: {one} and {two} lie over each other by {twice:.1f} mm²",
                    board=one,
                    item=two,
                )
        for board, piece in own.items():
            over = _no_hair(piece.difference(wanted), outline)
            if over > AREA_MM2:
                opened.fault(
                    "BW-VERIFY-030",
                    f"{what}: board {board} reaches {over:.1f} mm² beyond the drawn outline {outline.id}",
                    board=board,
                )
        bare = wanted.difference(shapes.together(lying.values()))
        left = _no_hair(bare, outline)
        worst = max(worst, left)
        if left > AREA_MM2:
            near = sorted(b for b, g in own.items() if g.distance(bare) < 1.0)
            opened.fault(
                "BW-VERIFY-030",
                f"{what}: {left:.1f} mm² of the drawn outline {outline.id} are covered by no board"
                + (f", beside {', '.join(near)}" if near else ""),
                board=", ".join(near),
                item=outline.id,
            )
    strays = sorted({opened.boards[b].outline for b in pieces} - {o.id for o in opened.pack.plan.outlines})
    for stray in strays:
        opened.fault("BW-VERIFY-030", f"boards stand on the outline {stray}, which the drawing does not have")
    return worst


def _no_hair(found: shapely.Geometry, outline: Outline) -> float:
    """The area, but for pieces nowhere farther than HAIR_MM from one of the outline's circles."""

    def on(c: Circle, piece: shapely.Geometry) -> bool:
        edge = shapely.get_coordinates(piece).tolist()
        middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(edge)]
        return all(abs(math.dist(p, (c.x_mm, c.y_mm)) - c.radius_mm) <= HAIR_MM for p in (*edge, *middles))

    pieces = shapely.get_parts(found)
    return float(sum(p.area for p in pieces if p.area > 0 and not any(on(c, p) for c in outline.circles)))


def _gaps(opened: Opened, boards: set[str]) -> dict[str, shapely.Geometry]:
    found: dict[str, shapely.Geometry] = {}
    for joint in opened.pack.joints:
        for n, id_ in enumerate(joint.boards):
            board = opened.boards.get(id_)
            if board and id_ in boards and board.clear_mm:
                line = LineString([joint.start, joint.end])
                side = board.clear_mm * (1 if n == 0 else -1)
                found[f"{joint.id} beside {id_}"] = line.buffer(side, single_sided=True, cap_style="flat")
    return found
