"""Seams along the board of a deck that is wider than any sheet: on the joists they cross, on plates between.

Claim: a seam along the board crosses every joist and lies on its wood there; from joist to joist it lies on a
plate of deck wood, its grain across the seam, glued and screwed below both pieces with half its width each,
clear of what carries the deck, of every device's keep-out and of wells. Only where the deck stands out over
the frame, by no more than elsewhere, is it bare. Such a plate passes on across the seam more than the deck
carries across its grain, so the deck is reckoned whole there; along the board it spans over the joists as
before. A plate below a seam: common practice, no source. A row of noggins would give each edge half a strip
to lie on, too little for screws, and noggins in line cannot both be screwed through the joist between them.

What this does not know: wires that are stapled below the deck; nuts at a joint that reach up to less than a
plate's thickness below it (bolts stand lower than that by the settings as they come).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Ring
from boardwright_timber.geometry import lower_left_first, oriented, snap_point, without_repeats
from boardwright_timber.model import Board, Member, Panel

from ..parts.parting import bounds
from .columns import Both, Free, Parting, both_ways
from .seams import BARE_MM, Sheet, held_places

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

WIDTHS_MM = (120.0, 90.0, 60.0)
STEP_MM = 20.0
CLEAR_MM = 2.0  # a plate drops in between two joists
LEAST_SIDE_MM = 20.0  # of a plate on each side of its seam
LEAST_MM2 = 400.0


class Below(NamedTuple):
    """A deck and what there is below it, in the board's own axes."""

    deck: Polygon
    members: Sequence[Member]
    overhang_mm: float
    keepouts: dict[str, Polygon]  # by the device's name
    devices: Sequence[Polygon]  # their own bodies: never parted
    turnouts: Sequence[Polygon]
    strips: Sequence[Polygon] = ()  # bent round its edge


class Bay:
    """The deck between two neighbouring stops: where a seam along the board can be borne there."""

    def __init__(self, below: Below, low: float, high: float, taken: Geometry) -> None:
        import shapely

        _, y0, _, y1 = below.deck.bounds
        wood = [shapely.Polygon(m.outline) for m in below.members if m.carries_deck]
        strip = below.deck.intersection(shapely.box(low, y0 - 1, high, y1 + 1))
        self._low, self._high, self._taken = low, high, taken
        self._edge, self._overhang = below.deck.boundary, below.overhang_mm + BARE_MM
        self._room = strip.difference(shapely.union_all(wood).buffer(CLEAR_MM))
        self._known: dict[float, tuple[Polygon, ...] | None] = {}

    def plates(self, y: float) -> tuple[Polygon, ...] | None:
        """The plates under a seam here, the widest there is room for; None: it cannot lie here."""
        if y not in self._known:
            tried = (self._plates(y, wide) for wide in WIDTHS_MM)
            self._known[y] = next((found for found in tried if found is not None), None)
        return self._known[y]

    def _plates(self, y: float, wide: float) -> tuple[Polygon, ...] | None:
        import shapely

        line = shapely.LineString(((self._low - 1, y), (self._high + 1, y)))
        band = shapely.box(self._low - 1, y - wide / 2, self._high + 1, y + wide / 2)
        found = []
        for part in shapely.get_parts(self._room.intersection(band)):
            borne = part.intersection(line)
            if borne.length < BARE_MM:
                continue
            if borne.length <= self._overhang and borne.distance(self._edge) < 1e-6:
                continue  # the deck's edge, standing out over the frame
            _, low, _, high = part.bounds
            sides = min(y - low, high - y)
            if part.interiors or part.area < LEAST_MM2 or sides < LEAST_SIDE_MM:
                return None
            if part.intersects(self._taken):
                return None
            found.append(part)
        return tuple(found)


def seams_both_ways(board: Board, below: Below, sheets: Sequence[Sheet]) -> Both | None:
    """How a whole deck that is wider than any sheet is parted; None: it cannot be."""
    import shapely

    low, y0, high, y1 = below.deck.bounds
    held = held_places(below.deck, below.members, below.overhang_mm, below.strips)
    places = [x for x in held if not _across(x, below.devices)]
    taken = shapely.union_all([*below.keepouts.values(), *below.devices]).buffer(CLEAR_MM)
    shapely.prepare(taken)
    stops = [low, *places, high]
    bays = [(a, b, Bay(below, a, b, taken)) for a, b in pairwise(stops)]
    heights = [round(y0 + k * STEP_MM, 6) for k in range(1, int((y1 - y0) / STEP_MM))]
    boxes = [t.bounds for t in below.turnouts]

    def free(piece: Panel, start: float, end: float) -> Free:
        shape = shapely.Polygon(piece.ring, piece.wells)
        a, bottom, b, top = bounds(piece)
        cost: dict[float, tuple[int, float]] = {}
        plates: dict[float, list[Polygon]] = {}
        for y in (y for y in heights if bottom < y < top):
            found = [bay.plates(y) for u, v, bay in bays if u >= start - 1e-6 and v <= end + 1e-6]
            if all(f is not None for f in found):
                own = [p for f in found for p in f or () if p.representative_point().within(shape)]
                if own:
                    cost[y] = (sum(u < b and v > a and w < y < z for u, w, v, z in boxes), 0.0)
                    plates[y] = own
        return Free(cost, lambda y: tuple(map(as_panel, plates[y])))

    whole = Panel(
        ring=tuple(board.to_local(p) for p in board.ring),
        wells=tuple(tuple(board.to_local(p) for p in well) for well in board.wells),
    )
    return both_ways(Parting(board, whole, sheets, free), places, lambda x: _across(x, below.turnouts))


def in_the_way(below: Below, sheets: Sequence[Sheet]) -> tuple[str, ...]:
    """Devices that stand where some seam along the board would have to lie, were there but one."""
    _, y0, _, y1 = below.deck.bounds
    wide = max(widths_of(sheets))
    low, high = min(y1 - wide, y0 + wide), max(y1 - wide, y0 + wide)
    return tuple(
        name
        for name, keepout in sorted(below.keepouts.items())
        if keepout.bounds[1] < high and keepout.bounds[3] > low and keepout.intersects(below.deck)
    )


def widths_of(sheets: Sequence[Sheet]) -> list[float]:
    """How wide a piece of deck each sheet gives, however long."""
    return [max(s.width_mm, s.length_mm) if s.turns else s.width_mm for s in sheets]


def _across(x: float, shapes: Sequence[Polygon]) -> int:
    return sum(s.bounds[0] < x < s.bounds[2] for s in shapes)


def as_panel(shape: Polygon) -> Panel:
    """A plate's outline."""
    points = without_repeats(snap_point((float(x), float(y))) for x, y in shape.exterior.coords[:-1])
    ring: Ring = lower_left_first(oriented(points, anticlockwise=True))
    return Panel(ring=ring)
