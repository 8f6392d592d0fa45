"""Levels: on which height things are, by the layer they are drawn on.

A thing on a layer that no level names has no level: it counts on every one. Edges on such layers are at 0.

What this does not know: heights drawn into the lines themselves; a track's heights are another matter.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from msgspec.structs import replace

from ..findings import Notes, Place
from .drawn import Curve
from .layers import fitting, tell_no_layer
from .model import Device, DrawnJoint, LiftOut, Obstacle, Outline, Track, TrackPlan, Turnout
from .settings import LevelSettings

type Levels = Sequence[LevelSettings]

OVER_MM = 1.0
"""Less of a track over a board than this is none."""


def height_of(layer: str | None, levels: Levels) -> float | None:
    """Height of a layer: of the first level that names it; None where none does."""
    for level in levels:
        if any(fitting([layer or ""], pattern) for pattern in level.layers):
            return level.height_mm
    return None


def tell_missing(layers: Iterable[str], levels: Levels, notes: Notes) -> None:
    """Layers that a level names and the drawing does not have: what was meant lies at another height."""
    names = sorted(set(layers))
    for level in levels:
        for pattern in level.layers:
            if not fitting(names, pattern):
                key = f"[[drawing.levels]] layers, at {level.height_mm:g} mm"
                tell_no_layer(names, pattern, Place(key=key), notes)


def edges_by_level(edges: Sequence[Curve], levels: Levels) -> dict[float, list[Curve]]:
    """Pieces of the edge, level by level from the lowest: edges of two levels never belong together."""
    found: dict[float, list[Curve]] = {}
    for edge in edges:
        found.setdefault(height_of(edge.layer, levels) or 0.0, []).append(edge)
    return dict(sorted(found.items())) or {0.0: []}


class Surfaces:
    """The surfaces of the layout, all together or of one level: what hangs under one level is on no other."""

    def __init__(self, outlines: Sequence[Outline]) -> None:
        self.heights = sorted({o.level_mm for o in outlines})
        self._outlines = outlines
        self._made: dict[float | None, Any] = {}

    def at(self, level_mm: float | None) -> Any:
        """The surface of a level, empty where there is none; of all for a thing without a level."""
        import shapely

        if level_mm not in self._made:
            own = [o for o in self._outlines if level_mm is None or o.level_mm == level_mm]
            self._made[level_mm] = shapely.unary_union([shapely.Polygon(o.ring, o.wells) for o in own])
            shapely.prepare(self._made[level_mm])
        return self._made[level_mm]

    def words(self, level_mm: float | None) -> str:
        """What to add of the level, where that may be what is wrong."""
        if level_mm is None or self.heights == [level_mm]:
            return ""
        heights = " and ".join(f"{z:g}" for z in self.heights)
        return f" at its level, {level_mm:g} mm (edges are drawn at {heights} mm)"


def tell_unnamed(plan: TrackPlan, notes: Notes) -> None:
    """Tracks without a level that lie over boards of more than one: each level's boards carry them."""
    import shapely

    surfaces: dict[float, shapely.Geometry] = {}
    for o in plan.outlines:
        own = shapely.Polygon(o.ring, o.wells)
        surfaces[o.level_mm] = surfaces[o.level_mm].union(own) if o.level_mm in surfaces else own
    if len(surfaces) < 2:
        return
    found: dict[str, tuple[set[float], Place]] = {}
    for track in plan.tracks:
        if track.level_mm is None and len(track.points) > 1:
            line = shapely.LineString(track.points)
            over = {z for z, own in surfaces.items() if line.intersection(own).length > OVER_MM}
            if len(over) > 1:
                seen, place = found.setdefault(track.place.layer or "", (set(), track.place))
                seen |= over
    for layer, (over, place) in sorted(found.items()):
        heights = " and ".join(f"{z:g}" for z in sorted(over))
        notes.caution(
            "BW-READ-094",
            f"no level names the layer {layer!r}: its tracks count on every level, and lie over boards at "
            f"{heights} mm",
            place,
            f"Name it in the [[drawing.levels]] where it lies (the ground at 0): layers = [{layer!r}].",
        )


def settled(plan: TrackPlan, levels: Levels) -> TrackPlan:
    """The plan with the level of each thing by its layer; what a device list says of a device stays."""
    if not levels:
        return plan

    def lifted[T: (Track, Turnout, Device, DrawnJoint, Obstacle, LiftOut)](
        things: tuple[T, ...],
    ) -> tuple[T, ...]:
        return tuple(
            t if t.level_mm is not None else replace(t, level_mm=height_of(t.place.layer, levels))
            for t in things
        )

    return replace(
        plan,
        tracks=lifted(plan.tracks),
        turnouts=lifted(plan.turnouts),
        devices=lifted(plan.devices),
        drawn_joints=lifted(plan.drawn_joints),
        obstacles=lifted(plan.obstacles),
        lift_outs=lifted(plan.lift_outs),
    )
