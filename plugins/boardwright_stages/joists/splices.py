"""A narrow deck longer than a sheet: where each piece of it is parted, and the plate under each seam.

Claim: every piece comes out of a sheet; a seam lies between supports, so that a plate PLATE_MM long finds
room below it, glued and screwed to both pieces, clear of risers, of what else carries the deck and of
devices. The fewest pieces (none shorter than a plate), then the fewest turnouts parted, then the shortest
saw cuts, then the most even pieces. A panel wider than any sheet is parted along the board as well, or
instead (``columns``), by the same rules but that of saw cuts across the board. A plate as thick as the deck,
glued for half its length to each side, passes on what the deck carries: common practice, no source.

What this does not know: wires that are stapled below the deck.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright_timber.model import Board, LongSeam, Member, Panel, Splice

from ..parts.parting import bounds
from .columns import Free, Parting, both_ways
from .long_seams import as_panel
from .seams import Sheet, fewest, longest_piece

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

type Across = dict[float, list[Polygon]]

PLATE_MM = (120.0, 90.0)
STEP_MM = 10.0
COARSE_MM = 50.0  # where a panel is parted both ways
CLEAR_MM = 1.0
LEAST_MM2 = 400.0  # a plate is more than a splinter


class Found(NamedTuple):
    """Splices of all panels, their seams along the board, and the panels (numbers of them) that cannot be
    parted."""

    splices: tuple[Splice, ...]
    long_seams: tuple[LongSeam, ...]
    whole: tuple[int, ...]


def splices_under(
    board: Board,
    panels: Sequence[Panel],
    members: Sequence[Member],
    sheets: Sequence[Sheet],
    devices: Sequence[Polygon],
    turnouts: Sequence[Polygon],
) -> Found:
    """Where panels too long or too wide for every sheet are parted; ``devices`` are what must stay clear."""
    import shapely

    wood = shapely.union_all([shapely.Polygon(m.outline) for m in members if m.carries_deck])
    taken = shapely.union_all([wood, *devices]).buffer(CLEAR_MM)
    found: list[Splice] = []
    along: list[LongSeam] = []
    whole: list[int] = []
    for n, panel in enumerate(panels if sheets else ()):
        shape = shapely.Polygon(panel.ring, panel.wells)
        low, y0, high, y1 = shape.bounds
        longest = longest_piece(sheets, y1 - y0)
        if longest is None:
            both = _both_ways(board, n, panel, sheets, taken, turnouts)
            if both is None:
                whole.append(n)
            else:
                found += both[0]
                along += both[1]
            continue
        if high - low <= longest + 1e-6:
            continue
        made = _of_panel(n, shape, longest, taken, turnouts)
        if made is None:
            whole.append(n)
        else:
            found += made
    return Found(tuple(found), tuple(along), tuple(whole))


def _of_panel(
    n: int, shape: Polygon, longest: float, taken: Geometry, turnouts: Sequence[Polygon]
) -> list[Splice] | None:
    low, _, high, _ = shape.bounds
    for long in PLATE_MM:
        plates: dict[float, list[Polygon]] = {}
        cost: dict[float, tuple[int, float]] = {}
        for k in range(1, int((high - low) / STEP_MM)):
            x = round(low + k * STEP_MM, 6)
            fits = _plates(shape, x, long, taken)
            if fits:
                plates[x] = fits
                hurt = sum(t.intersects(p) for t in turnouts for p in fits)
                cost[x] = (hurt, round(sum(p.area for p in fits) / long))
        stops = fewest(low, high, sorted(plates), longest, cost.__getitem__, long + STEP_MM)
        if stops is not None:
            return [Splice(panel=n, x_mm=x, plates=tuple(map(as_panel, plates[x]))) for x in stops]
    return None


def _both_ways(
    board: Board,
    n: int,
    panel: Panel,
    sheets: Sequence[Sheet],
    taken: Geometry,
    turnouts: Sequence[Polygon],
) -> tuple[list[Splice], tuple[LongSeam, ...]] | None:
    """Seams of a panel wider than any sheet: along the board alone if that does, else both ways."""
    import shapely

    shape = shapely.Polygon(panel.ring, panel.wells)
    low, _, high, _ = shape.bounds
    for long in PLATE_MM:
        steps = (round(low + k * COARSE_MM, 6) for k in range(1, int((high - low) / COARSE_MM)))
        across = {x: fits for x in steps if (fits := _plates(shape, x, long, taken))}

        def free(piece: Panel, start: float, end: float, long: float = long, across: Across = across) -> Free:
            there = [p for x in (start, end) for p in across.get(x, ())]
            blocked = _swapped(shapely.union_all([taken, *there]))
            return _free(piece, long, blocked, turnouts, COARSE_MM if there else STEP_MM)

        def hurt(x: float, across: Across = across) -> int:
            return sum(t.intersects(p) for t in turnouts for p in across[x])

        parting = Parting(board, panel, sheets, free, n)
        for places in ((), sorted(across)):
            both = both_ways(parting, places, hurt, long + STEP_MM)
            if both is not None:
                made = [Splice(panel=n, x_mm=x, plates=tuple(map(as_panel, across[x]))) for x in both.seams]
                return made, both.long_seams
    return None


def _free(piece: Panel, long: float, blocked: Geometry, turnouts: Sequence[Polygon], step_mm: float) -> Free:
    """Heights where a piece may be parted along the board; ``blocked``: what plates keep off, turned."""
    import shapely

    turned = _swapped(shapely.Polygon(piece.ring, piece.wells))
    _, low, _, high = bounds(piece)
    cost: dict[float, tuple[int, float]] = {}
    plates: dict[float, list[Polygon]] = {}
    for k in range(1, int((high - low) / step_mm)):
        y = round(low + k * step_mm, 6)
        fits = [_swapped(p) for p in _plates(turned, y, long, blocked)]
        if fits:
            hurt = sum(t.intersects(p) for t in turnouts for p in fits)
            cost[y] = (hurt, round(sum(p.area for p in fits) / long))
            plates[y] = fits
    return Free(cost, lambda y: tuple(map(as_panel, plates[y])))


def _swapped[G: Geometry](shape: G) -> G:
    """With x and y changed for one another."""
    import shapely

    turned: G = shapely.transform(shape, lambda points: points[:, ::-1])
    return turned


def _plates(shape: Polygon, x: float, long: float, taken: Geometry) -> list[Polygon]:
    """The deck within half a plate of the seam, each crossing by itself; empty: something is in the way."""
    import shapely

    _, y0, _, y1 = shape.bounds
    line = shapely.LineString(((x, y0 - 1), (x, y1 + 1)))
    band = shapely.box(x - long / 2, y0 - 1, x + long / 2, y1 + 1)
    found = [p for p in shapely.get_parts(shape.intersection(band)) if p.intersects(line)]
    whole = [p for p in found if p.geom_type == "Polygon" and p.area > LEAST_MM2]
    reach = all(min(x - p.bounds[0], p.bounds[2] - x) > long / 2 - 1e-6 for p in whole)
    clear = all(not p.intersects(taken) and not p.interiors for p in whole)
    return sorted(whole, key=lambda p: p.bounds) if whole and reach and clear else []
