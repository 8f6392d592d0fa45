"""Two curved parts from one blank: sawn out as one rectangle, then parted with a jigsaw along their curves.

Claim: the two lie ``clearance`` apart at least, inside their rectangle, each with its grain as it must run;
the rectangle is smaller than their own two blanks together by ``LEAST_SAVED`` at least.

One is slid against the other from above, at ``STEPS`` places along it, then sideways in the same way, as it
is drawn and turned by half. What fits best by columns is then moved apart until it is far enough by its true
outlines.

Glossary
    blank      the rectangle that is sawn out
    clearance  what a jigsaw needs between two outlines
    pair       two parts, and how they lie in their common blank

What this does not know: three and more parts in one blank; places in the hollow of a part from its side.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import msgspec
from msgspec.structs import replace

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import CutPiece, CutSheet, Grain, Part, PlacedPart

from .piece import UNITS_PER_MM, Area, units_up
from .shown import shown

CURVED = 0.85  # a part that fills less of its blank may share it
LEAST_SAVED = 0.1
MOST_KINDS = 8  # looked at, those that waste most
STEPS = 17
COLUMNS = 100
MOST_MOVES = 40
SLACK_MM = 0.05


class Place(msgspec.Struct, frozen=True):
    """Lower left corner of a part's own rectangle within the blank."""

    x_mm: float
    y_mm: float
    half_turn: bool = False


class Pair(msgspec.Struct, frozen=True):
    parts: tuple[Part, Part]
    places: tuple[Place, Place]
    length_mm: float
    width_mm: float

    @property
    def id(self) -> str:
        return "+".join(p.id for p in self.parts)

    @property
    def part(self) -> Part:
        """The blank as a part to be sawn."""
        length, width = self.length_mm, self.width_mm
        one, two = self.parts
        return replace(
            one,
            id=self.id,
            label=self.id,
            role="blank",
            length_mm=length,
            width_mm=width,
            grain=two.grain if one.grain is Grain.FREE else one.grain,
            ring=((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)),
            openings=(),
            circles=(),
            holes=(),
            marks=(),
            left_bevel_deg=0.0,
            right_bevel_deg=0.0,
            area_mm2=length * width,
        )

    @property
    def saved_mm2(self) -> float:
        return sum(p.length_mm * p.width_mm for p in self.parts) - self.length_mm * self.width_mm


def paired(parts: Sequence[Part], clearance_mm: float) -> list[Pair]:
    """Pairs that save most, each part in one at most; in the order of what they save."""
    kinds: dict[tuple[Ring, Grain], list[Part]] = {}
    for part in sorted(parts, key=lambda p: p.id):
        if is_curved(part):
            kinds.setdefault((part.ring, part.grain), []).append(part)
    by_waste = sorted(kinds, key=lambda k: (-_waste(kinds[k][0]) * len(kinds[k]), kinds[k][0].id))
    wasteful = by_waste[:MOST_KINDS]
    found = []
    for a, b in itertools.combinations_with_replacement(wasteful, 2):
        one, two = kinds[a][0], kinds[b][-1]
        if (a == b and len(kinds[a]) < 2) or not _grains_agree(one, two):
            continue
        best = _best(one, two, clearance_mm)
        own = one.length_mm * one.width_mm + two.length_mm * two.width_mm
        if best is not None and best.saved_mm2 >= LEAST_SAVED * own:
            found.append((best, a, b))
    chosen: list[Pair] = []
    for pair, a, b in sorted(found, key=lambda f: (-f[0].saved_mm2, f[0].id)):
        while (len(kinds[a]) >= 2) if a == b else (kinds[a] and kinds[b]):
            one = kinds[a].pop(0)
            chosen.append(replace(pair, parts=(one, kinds[b].pop(0))))
    return chosen


def is_curved(part: Part) -> bool:
    return _area(part) < CURVED * part.length_mm * part.width_mm


def _area(part: Part) -> float:
    """Of its outline, openings included."""
    ring = part.ring
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))) / 2


def _waste(part: Part) -> float:
    return part.length_mm * part.width_mm - _area(part)


def _grains_agree(one: Part, two: Part) -> bool:
    return one.grain is two.grain or Grain.FREE in (one.grain, two.grain)


# -- how two lie together ----------------------------------------------------------------------------------


def _best(one: Part, two: Part, clearance_mm: float) -> Pair | None:
    """The smallest rectangle found for both."""
    found = []
    for low, high in ((one, two), (two, one)):
        for half_turn in (False, True):
            upper = _turned(high) if half_turn else high.ring
            for swapped in (False, True):
                one_, two_ = (_swapped(low.ring), _swapped(upper)) if swapped else (low.ring, upper)
                at = _slid(one_, two_, clearance_mm)
                if at is None:
                    continue
                at = (at[1], at[0]) if swapped else at
                origin = (min(0.0, at[0]), min(0.0, at[1]))
                length = max(low.length_mm, at[0] + high.length_mm) - origin[0]
                width = max(low.width_mm, at[1] + high.width_mm) - origin[1]
                places = (
                    Place(round(-origin[0], 6), round(-origin[1], 6)),
                    Place(round(at[0] - origin[0], 6), round(at[1] - origin[1], 6), half_turn),
                )
                found.append(Pair((low, high), places, round(length, 6), round(width, 6)))
    best = min(found, key=lambda p: (round(p.length_mm * p.width_mm, 3), p.length_mm), default=None)
    if best is None or best.parts[0] is one:
        return best
    return replace(best, parts=(one, two), places=(best.places[1], best.places[0]))


def _turned(part: Part) -> Ring:
    """Half a turn about the middle of its rectangle."""
    return tuple((part.length_mm - x, part.width_mm - y) for x, y in part.ring)


def _swapped(ring: Ring) -> Ring:
    return tuple((y, x) for x, y in ring)


def _slid(low: Ring, high: Ring, clearance_mm: float) -> Point | None:
    """Where ``high`` comes to lie on ``low`` from above so that their common rectangle is smallest."""
    import numpy as np
    from shapely import Polygon
    from shapely.affinity import translate

    below, above = Polygon(low), Polygon(high)
    grown = below.buffer(clearance_mm + SLACK_MM, quad_segs=4)
    (_, _, right, top), (_, _, length, width) = below.bounds, above.bounds
    best: tuple[float, float, float] | None = None
    step = min(right, length) / COLUMNS
    start = (
        -math.ceil(-grown.bounds[0] / step) * step
    )  # so that none and all of a length are among the places
    over = _edge(grown.exterior.coords, np.arange(start + step / 2, grown.bounds[2], step), True)
    under = _edge(high, np.arange(step / 2, length, step), False)
    near, far = -0.6 * length, right - 0.4 * length
    wanted = (*(near + (far - near) * n / (STEPS - 1) for n in range(STEPS)), 0.0, right - length)
    for shift in sorted({round((dx - start) / step) for dx in wanted}):
        dx = start + shift * step
        first, last = max(shift, 0), min(len(over), shift + len(under))
        if last <= first:
            continue
        dy = float(np.max(over[first:last] - under[first - shift : last - shift]))
        if not math.isfinite(dy):
            continue
        area = (max(right, dx + length) - min(0.0, dx)) * (max(top, dy + width) - min(0.0, dy))
        if best is None or area < best[0] - 1e-6:
            best = (area, dx, dy)
    if best is None:
        return None
    _, dx, dy = best
    for _ in range(MOST_MOVES):
        apart = float(below.distance(translate(above, dx, dy)))
        if apart >= clearance_mm + 1e-6:
            return (round(dx, 6), round(dy, 6))
        dy += max(clearance_mm - apart, SLACK_MM)
    return None


def _edge(ring: Any, xs: Any, upper: bool) -> Any:
    """Height of a ring's upper or lower edge in columns; without end where it has none."""
    import numpy as np

    corners = np.asarray(ring, float)[:, :2]
    a, b = corners, np.roll(corners, -1, axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (xs[None, :] - a[:, :1]) / (b[:, :1] - a[:, :1])
        heights = a[:, 1:] + share * (b[:, 1:] - a[:, 1:])
    on = (share >= 0) & (share <= 1) & np.isfinite(heights)
    heights = np.where(on, heights, -np.inf if upper else np.inf)
    return heights.max(axis=0) if upper else heights.min(axis=0)


# -- on the sheet ------------------------------------------------------------------------------------------


def parted(sheet: CutSheet, pairs: Mapping[str, Pair]) -> CutSheet:
    """The sheet with both parts of every pair in their common blank."""
    there = {p.part: pairs[p.part] for p in sheet.parts if p.part in pairs}
    if not there:
        return sheet
    placed: list[PlacedPart] = []
    for p in sheet.parts:
        placed += _both(p, there[p.part]) if p.part in there else [p]
    cuts = []
    for cut in sheet.cuts:
        says = cut.says
        for id_, pair in there.items():
            one, two = pair.parts
            says = says.replace(f"part {id_}.", f"the blank that parts {one.id} and {two.id} share.")
        cuts.append(replace(cut, says=says))
    tree = None if sheet.tree is None else _named(sheet.tree, there)
    return replace(sheet, parts=tuple(sorted(placed, key=lambda p: p.part)), cuts=tuple(cuts), tree=tree)


def fewest(parts: Sequence[Part], areas: Sequence[Area], kerf: int) -> int:
    """No cutting needs fewer, whatever shares a blank: outlines in place of the blanks of curved parts."""
    need = 0.0
    for part in parts:
        if is_curved(part):
            need += _area(part) * UNITS_PER_MM**2
        else:
            need += (units_up(part.length_mm) + kerf) * (units_up(part.width_mm) + kerf)
    room = max((a.length + kerf) * (a.width + kerf) for a in areas)
    return max(1, math.ceil(need / room - 1e-9))


def steps(pairs: Sequence[Pair], clearance_mm: float) -> Iterator[tuple[str, str]]:
    """What to do with each common blank: the first part's id, and in words."""
    for pair in pairs:
        one, two = pair.parts
        turned = f", {two.id} turned by half" if pair.places[1].half_turn != pair.places[0].half_turn else ""
        yield (
            one.id,
            f"Parts {one.id} and {two.id} share a blank of {shown(pair.length_mm)} × "
            f"{shown(pair.width_mm)} mm: lay both full-size prints on it as the sheet's drawing "
            f"shows{turned}, {shown(clearance_mm)} mm apart at least, and part them with a jigsaw between.",
        )


def _both(blank: PlacedPart, pair: Pair) -> list[PlacedPart]:
    where = (blank.x_mm, blank.y_mm, blank.length_mm, blank.width_mm)
    placed = []
    for part, at in zip(pair.parts, pair.places, strict=True):
        x, y, length, width = at.x_mm, at.y_mm, part.length_mm, part.width_mm
        if blank.turned:
            x, y, length, width = pair.width_mm - y - width, x, width, length
        placed.append(
            PlacedPart(
                part=part.id,
                x_mm=round(blank.x_mm + x, 6),
                y_mm=round(blank.y_mm + y, 6),
                length_mm=length,
                width_mm=width,
                turned=blank.turned,
                half_turn=at.half_turn,
                shares=where,
            )
        )
    return placed


def _named(piece: CutPiece, pairs: Mapping[str, Pair]) -> CutPiece:
    inside = tuple(_named(p, pairs) for p in piece.pieces)
    if piece.part in pairs:
        one, two = pairs[piece.part].parts
        return replace(piece, part=one.id, shared=(one.id, two.id))
    return replace(piece, pieces=inside)
