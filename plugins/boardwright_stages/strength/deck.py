"""The deck as a strip, 1 mm wide, over the members below it.

Claim: along several lines the whole length of the board, the real places where members cross are its
supports; the worst span counts. A hand stands on a strip as wide as its span, its ends free to turn. A plate
on two edges gives about a quarter less (Roark, .1851 W·b²/(E·t³) against .25), one of birch ply, which twists
easily, a quarter more (Lévy's series, worked out in the tests); but a deck that runs on over one joist at
least gives 0.72 of that (0.015 P·L³/EI against 1/48, AISC, memory): on the safe side. On girders no side
holds the deck's long edges, and a hand near one finds only ``edge_width_mm`` of deck: by the same series
birch ply gives 2.8 times as much 35 mm from such an edge.

What this does not know: that the deck bears on the sides too where joists are far apart (safe side), screws,
glue, wells' corners, a deck that ends in the open (overhangs are kept short by framing), a single bay.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from boardwright.plan.model import Ring
from boardwright_timber.beams import Strip, strip
from boardwright_timber.model import Member, MemberRole

from .net import centreline

LINES = 12  # lines looked at, evenly over the width
NEAR_MM = 20.0  # members closer together than this are one support
HAND_MM = 35.0  # half a hand: no nearer to the deck's edge is its middle
EDGE_SHARE, INWARDS = 0.4, 1.5  # of the span, that a hand finds at an open edge; and wider farther in


class DeckSag(NamedTuple):
    """``lasting_mm`` at once; ``span_mm`` and ``x_mm``, ``y_mm``: the middle of its span; moment N·mm/mm;
    ``width_mm``: how wide the deck is there; ``turned``: it spans across the board, between noggins."""

    lasting_mm: float
    span_mm: float
    x_mm: float
    y_mm: float
    moment_n: float
    width_mm: float = math.inf
    turned: bool = False

    @property
    def as_good_as_mm(self) -> float:
        """The span of a strip as wide as its span that gives as much under a hand."""
        return self.span_mm * math.sqrt(self.span_mm / min(self.span_mm, self.width_mm))


def deck_sag(
    ring: Ring,
    wells: tuple[Ring, ...],
    members: tuple[Member, ...],
    load_n_mm2: float,
    stiffness_nmm: float,
    across_nmm: float | None = None,
    seams: tuple[float, ...] = (),
    *,
    open_sides: bool = False,
) -> tuple[DeckSag | None, DeckSag | None]:
    """The deepest span, and the one that gives most under a hand. None: no two members carry the deck.

    ``stiffness_nmm``: E·t³/12. ``open_sides``: nothing holds the deck's long edges.

    Over an opening, between noggins, the deck spans across the board (``across_nmm``) where that is stiffer:
    a plate held on four edges sags less than a strip of it either way. At ``seams`` (x) one strip ends and
    the next begins.
    """
    low, high = min(y for _, y in ring), max(y for _, y in ring)
    known: dict[tuple[float, ...], Strip] = {}  # most lines cross the same supports
    spans = [
        DeckSag(
            round(sag, 9),
            b - a,
            (a + b) / 2,
            y,
            max(map(abs, solved.moments_nmm[n : n + 2])) + load_n_mm2 * (b - a) ** 2 / 8,
            edge_width_mm(b - a, min(y - low, high - y)) if open_sides else math.inf,
        )
        for y, whole in _rows(ring, wells, members)
        for xs in _parted(whole, seams)
        for solved in (_solved(tuple(xs), load_n_mm2, stiffness_nmm, known),)
        for n, (a, b, sag) in enumerate(zip(xs, xs[1:], solved.sags_mm, strict=False))
    ]
    if not spans:
        return None, None
    noggins = [m for m in members if m.role is MemberRole.NOGGIN]
    found = [_turned(s, noggins, members, load_n_mm2, across_nmm or stiffness_nmm) for s in spans]
    return max(found), max(found, key=lambda f: (round(f.as_good_as_mm, 6), f))


def edge_width_mm(span_mm: float, off_mm: float = 0.0) -> float:
    """How wide a strip a hand finds so far from an edge of the deck that nothing holds.

    >>> edge_width_mm(400.0), edge_width_mm(400.0, 95.0), edge_width_mm(400.0, 300.0)   # 160, 160 + 1.5 · 60
    (160.0, 250.0, 400.0)
    """
    return min(span_mm, EDGE_SHARE * span_mm + INWARDS * max(off_mm - HAND_MM, 0.0))


def _turned(
    span: DeckSag, noggins: list[Member], members: tuple[Member, ...], load: float, stiffness: float
) -> DeckSag:
    """The span across the board there, ends free to turn, if a noggin bounds it and it sags less."""
    if not noggins:
        return span
    crossed = [(h, m) for m in members if (h := _height(m, span.x_mm)) is not None]
    below, above = [c for c in crossed if c[0] <= span.y_mm], [c for c in crossed if c[0] > span.y_mm]
    if not below or not above:
        return span
    (low, under), (high, over) = max(below, key=lambda f: f[0]), min(above, key=lambda f: f[0])
    if MemberRole.NOGGIN not in (under.role, over.role):
        return span
    wide = high - low
    sag = 5 * load * wide**4 / (384 * stiffness)
    if sag >= span.lasting_mm:
        return span
    y = (low + high) / 2
    return DeckSag(round(sag, 9), wide, span.x_mm, y, load * wide**2 / 8, span.span_mm, turned=True)


def _height(member: Member, x: float) -> float | None:
    """Where a member that runs along the board crosses the line across it at x."""
    (ax, ay), (bx, by) = centreline(member)
    if abs(bx - ax) < abs(by - ay) or not min(ax, bx) <= x <= max(ax, bx):
        return None
    return ay + (x - ax) / (bx - ax) * (by - ay)


def _parted(xs: list[float], seams: tuple[float, ...]) -> list[list[float]]:
    """Supports of each strip between seams; the one below a seam bears both."""
    stops = [
        n for n, x in enumerate(xs) if 0 < n < len(xs) - 1 and any(abs(x - s) < NEAR_MM / 2 for s in seams)
    ]
    return [xs[a : b + 1] for a, b in pairwise((0, *stops, len(xs) - 1))]


def _solved(
    xs: tuple[float, ...], load: float, stiffness: float, known: dict[tuple[float, ...], Strip]
) -> Strip:
    if xs not in known:
        spans = tuple(b - a for a, b in pairwise(xs))
        known[xs] = strip(spans, (load,) * len(spans), stiffness)
    return known[xs]


def _rows(
    ring: Ring, wells: tuple[Ring, ...], members: tuple[Member, ...]
) -> list[tuple[float, list[float]]]:
    """Supports along each line, broken where the line leaves the deck."""
    import shapely

    shape = shapely.Polygon(ring, wells)
    x0, y0, x1, y1 = shape.bounds
    rows = []
    for n in range(LINES):
        y = y0 + (n + 0.5) * (y1 - y0) / LINES
        cut = shape.intersection(shapely.LineString(((x0 - 1, y), (x1 + 1, y))))
        crossings = sorted(x for m in members for x in _at(m, y))
        for piece in shapely.get_parts(cut):
            if piece.geom_type != "LineString":
                continue
            low, high = piece.bounds[0], piece.bounds[2]
            xs: list[float] = []
            for x in crossings:
                if low - NEAR_MM <= x <= high + NEAR_MM and (not xs or x - xs[-1] > NEAR_MM):
                    xs.append(x)
            if len(xs) > 1:
                rows.append((y, xs))
    return rows


def _at(member: Member, y: float) -> list[float]:
    line = centreline(member)
    (ax, ay), (bx, by) = line.start, line.end
    if min(ay, by) - NEAR_MM > y or max(ay, by) + NEAR_MM < y or abs(by - ay) < 1.0:
        return []
    x = ax + (y - ay) / (by - ay) * (bx - ax)
    return [x] if min(ax, bx) - NEAR_MM <= x <= max(ax, bx) + NEAR_MM else []
