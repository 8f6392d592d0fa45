"""Guesses what the layers of an unknown drawing hold, from their names, what is drawn and what closes.

Glossary
    evidence     "name": the layer's name tells its role; "shape": what lies on it looks like that role
    confidence   sure: name and shape agree · likely: the name alone · guess: the shape alone

The shape of a role: an outline closes round most of what is drawn; tracks are long open lines inside it;
turnouts are block inserts used again and again; devices are inserts whose names or attributes tell a kind;
joints are straight lines across.

What this does not know: what the builder meant. Everything it says is to be looked over.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

import msgspec

from . import rings, words
from .chains import assemble
from .device_marks import is_circle
from .drawn import Block, Curve, Drawn
from .kinds import Catalogue
from .model import Point
from .settings import ROLES

SURE, LIKELY, GUESS = "sure", "likely", "a guess"
FILLS = 0.2
"""An outline fills at least this share of the box round everything. Common practice, no source."""


class Guess(msgspec.Struct, frozen=True, kw_only=True):
    """What one layer is taken for; ``role`` is None when it is left unread."""

    layer: str
    role: str | None
    confidence: str
    why: str


class _Layer(msgspec.Struct):
    """What lies on a layer. ``fills``: its largest ring's share of the box round the whole drawing."""

    name: str
    curves: list[Curve]
    blocks: list[Block]
    marks: int = 0
    fills: float = 0.0

    @property
    def open_mm(self) -> float:
        return sum(math.dist(a, b) for c in self.curves if not c.closed for a, b in pairwise(c.points))

    def straight(self) -> bool:
        """Only single straight lines, and few."""
        lines = [c for c in self.curves if len(c.points) == 2 and not c.closed]
        return 0 < len(lines) == len(self.curves) <= 30


def guess(drawn: Drawn, catalogue: Catalogue) -> tuple[Guess, ...]:
    """One guess a layer that holds anything, in order of name. ``drawn`` has its block inserts kept whole."""
    layers = _layers(drawn)
    told = {name: words.role_of(name) for name in layers}
    shapes = {name: _shape(layer, catalogue) for name, layer in layers.items()}
    edge = _outline(layers, told)
    tracks = _tracks(layers, told, shapes, edge)
    found = []
    for name, layer in sorted(layers.items(), key=lambda kv: (kv[0].casefold(), kv[0])):
        by_name, by_shape = told[name], shapes[name]
        if name in edge or name in tracks:
            by_shape = "outline" if name in edge else "tracks"
        if by_name == "outline" and by_shape == "devices" and name not in edge:
            found.append(_said(layer, "devices", LIKELY, "its inserts are devices"))
        elif by_name == "outline" and edge and name not in edge:
            found.append(_said(layer, None, LIKELY, "its name tells of an edge, but it does not close"))
        elif by_name and _fits(by_name, layer):
            sure = by_shape == by_name
            found.append(
                _said(layer, by_name, SURE if sure else LIKELY, "name and shape" if sure else "name")
            )
        elif by_name is None and by_shape and _free(by_shape, layer, told, edge, tracks):
            found.append(_said(layer, by_shape, GUESS, "shape"))
        else:
            why = "its name tells of other things" if by_name == "" else "nothing tells what it is"
            found.append(_said(layer, None, LIKELY if by_name == "" else GUESS, why))
    return tuple(found)


def _said(layer: _Layer, role: str | None, confidence: str, why: str) -> Guess:
    return Guess(layer=layer.name, role=role, confidence=confidence, why=f"{why}; {_holds(layer)}")


def _holds(layer: _Layer) -> str:
    counts = Counter(c.type.lower() for c in layer.curves)
    counts.update("insert" for _ in layer.blocks)
    bits = [f"{n} {kind}{'s' if n > 1 else ''}" for kind, n in sorted(counts.items())]
    if layer.marks:
        bits.append(f"{layer.marks} point{'s' if layer.marks > 1 else ''}")
    return ", ".join(bits)


def _layers(drawn: Drawn) -> dict[str, _Layer]:
    found: dict[str, _Layer] = {}
    for curve in drawn.curves:
        if curve.points:
            found.setdefault(curve.layer, _Layer(curve.layer, [], [])).curves.append(curve)
    for block in drawn.blocks:
        found.setdefault(block.layer, _Layer(block.layer, [], [])).blocks.append(block)
    for mark in drawn.marks:
        found.setdefault(mark.layer, _Layer(mark.layer, [], [])).marks += 1
    points = [p for layer in found.values() if words.role_of(layer.name) != "" for p in _points(layer)]
    if points:
        width = max(p[0] for p in points) - min(p[0] for p in points)
        height = max(p[1] for p in points) - min(p[1] for p in points)
        for layer in found.values():
            layer.fills = _largest_ring(layer.curves) / max(width * height, 1e-9)
    return found


def _points(layer: _Layer) -> list[Point]:
    return [p for c in layer.curves for p in c.points] + [(b.x_mm, b.y_mm) for b in layer.blocks]


def _largest_ring(curves: Sequence[Curve]) -> float:
    closed: list[Sequence[Point]] = [c.points for c in curves if c.closed]
    loose = [c.points for c in curves if not c.closed]
    if len(loose) <= 5000:
        closed += [chain.points for chain in assemble(loose, 0.1).rings]
    return max((abs(rings.area(ring)) for ring in closed), default=0.0)


def _shape(layer: _Layer, catalogue: Catalogue) -> str | None:
    """The role a layer's inserts or lines look like; outlines and tracks are settled among all layers."""
    if layer.blocks and not layer.curves:
        kinds = sum(bool(b.attributes.get("KIND") or catalogue.in_name(b.name)) for b in layer.blocks)
        if kinds * 2 > len(layer.blocks):
            return "devices"
        names = Counter(b.name for b in layer.blocks)
        drawn = all(b.curves for b in layer.blocks)
        return "turnouts" if drawn and max(names.values()) > 1 else None
    return "joints" if layer.straight() and not layer.blocks else None


def _fits(role: str, layer: _Layer) -> bool:
    """Whether anything on the layer can be read in that role."""
    if role in ("outline", "tracks", "joints"):
        return bool(layer.curves)
    if role in ("turnouts", "devices"):
        alone = layer.marks > 0 or any(is_circle(c) for c in layer.curves)
        return bool(layer.blocks) or (role == "devices" and alone)
    return True


def _outline(layers: dict[str, _Layer], told: dict[str, str | None]) -> set[str]:
    """The layers taken for the edge: those named so that close; else the one that closes round the most."""
    named = {n for n, r in told.items() if r == "outline" and layers[n].fills > 0}
    if any(layers[n].fills >= FILLS for n in named):
        return named
    free = [n for n, r in told.items() if r is None and layers[n].fills >= FILLS]
    best = max(free, key=lambda n: (layers[n].fills, n), default=None)
    return {best} if best else named


def _tracks(
    layers: dict[str, _Layer], told: dict[str, str | None], shapes: dict[str, str | None], edge: set[str]
) -> set[str]:
    """The layers taken for tracks: those named so; else the one with the most open line that is no joint."""
    named = {n for n, r in told.items() if r == "tracks" and layers[n].curves}
    if named:
        return {n for n in named if layers[n].open_mm > 0}
    free = [n for n, r in told.items() if r is None and n not in edge and layers[n].open_mm > 0]
    open_lines = [n for n in free if shapes[n] != "joints"] or free
    best = max(open_lines, key=lambda n: (layers[n].open_mm, n), default=None)
    return {best} if best else set()


def _free(role: str, layer: _Layer, told: dict[str, str | None], edge: set[str], tracks: set[str]) -> bool:
    """A shape alone counts only where no layer's name claims that role."""
    if layer.name in edge or layer.name in tracks:
        return True
    return role in ROLES and role not in told.values()
