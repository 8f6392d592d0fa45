"""Seams of decks: what lies below each.

Claim: where two pieces of a deck meet, wood lies right below, a joist, another strip or a plate, but for the
slits beside a plate and where the deck stands out over its frame; no plate stands in a strip's place.

What this does not know: how wide the wood below an edge is, screws, glue.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import shapely
from shapely import Polygon

from . import shapes
from .opened import Opened, many
from .record import Board, Part

TOUCH_MM = 0.01
LEVEL_MM = 0.001
WOOD_MM2 = 0.05
OVER_MM2 = 1.0
SLIT_MM = 5.0  # what may be bare beside a plate
SLANT = 1.5  # a seam may cross what stands out at an angle


def check_decks(opened: Opened) -> Iterator[str]:
    seams = 0
    for board in opened.pack.boards:
        _plates_apart(opened, board)
        decks = [(p, _laid(p)) for p in board.parts if p.role == "deck"]
        if len(decks) < 2:
            continue
        climbs = any(panel.ways for panel in board.frame.deck)  # its heights: see ``climbing``
        below = shapes.together([*_below(board, None if climbs else decks[0][0].placement.z_mm)])
        edge = shapes.together([s for _, s in decks]).boundary
        rim = 0.0
        if not board.frame.deck:
            rim = max(shapely.Point(c).distance(below) for c in shapely.get_coordinates(edge))
        wood = below.buffer(2 * TOUCH_MM)
        for (one, a), (two, b) in combinations(decks, 2):
            seam = a.buffer(TOUCH_MM).intersection(b.buffer(TOUCH_MM))
            if climbs and a.intersection(b).area > OVER_MM2:
                continue  # one passes over the other
            if seam.is_empty or max(shapes.size(seam.envelope)) < 1.0:
                continue
            seams += 1
            for bare in shapely.get_parts(seam.difference(wood)):
                long = max(shapes.size(bare.envelope)) if bare.area else 0.0
                out = bare.distance(edge) < SLIT_MM
                if long > (SLANT * rim + SLIT_MM if out else SLIT_MM):
                    opened.fault(
                        "BW-VERIFY-038",
                        f"board {board.id}: {one.id} and {two.id} meet with nothing below {long:.0f} mm of "
                        "their seam",
                        board=board.id,
                        item=f"{one.id}, {two.id}",
                    )
    yield f"{many(seams, 'seam')} between pieces of decks lie on wood."


def _plates_apart(opened: Opened, board: Board) -> None:
    """No plate below a deck stands in the place of a strip."""
    plates = [p for p in board.parts if not p.placement.stands and not p.placement.path and p.role != "deck"]
    strips = [p for p in board.parts if p.placement.stands and not p.placement.path] if plates else []
    standing = [(p, shapes.strip(p, p.length_mm)) for p in strips]
    for plate in plates:
        low, shape = plate.placement.z_mm, _laid(plate)
        for strip, wood in standing:
            bottom = strip.placement.z_mm
            deep = min(low + plate.thickness_mm, bottom + strip.width_mm) - max(low, bottom)
            if deep > LEVEL_MM and shape.intersection(wood).area > WOOD_MM2:
                opened.fault(
                    "BW-VERIFY-036",
                    f"board {board.id}: {plate.id} and {strip.id} stand in one place",
                    board=board.id,
                    item=f"{plate.id}, {strip.id}",
                )


def _below(board: Board, level: float | None) -> Iterator[Polygon]:
    """Parts whose upper side is right below the deck; a side of skins and blocks over its whole width. All
    below a deck that has no one ``level``."""
    for member in board.frame.members:
        if member.sandwich is not None and (level is None or abs(member.top_mm - level) < LEVEL_MM):
            ring = (member.outer_start, member.outer_end, member.inner_end, member.inner_start)
            yield shapes.area(ring)
    for part in board.parts:
        place = part.placement
        if place.path or part.role == "deck":
            continue
        top = place.z_mm + (part.width_mm if place.stands else part.thickness_mm)
        if level is None or abs(top - level) < LEVEL_MM:
            yield shapes.strip(part, part.length_mm) if place.stands else _laid(part)


def _laid(part: Part) -> Polygon:
    """A lying part in its board's axes."""
    shape = shapes.part_shape(part)
    rings = [
        [shapes.local(part, x, y)[:2] for x, y in ring.coords] for ring in (shape.exterior, *shape.interiors)
    ]
    return shapes.area(rings[0], rings[1:])
