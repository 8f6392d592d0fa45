"""A deck only where tracks are: every place of it as a strip to what bears it nearby.

Claim: a plate sags no more than any strip of it would alone, so at every place the best of strips in
DIRECTIONS directions counts, each as wide as the panel is along it; and of all places the worst.
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
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from boardwright.plan.model import Point
from boardwright_timber.model import Member, Panel

from ..framing.on_deck import bearers
from .deck import DeckSag
from .grillage import Array

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

DIRECTIONS = 36
GRID_MM = 40.0
EDGE_MM = 35.0  # half a hand
TOUCH_MM = 0.5
LEAST_MM = 10.0  # a shorter touch bears nothing
BESIDE_MM = 10.0  # no strip is narrower than twice this: a bearer so near its middle bears it


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
    import shapely

    found: list[tuple[DeckSag, float]] = []
    loose: list[Point] = []
    for panel in panels:
        shape = shapely.Polygon(panel.ring, panel.wells)
        bearing = [_bearing(m, shape) for m in bearers(members, panels, panel)]
        wood = shapely.union_all([w.buffer(BESIDE_MM, join_style="mitre") for w in bearing])
        places = _places(shape, wood)
        for (x, y), held in zip(places.tolist(), _best(shape, wood, places), strict=True):
            if held is None:
                loose.append((x, y))
                continue
            stiffness = across_nmm if held.turned else stiffness_nmm
            span, load = held.span_mm, load_n_mm2
            sag = 5 * load * span**4 / (384 * stiffness)
            moment = load * span**2 / 8
            one = DeckSag(round(sag, 9), round(span, 3), x, y, moment, round(held.width_mm, 3), held.turned)
            found.append((one, round(held.give / stiffness, 9)))
    return Places(found, loose)


def _bearing(member: Member, panel: Polygon) -> Geometry:
    """What of a member bears a panel: where its middle line is below it, so half of its thickness."""
    import shapely

    (a, b, c, d), half = member.outline, member.thickness_mm / 2
    middle = shapely.LineString([((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in ((a, d), (b, c))])
    under = [p for p in shapely.get_parts(panel.intersection(middle)) if p.length >= LEAST_MM]
    return shapely.union_all([p.buffer(half, cap_style="flat") for p in under])


def _places(shape: Polygon, wood: Geometry) -> Array:
    """A grid over what a hand can rest on and points along its rim, wood below left out."""
    import shapely

    inner = shape.buffer(-EDGE_MM)
    room = (shape.buffer(-EDGE_MM / 3) if inner.is_empty else inner).difference(wood)
    if room.is_empty:
        return np.zeros((0, 2))
    x0, y0, x1, y1 = room.bounds
    xs, ys = np.arange(x0 + GRID_MM / 2, x1, GRID_MM), np.arange(y0 + GRID_MM / 2, y1, GRID_MM)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    grid = grid[shapely.contains_xy(room, grid[:, 0], grid[:, 1])]
    rim = shapely.get_coordinates(shapely.segmentize(room.boundary.simplify(1.0), GRID_MM))
    return np.round(np.concatenate((grid, rim)), 3)


def _best(shape: Polygon, wood: Geometry, places: Array) -> list[Held | None]:
    """The best strip through each place; None: nothing bears any."""
    best: list[Held | None] = [None] * len(places)
    panel, bearing = _edges(shape), _edges(wood)
    for k in range(DIRECTIONS if len(places) else 0):
        angle = math.pi * k / DIRECTIONS
        way = np.array((math.cos(angle), math.sin(angle)))
        ends = _chords(panel, places, way)
        stops = _bearers(bearing, places, way, ends)
        spans = [_span([low, *found, high]) for (low, high), found in zip(ends.tolist(), stops, strict=True)]
        reach = np.array([s or 0.0 for s in spans]) / 4
        square = np.array((-way[1], way[0]))
        wide = np.min(
            [
                np.ptp(
                    _chords(panel, places + np.clip(side * reach, *(ends.T / 2))[:, None] * way, square),
                    axis=1,
                )
                for side in (-1, 0, 1)
            ],
            axis=0,
        )
        for n, span in enumerate(spans):
            held = None if span is None else Held(span, float(wide[n]), abs(way[1]) > abs(way[0]))
            old = best[n]
            if held is not None and (old is None or held.give < old.give - 1e-9):
                best[n] = held
    return best


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
    level = (places @ square)[:, None]
    at, edge = np.nonzero((starts[None] < level) != (ends[None] < level))
    share = (level[at, 0] - starts[edge]) / (ends[edge] - starts[edge])
    run = [(e @ way)[edge] for e in edges]
    stations = run[0] + share * (run[1] - run[0]) - (places @ way)[at]
    order = np.lexsort((stations, at))
    return at[order][::2], stations[order][::2], stations[order][1::2]


def _chords(edges: tuple[Array, Array], places: Array, way: Array) -> Array:
    """How far the panel reaches from each place, backwards (below 0) and forwards."""
    at, low, high = _stretches(edges, places, way)
    over = (low <= 1e-6) & (high >= -1e-6)
    found = np.zeros((len(places), 2))
    found[at[over]] = np.stack((low[over], high[over]), axis=1)
    return found


def _bearers(edges: tuple[Array, Array], places: Array, way: Array, ends: Array) -> list[list[float]]:
    """Stations of the middles of what bears each strip, rising."""
    at, low, high = _stretches(edges, places, way)
    low, high = np.maximum(low, ends[at, 0]), np.minimum(high, ends[at, 1])
    found: list[list[float]] = [[] for _ in places]
    for n, a, b in zip(at.tolist(), low.tolist(), high.tolist(), strict=True):
        if b - a > TOUCH_MM:
            found[n].append((a + b) / 2)
    return found


def _span(stops: Sequence[float]) -> float | None:
    """The span a place (station 0) has as good as; ``stops`` are the panel's ends with bearers between."""
    low, *bearers, high = stops
    below, above = [s for s in bearers if s <= 0], [s for s in bearers if s > 0]
    if below and above:
        return above[0] - below[-1]
    if len(bearers) < 2:
        return None
    near, far = (below[-1], below[-2]) if below else (above[0], above[1])
    tip = high - near if below else near - low
    return float((16 * tip**2 * (tip + abs(far - near))) ** (1 / 3))
