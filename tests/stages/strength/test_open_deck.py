"""A deck only where tracks are: the strips that are measured, against all of them; and by hand."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely

from boardwright_stages.strength.deck import DeckSag
from boardwright_stages.strength.open_deck import (
    DIRECTIONS,
    Held,
    _bearers,
    _best,
    _chords,
    _crossings,
    _edges,
    _places,
    _spans,
    _widths,
)
from boardwright_stages.strength.settings import StrengthSettings
from boardwright_stages.strength.sums import Wood, deck_figures, deck_stiffness


def arc(radius_mm: float, pieces: int) -> shapely.LineString:
    turns = [0.1 * n for n in range(pieces)]
    return shapely.LineString([(radius_mm * math.sin(a), radius_mm - radius_mm * math.cos(a)) for a in turns])


def every_strip(shape: shapely.Polygon, wood: shapely.Geometry, places: np.ndarray) -> list[Held | None]:
    """The best of all directions, each measured."""
    panel, bearing = _edges(shape), _edges(wood)
    best: list[Held | None] = [None] * len(places)
    for k in range(DIRECTIONS):
        way = np.array((math.cos(math.pi * k / DIRECTIONS), math.sin(math.pi * k / DIRECTIONS)))
        ends = _chords(panel, places, way)
        spans = _spans(ends, *_bearers(bearing, places, way, ends))
        wide = _widths(panel, places, way, ends, np.where(np.isfinite(spans), spans, 0.0))
        for n, (span, width) in enumerate(zip(spans.tolist(), wide.tolist(), strict=True)):
            held, old = Held(span, width, abs(way[1]) > abs(way[0])), best[n]
            if math.isfinite(span) and (old is None or held.give < old.give - 1e-9):
                best[n] = held
    return best


@pytest.mark.parametrize("seed", range(6))
def test_strips_left_out_would_not_have_been_better(seed: int) -> None:
    r = random.Random(seed)
    line = arc(r.uniform(300, 900), r.randint(7, 15))
    panel = line.buffer(r.choice([36.0, 45.0, 70.0]), cap_style="flat").simplify(0.05)
    woods = []
    for n in range(r.randint(2, 7)):
        at = line.interpolate(r.uniform(0, line.length))
        foot = shapely.box(at.x - 6, at.y - 40, at.x + 6, at.y + 40)
        woods.append(shapely.affinity.rotate(foot, 90 * (n % 3 == 0)).intersection(panel))
    wood = shapely.union_all([w.buffer(10, join_style="mitre") for w in woods])
    places = _places(panel, wood)
    assert _best(panel, wood, places) == every_strip(panel, wood, places)
    assert len(places) > 20


@pytest.mark.parametrize("seed", range(20))
def test_crossings_are_those_of_every_edge_with_every_level(seed: int) -> None:
    """Whole numbers, so that many a level goes through a corner: an edge counts with one end alone."""
    r = np.random.default_rng(seed)
    starts, ends, levels = (r.integers(0, 7, n).astype(float) for n in (*[int(r.integers(0, 25))] * 2, 30))
    every = np.argwhere((starts[None] < levels[:, None]) != (ends[None] < levels[:, None])).tolist()
    assert sorted(np.stack(_crossings(starts, ends, levels), axis=-1).tolist()) == every


def test_a_deck_barely_as_wide_as_a_hand_is_looked_at() -> None:
    """70 mm wide and curved, what is left inside 35 mm from its edges are slivers, some of them lines once
    wood is taken out: no place to look at, and no reason to give up."""
    line = arc(800.0, 6)
    panel = line.buffer(35, cap_style="flat").simplify(0.05)
    at = line.interpolate(0.5, normalized=True)
    wood = shapely.box(at.x - 15, at.y - 40, at.x + 15, at.y + 40)
    assert panel.buffer(-35).difference(wood).geom_type == "GeometryCollection"
    assert len(_places(panel, wood))


@pytest.mark.parametrize("across", [False, True])
def test_a_strip_across_the_grain_is_as_stiff_as_wood_is_across(across: bool) -> None:
    """A strip 100 mm wide over 200 mm between two bearers, the hand between them: P·L³/(48·EI·100), EI of
    each millimetre: E·12³/12, of birch ply across its faces' grain less than along it."""
    panel = shapely.box(0, 0, 100, 260) if across else shapely.box(0, 0, 260, 100)
    low, high = ((0, 10, 100, 30), (0, 210, 100, 230)) if across else ((10, 0, 30, 100), (210, 0, 230, 100))
    wood, ply = shapely.union_all([shapely.box(*low), shapely.box(*high)]), Wood("birch ply", 12.0)
    held = _best(panel, wood, np.array([(50.0, 120.0) if across else (120.0, 50.0)]))[0]
    assert held == (200.0, 100.0, across)
    one = DeckSag(0.0, held.span_mm, 0.0, 0.0, 0.0, held.width_mm, held.turned)
    found = deck_figures(ply, one, one, True, StrengthSettings())
    along, square = (deck_stiffness(ply, along=way)[0] for way in (True, False))
    assert square < 0.9 * along
    stiffness = square if across else along
    assert found.hand_mm == pytest.approx(StrengthSettings().hand_n * 200**3 / (48 * stiffness * 100))
