"""A narrow deck longer than a sheet: where each piece of it is parted, and the plate under each seam.

Claim: every piece comes out of a sheet; a seam lies between supports, so that a plate PLATE_MM long finds
room below it, glued and screwed to both pieces, clear of risers, of what else carries the deck and of
devices. The fewest pieces (none shorter than a plate), then the fewest turnouts parted, then the shortest
saw cuts, then the most even pieces. A plate as thick as the deck, glued for half its length to each side,
passes on what the deck carries: common practice, no source.

What this does not know: seams along the board (a panel wider than a sheet is told by the cutting); wires that
are stapled below the deck.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Ring
from boardwright_timber.geometry import lower_left_first, oriented, snap_point, without_repeats
from boardwright_timber.model import Member, Panel, Splice

from .seams import Sheet, fewest, longest_piece

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

PLATE_MM = (120.0, 90.0)
STEP_MM = 10.0
CLEAR_MM = 1.0
LEAST_MM2 = 400.0  # a plate is more than a splinter


class Found(NamedTuple):
    """Splices of all panels, and the panels (numbers of them) that cannot be parted."""

    splices: tuple[Splice, ...]
    whole: tuple[int, ...]


def splices_under(
    panels: Sequence[Panel],
    members: Sequence[Member],
    sheets: Sequence[Sheet],
    devices: Sequence[Polygon],
    turnouts: Sequence[Polygon],
) -> Found:
    """Where panels too long for every sheet are parted; ``devices`` are what must stay clear."""
    import shapely

    wood = shapely.union_all([shapely.Polygon(m.outline) for m in members if m.carries_deck])
    taken = shapely.union_all([wood, *devices]).buffer(CLEAR_MM)
    found: list[Splice] = []
    whole: list[int] = []
    for n, panel in enumerate(panels):
        shape = shapely.Polygon(panel.ring, panel.wells)
        low, y0, high, y1 = shape.bounds
        longest = longest_piece(sheets, y1 - y0)
        if longest is None or high - low <= longest + 1e-6:
            continue
        made = _of_panel(n, shape, longest, taken, turnouts)
        if made is None:
            whole.append(n)
        else:
            found += made
    return Found(tuple(found), tuple(whole))


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
            return [Splice(panel=n, x_mm=x, plates=tuple(map(_panel, plates[x]))) for x in stops]
    return None


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


def _panel(shape: Polygon) -> Panel:
    points = without_repeats(snap_point((float(x), float(y))) for x, y in shape.exterior.coords[:-1])
    ring: Ring = lower_left_first(oriented(points, anticlockwise=True))
    return Panel(ring=ring)
