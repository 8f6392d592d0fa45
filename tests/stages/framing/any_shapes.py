"""Boards for the tests of frames and joists: any ring becomes one, and random rings of several kinds."""

from __future__ import annotations

import math

from hypothesis import assume
from hypothesis import strategies as st

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Board, Joint

WAIST_MM = 100.0  # a narrower waist between two hollow edges has no room for two members and a joist


@st.composite
def star_rings(draw: st.DrawFn) -> Ring:
    """Any simple polygon seen whole from its middle: convex or not, 4 to 9 corners, 250 to 1400 mm."""
    n = draw(st.integers(4, 9))
    spread = [draw(st.floats(0.7, 1.3)) for _ in range(n)]
    total, at, ring = sum(spread), 0.0, []
    for s in spread:
        at += s / total * 2 * math.pi
        r = draw(st.floats(250, 700))
        ring.append((700 + r * math.cos(at), 700 + r * math.sin(at)))
    return tuple(ring)


@st.composite
def curved_rings(draw: st.DrawFn) -> Ring:
    """A rectangle whose front or back or both are arcs, bulging or hollow, in steps 0.05 mm off them."""
    length, width = draw(st.floats(500, 1300)), draw(st.floats(450, 750))
    bottom, top = (draw(st.one_of(st.just(0.0), st.floats(-0.18, 0.18))) for _ in range(2))
    assume(width + length * (min(bottom, 0.0) + min(top, 0.0)) > WAIST_MM)
    ring = [
        *_arc((0.0, 0.0), (length, 0.0), bottom * length),
        *_arc((length, width), (0.0, width), top * length),
    ]
    return tuple(ring)


@st.composite
def rounded_rings(draw: st.DrawFn) -> Ring:
    """A star ring with its corners rounded: outward ones to a radius, inward ones as sharp as before."""
    import shapely

    radius = draw(st.floats(15, 90))
    shape = shapely.Polygon(draw(star_rings())).buffer(-radius).buffer(radius, quad_segs=16)
    assume(shape.geom_type == "Polygon" and not shape.is_empty)
    return tuple((float(x), float(y)) for x, y in shape.normalize().exterior.coords[:-1])


def _arc(a: Point, b: Point, sagitta: float) -> list[Point]:
    """Points from a to b; a positive sagitta bulges to the right of travel (outwards)."""
    chord = math.dist(a, b)
    if abs(sagitta) < 0.5:
        return [a, b]
    radius = (chord**2 / 4 + sagitta**2) / (2 * abs(sagitta))
    half = math.asin(min(1.0, chord / 2 / radius))
    steps = max(2, math.ceil(half / math.acos(1 - 0.05 / radius)))
    ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    side = math.copysign(1.0, sagitta)
    found = []
    for k in range(steps + 1):
        t = half * (2 * k / steps - 1)
        along = chord / 2 + radius * math.sin(t)
        out = side * (radius * math.cos(t) - radius * math.cos(half))
        found.append((a[0] + ux * along + uy * out, a[1] + uy * along - ux * out))
    return found


@st.composite
def boxed_wells(draw: st.DrawFn) -> tuple[Ring, tuple[Ring, ...]]:
    """A rectangle with a four-cornered well well inside it."""
    length, width = draw(st.floats(900, 1300)), draw(st.floats(600, 800))
    cx, cy = length / 2, width / 2
    corners = [
        (cx + sx * draw(st.floats(80, length / 2 - 150)), cy + sy * draw(st.floats(60, width / 2 - 120)))
        for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    return ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)), (tuple(corners),)


def board_of(
    ring: Ring, wells: tuple[Ring, ...] = (), joints: tuple[tuple[Point, Point], ...] = (), name: str = "B01"
) -> Board:
    """A board at plan (0, 0), not turned; ``joints`` lead to boards X1, X2 …"""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return Board(
        id=name,
        outline="O1",
        level_mm=0.0,
        ring=tuple(ring),
        wells=wells,
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=max(xs),
        width_mm=max(ys),
        joints=tuple(
            Joint(id=f"J{n:02}", boards=(name, f"X{n}"), start=a, end=b) for n, (a, b) in enumerate(joints, 1)
        ),
    )
