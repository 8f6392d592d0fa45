"""A deck only where tracks are: every place of it as a strip to what bears it nearby.

Claim: a plate sags no more than any strip of it would alone, so at every place the best of strips in
DIRECTIONS directions counts, each as wide as the panel is along it; and of all places the worst. A hand near
the rim turns such a strip, too, and finds no more than ``deck.edge_width_mm`` of it (Lévy's series, see the
tests in ``published``).
A strip between two bearers has ends free to turn. One that ends in the open is an overhang with the stretch
behind its bearer; it counts as a span that would give as much under the hand.

Glossary
    bearer     what carries the deck: risers, and members that reach up to it, as far as half of
               their thickness or more lies below it
    overhang   a long, with a span b behind it, gives P·a²·(a + b)/3EI at its tip (textbook, memory)

What this does not know: a hand half off the edge (its middle is at least EDGE_MM from it), screws and glue.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Member, Panel

from ..framing.on_deck import bearers
from ..offsets import inset
from .deck import DeckSag, edge_width_mm
from .grillage import Array

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

DIRECTIONS = 36
GRID_MM = 40.0
EDGE_MM = 35.0  # half a hand
TOUCH_MM = 0.5
LEAST_MM = 10.0  # a shorter touch bears nothing
BESIDE_MM = 10.0  # no strip is narrower than twice this: a bearer so near its middle bears it
SAME_GIVE = 1e-9


class Held(NamedTuple):
    """The best strip at a place: the span that it is as good as, its width, and whether it lies across."""

    span_mm: float
    width_mm: float
    turned: bool

    @property
    def give(self) -> float:
        return self.span_mm**3 / max(min(self.span_mm, self.width_mm), 1.0)


class Places(NamedTuple):
    """Every place looked at, with how much it gives under a hand of 1 N, times 48; and those from which no
    strip reaches two bearers."""

    held: list[tuple[DeckSag, float]]
    loose: list[Point]

    @property
    def worst(self) -> tuple[DeckSag | None, DeckSag | None]:
        """The place that sags most and the one that gives most under a hand. None: no place is held."""
        if not self.held:
            return None, None
        return max(one for one, _ in self.held), max(self.held, key=lambda f: (f[1], f[0]))[0]


def open_deck_places(
    panels: tuple[Panel, ...],
    members: tuple[Member, ...],
    load_n_mm2: float,
    stiffness_nmm: float,
    across_nmm: float,
) -> Places:
    """Places of all panels, a grid over each and points along its rim."""
    found: list[tuple[DeckSag, float]] = []
    loose: list[Point] = []
    for panel in panels:
        low_x, low_y, high_x, high_y = _bounds(panel.ring)
        below = tuple(
            (m.outline, m.thickness_mm)
            for m, (x0, y0, x1, y1) in ((m, _bounds(m.outline)) for m in bearers(members, panels, panel))
            if x0 <= high_x and x1 >= low_x and y0 <= high_y and y1 >= low_y
        )
        places, strips = _held(panel.ring, panel.wells, below)
        for (x, y), (span, width, turned) in zip(places.tolist(), strips.tolist(), strict=True):
            if math.isinf(span):
                loose.append((x, y))
                continue
            held = Held(span, width, bool(turned))
            stiffness = across_nmm if held.turned else stiffness_nmm
            load = load_n_mm2
            sag = 5 * load * span**4 / (384 * stiffness)
            moment = load * span**2 / 8
            one = DeckSag(round(sag, 9), round(span, 3), x, y, moment, round(held.width_mm, 3), held.turned)
            found.append((one, round(held.give / stiffness, 9)))
    return Places(found, loose)


def _bounds(ring: Ring) -> tuple[float, float, float, float]:
    xs, ys = zip(*ring, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@lru_cache(maxsize=128)  # asked for again with other depths of the same wood, other decks, another round
def _held(ring: Ring, wells: tuple[Ring, ...], below: tuple[tuple[Ring, float], ...]) -> tuple[Array, Array]:
    """Places of a panel, and (span, width, turned) of the best strip through each; a span of inf: none.

    ``below``: outline and thickness of what may bear it."""
    import shapely

    shape = shapely.Polygon(ring, wells)
    bearing = [_bearing(outline, thickness, shape) for outline, thickness in below]
    wood = shapely.union_all([w.buffer(BESIDE_MM, join_style="mitre") for w in bearing])
    places = _places(shape, wood)
    best = [(math.inf, 0.0, False) if held is None else held for held in _best(shape, wood, places)]
    return places, np.array(best, dtype=float).reshape(-1, 3)


def _bearing(outline: Ring, thickness_mm: float, panel: Polygon) -> Geometry:
    """What of a member bears a panel: where its middle line is below it, so half of its thickness."""
    import shapely

    (a, b, c, d), half = outline, thickness_mm / 2
    middle = shapely.LineString([((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in ((a, d), (b, c))])
    under = [p for p in shapely.get_parts(panel.intersection(middle)) if p.length >= LEAST_MM]
    return shapely.union_all([p.buffer(half, cap_style="flat") for p in under])


def _places(shape: Polygon, wood: Geometry) -> Array:
    """A grid over what a hand can rest on and points along its rim, wood below left out."""
    import shapely

    inner = inset(shape, EDGE_MM)
    room = (inset(shape, EDGE_MM / 3) if inner.is_empty else inner).difference(wood)
    if not room.area:
        return np.zeros((0, 2))
    parts = shapely.get_parts(room)  # slivers may have become lines
    room = shapely.multipolygons([p for p in parts if p.geom_type == "Polygon"])
    x0, y0, x1, y1 = room.bounds
    xs, ys = np.arange(x0 + GRID_MM / 2, x1, GRID_MM), np.arange(y0 + GRID_MM / 2, y1, GRID_MM)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    grid = grid[shapely.contains_xy(room, grid[:, 0], grid[:, 1])]
    rim = shapely.get_coordinates(shapely.segmentize(room.boundary.simplify(1.0), GRID_MM))
    return np.round(np.concatenate((grid, rim)), 3)


def _best(shape: Polygon, wood: Geometry, places: Array) -> list[Held | None]:
    """The best strip through each place; None: nothing bears any.

    No strip is better than it would be as wide as its span: only those that are good enough so are measured
    across, first of each place the shortest.
    """
    if not len(places):
        return []
    panel, bearing = _edges(shape), _edges(wood)
    ways = [
        np.array((math.cos(a), math.sin(a))) for a in (math.pi * k / DIRECTIONS for k in range(DIRECTIONS))
    ]
    ends = [_chords(panel, places, way) for way in ways]
    spans = np.array(
        [_spans(end, *_bearers(bearing, places, way, end)) for way, end in zip(ways, ends, strict=True)]
    )
    borne = np.isfinite(spans)
    gives, wide = np.full_like(spans, math.inf), np.zeros_like(spans)
    least = np.where(borne, _give(np.where(borne, spans, 0.0), spans), math.inf)

    def measure(wanted: npt.NDArray[np.bool_]) -> None:
        for k in np.nonzero(wanted.any(axis=1))[0].tolist():
            n = wanted[k].nonzero()[0]
            wide[k, n] = _widths(panel, places[n], ways[k], ends[k][n], spans[k, n])
            gives[k, n] = _give(spans[k, n], wide[k, n])

    first = np.zeros_like(borne)
    first[least.argmin(axis=0), np.arange(len(places))] = True
    measure(first & borne)
    measure(borne & ~first & (least <= _as_good_as(gives)))
    near = borne & (gives <= _as_good_as(gives))
    best: list[Held | None] = [None] * len(places)
    for k, n in np.argwhere(near).tolist():
        way, old = ways[k], best[n]
        held = Held(float(spans[k, n]), float(wide[k, n]), bool(abs(way[1]) > abs(way[0])))
        if old is None or held.give < old.give - SAME_GIVE:
            best[n] = held
    return best


def _as_good_as(gives: Array) -> Array:
    """What a strip must give at most to be among the best of each place, with room for rounding."""
    found: Array = gives.min(axis=0) * (1 + SAME_GIVE) + 1000 * SAME_GIVE
    return found


def _give(span: Array, width: Array) -> Array:
    """As ``Held.give``, of many."""
    found: Array = span**3 / np.maximum(np.minimum(span, width), 1.0)
    return found


def _widths(panel: tuple[Array, Array], places: Array, way: Array, ends: Array, spans: Array) -> Array:
    """How wide the panel is along each strip: where it is narrowest of three places on it, and no wider than
    a hand finds it so near the rim."""
    square = np.array((-way[1], way[0]))
    reach = spans / 4
    along = [np.clip(side * reach, *(ends.T / 2))[:, None] * way for side in (-1, 0, 1)]
    chords = _chords(panel, np.concatenate([places + step for step in along]), square)
    off = np.abs(chords.reshape(3, -1, 2)[1]).min(axis=1)
    finds = [edge_width_mm(span, away) for span, away in zip(spans.tolist(), off.tolist(), strict=True)]
    found: Array = np.minimum(np.ptp(chords, axis=1).reshape(3, -1).min(axis=0), finds)
    return found


def _edges(shape: Geometry) -> tuple[Array, Array]:
    """Starts and ends of all pieces of a shape's rings."""
    import shapely

    rings = [shapely.get_coordinates(r) for r in shapely.get_rings(shapely.get_parts(shape))]
    none = np.zeros((0, 2))
    return np.concatenate([none, *(r[:-1] for r in rings)]), np.concatenate([none, *(r[1:] for r in rings)])


def _stretches(
    edges: tuple[Array, Array], places: Array, way: Array
) -> tuple[npt.NDArray[np.intp], Array, Array]:
    """Where lines through the places enter and leave a shape: number of the place, from and to, rising.

    An edge counts with its start and without its end, so that a line through a corner crosses once or twice,
    as it should: every line has an even number of crossings.
    """
    square = np.array((-way[1], way[0]))
    starts, ends = (e @ square for e in edges)
    level = places @ square
    at, edge = _crossings(starts, ends, level)
    share = (level[at] - starts[edge]) / (ends[edge] - starts[edge])
    run = [(e @ way)[edge] for e in edges]
    stations = run[0] + share * (run[1] - run[0]) - (places @ way)[at]
    order = np.lexsort((stations, at))
    return at[order][::2], stations[order][::2], stations[order][1::2]


def _crossings(
    starts: Array, ends: Array, levels: Array
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Which of the levels which edges cross, as (level, edge): above their lower end, up to their upper one.

    Levels in order, those of one edge are a stretch: few are looked at of many levels times many edges.
    """
    order = levels.argsort()
    first, last = (
        levels[order].searchsorted(e, "right") for e in (np.minimum(starts, ends), np.maximum(starts, ends))
    )
    many = last - first
    edge = np.repeat(np.arange(len(many)), many)
    return order[np.arange(len(edge)) + np.repeat(first - (many.cumsum() - many), many)], edge


def _chords(edges: tuple[Array, Array], places: Array, way: Array) -> Array:
    """How far the panel reaches from each place, backwards (below 0) and forwards."""
    at, low, high = _stretches(edges, places, way)
    over = (low <= 1e-6) & (high >= -1e-6)
    found = np.zeros((len(places), 2))
    found[at[over]] = np.stack((low[over], high[over]), axis=1)
    return found


def _bearers(
    edges: tuple[Array, Array], places: Array, way: Array, ends: Array
) -> tuple[npt.NDArray[np.intp], Array]:
    """Middles of what bears each strip: number of the place and station, rising."""
    at, low, high = _stretches(edges, places, way)
    low, high = np.maximum(low, ends[at, 0]), np.minimum(high, ends[at, 1])
    bears = high - low > TOUCH_MM
    return at[bears], ((low + high) / 2)[bears]


def _spans(ends: Array, at: npt.NDArray[np.intp], stops: Array) -> Array:
    """The span that each place (station 0) has as good as, between or beside its bearers; inf: none."""
    found = np.full(len(ends), math.inf)
    first, last = (
        np.searchsorted(at, np.arange(len(ends))),
        np.searchsorted(at, np.arange(len(ends)), "right"),
    )
    below = np.bincount(at[stops <= 0], minlength=len(ends))
    many = last - first
    both = (below > 0) & (below < many)
    over = (first + below)[both]
    found[both] = stops[over] - stops[over - 1]
    for n in np.nonzero((many >= 2) & ~both)[0].tolist():
        found[n] = _overhang((ends[n, 0], *stops[first[n] : last[n]].tolist(), ends[n, 1]))
    return found


def _overhang(stops: Sequence[float]) -> float:
    """The span that a place beside its bearers has as good as; the panel's ends with them between."""
    low, *bearers, high = stops
    near, far = (bearers[-1], bearers[-2]) if bearers[0] <= 0 else (bearers[0], bearers[1])
    tip = high - near if bearers[0] <= 0 else near - low
    return float((16 * tip**2 * (tip + abs(far - near))) ** (1 / 3))
