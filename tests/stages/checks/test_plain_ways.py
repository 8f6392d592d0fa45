"""Checks that measure many places at once answer what measuring one after the other answers."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Callable
from itertools import combinations

import shapely

from boardwright.plan.model import Circle, Outline
from boardwright_stages.checks.geometry import (
    ON_CIRCLE_MM,
    _cornered,
    _ends,
    _profile,
    edge_distance,
    wood_between,
)
from boardwright_timber.model import Face


def test_holes_one_by_one(straight_pair: Callable, build: Callable) -> None:
    a, b = straight_pair()
    parts = [p for board in build({"A": a, "B": b}).parts.values() for p in board.parts]
    away, between = [], []
    for part in parts:
        for hole in part.holes:
            faces = [(_profile(part, face), at) for face in Face for at in _ends(part, hole, face)]
            least = min(
                shape.boundary.distance(p) * (1 if shape.contains(p) else -1)
                for shape, at in faces
                for p in (shapely.Point(at),)
            )
            away.append(least * math.cos(math.radians(hole.tilt_deg)) / hole.diameter_mm)
        for one, other in combinations(part.holes, 2):
            if one.is_slot or other.is_slot:
                continue
            apart = min(math.dist(*_ends(part, one, f), *_ends(part, other, f)) for f in Face)
            between.append(apart - (one.diameter_mm + other.diameter_mm) / 2)
    assert len(away) > 20
    assert (edge_distance(parts).value, edge_distance(parts).counted) == (min(away), len(away))
    assert (wood_between(parts).value, wood_between(parts).counted) == (min(between), len(between))
    # holes are told by what they are for and where they are, not by how to drill them
    place = r"(wire|bolt|dowel|pilot) hole at x -?\d+ y -?\d+"
    assert re.fullmatch(rf"{place} in [AB]-\w+", edge_distance(parts).where)
    assert re.fullmatch(rf"{place} and {place} in [AB]-\w+", wood_between(parts).where)


def test_corners_on_a_circle_are_all_found() -> None:
    """A round outline in steps of 10°, cut at random places on and off its circle."""
    circle = Circle(x_mm=500.0, y_mm=400.0, radius_mm=300.0, chord_mm=60.0)
    angles = [math.radians(10 * k) for k in range(36)]
    ring = tuple((500 + 300 * math.cos(a), 400 + 300 * math.sin(a)) for a in angles)
    draw = random.Random(1)
    turns = [draw.uniform(0, 2 * math.pi) for _ in range(300)]
    out = [draw.choice((0.0, 0.0, 1e-4, -3.0)) for _ in turns]
    corners = [
        [500 + (300 + d) * math.cos(t), 400 + (300 + d) * math.sin(t)]
        for t, d in zip(turns, out, strict=True)
    ]
    found = _cornered(ring, Outline(id="O1", ring=ring, circles=(circle,)), sorted(corners))
    on = {(x, y) for (x, y), d in zip(corners, out, strict=True) if d == 0.0}
    own = {p for p in on if min(math.dist(p, q) for q in ring) > ON_CIRCLE_MM}
    assert set(found) == {*ring, *own}
    assert len(found) == len(ring) + len(own) > 150
    around = [math.atan2(y - 400, x - 500) % (2 * math.pi) for x, y in found]
    assert around[1:] == sorted(around[1:])
