"""The same geometry as SVG and as DXF gives the same plan, to 0.01 mm, whatever units either is drawn in."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from boardwright.plan.model import TrackPlan

Draw = Callable[[Any, float], None]
W, H = 2400.0, 1200.0


def svg(body: str, unit: str, each_mm: float) -> bytes:
    """A page of W × H mm whose lower left corner is the origin. ``body`` counts in ``each_mm``."""
    size = f'width="{W / PHYSICAL[unit]}{unit}" height="{H / PHYSICAL[unit]}{unit}"'
    box = f'viewBox="0 0 {W / each_mm} {H / each_mm}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box}>{body}</svg>'.encode()


PHYSICAL = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def poly(points: list[Any], close: bool, layer: str) -> Draw:
    def draw(doc: Any, k: float) -> None:
        scaled = [(p[0] * k, p[1] * k, *p[2:]) for p in points]
        doc.modelspace().add_lwpolyline(scaled, "xyb", close=close, dxfattribs={"layer": layer})

    return draw


def add(kind: str, layer: str, *at: Any, **more: Any) -> Draw:
    """A call of the drawing library's ``add_…``; tuples and numbers named r are lengths."""

    def draw(doc: Any, k: float) -> None:
        values = [tuple(v * k for v in a) if isinstance(a, tuple) else a for a in at]
        named = {n: v(k) if callable(v) else v for n, v in more.items()}
        getattr(doc.modelspace(), f"add_{kind}")(*values, **named, dxfattribs={"layer": layer})

    return draw


QUARTER = math.tan(math.radians(90) / 4)  # the bulge of a quarter circle


def spline(points: list[tuple[float, float]]) -> Draw:
    def draw(doc: Any, k: float) -> None:
        made = doc.modelspace().add_spline(dxfattribs={"layer": "Track", "degree": 3})
        made.control_points = [(x * k, y * k, 0) for x, y in points]
        made.knots = [0, 0, 0, 0, 1, 1, 1, 1]

    return draw


SHAPES: list[tuple[str, str, Draw, str]] = [
    (
        "line",
        "Track",
        add("line", "Track", (100, 200), (1900, 700)),
        '<line x1="{100}" y1="{Y200}" x2="{1900}" y2="{Y700}"/>',
    ),
    (
        "polyline",
        "Track",
        poly([(100, 100), (900, 150), (1500, 600)], False, "Track"),
        '<polyline points="{100},{Y100} {900},{Y150} {1500} {Y600}"/>',
    ),
    (
        "arc",
        "Track",
        add("arc", "Track", (1000, 200), radius=lambda k: 600 * k, start_angle=0, end_angle=90),
        '<path d="M{1600} {Y200}A{600} {600} 0 0 0 {1000} {Y800}"/>',
    ),
    (
        "arc of three quarters",
        "Track",
        add("arc", "Track", (1000, 600), radius=lambda k: 300 * k, start_angle=0, end_angle=270),
        '<path d="M{1300},{Y600}a{300},{300},0,1,0,-{300},{300}"/>',
    ),
    (
        "circle",
        "Track",
        add("circle", "Track", (900, 500), radius=lambda k: 250 * k),
        '<circle cx="{900}" cy="{Y500}" r="{250}"/>',
    ),
    (
        "ellipse",
        "Track",
        add("ellipse", "Track", (900, 500), (400, 0), ratio=0.5),
        '<ellipse cx="{900}" cy="{Y500}" rx="{400}" ry="{200}"/>',
    ),
    (
        "cubic",
        "Track",
        spline([(100, 300), (600, 300), (700, 500), (1200, 500)]),
        '<path d="M{100} {Y300}C{600} {Y300} {700} {Y500} {1200} {Y500}"/>',
    ),
    (
        "smooth relative cubic",
        "Track",
        spline([(100, 300), (100, 300), (700, 500), (1200, 500)]),
        '<path d="m{100} {Y300}s{600} -{200} {1100} -{200}"/>',
    ),
    (
        "quadratic",  # raised: controls two thirds of the way, (100 + 2·700)/3 = 500, (1300 + 2·700)/3 = 900
        "Track",
        spline([(100, 300), (500, 700), (900, 700), (1300, 300)]),
        '<path d="M{100} {Y300}Q{700} {Y900} {1300} {Y300}"/>',
    ),
    (
        "polygon",
        "Holes",
        poly([(300, 300), (600, 300), (600, 500)], True, "Holes"),
        '<polygon points="{300} {Y300} {600} {Y300} {600} {Y500}"/>',
    ),
    (
        "rect",
        "Holes",
        poly([(300, 300), (800, 300), (800, 500), (300, 500)], True, "Holes"),
        '<rect x="{300}" y="{Y500}" width="{500}" height="{200}"/>',
    ),
    (
        "rounded rect",
        "Holes",
        poly(
            [
                (350, 300, 0),
                (750, 300, QUARTER),
                (800, 350, 0),
                (800, 450, QUARTER),
                (750, 500, 0),
                (350, 500, QUARTER),
                (300, 450, 0),
                (300, 350, QUARTER),
            ],
            True,
            "Holes",
        ),
        '<rect x="{300}" y="{Y500}" width="{500}" height="{200}" ry="{50}"/>',
    ),
    (
        "path of lines",
        "Holes",
        poly([(300, 300), (800, 300), (800, 500), (300, 500)], True, "Holes"),
        '<path d="M{300} {Y300}H{800}v-{200}h-{500}z"/>',
    ),
]
LAYERS = {
    "outline": ["Edge"],
    "tracks": ["Track"],
    "obstacles": ["Holes"],
    "turnouts": ["Turnouts"],
    "devices": ["Devices"],
}


def filled(markup: str, each_mm: float) -> str:
    """Numbers in braces are lengths in mm; with Y they are heights above the lower edge."""
    out, rest = "", markup
    while "{" in rest:
        before, _, rest = rest.partition("{")
        inside, _, rest = rest.partition("}")
        mm = H - float(inside[1:]) if inside[0] == "Y" else float(inside)
        out += before + f"{mm / each_mm:.9f}"
    return out + rest


def plain(plan: TrackPlan) -> Any:
    """What a plan says, without places and file names."""
    data = msgspec.to_builtins(plan)

    def bare(value: Any) -> Any:
        if isinstance(value, dict):
            return {k: bare(v) for k, v in value.items() if k not in ("place", "drawing_file")}
        return [bare(v) for v in value] if isinstance(value, list | tuple) else value

    return bare(data)


def alike(a: Any, b: Any) -> bool:
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(alike(a[k], b[k]) for k in a)
    if isinstance(a, list):
        turned = [b, b[::-1]] if a and isinstance(a[0], list) else [b]  # a track may run the other way
        return any(len(a) == len(t) and all(map(alike, a, t)) for t in turned)
    return abs(a - b) <= 0.01 if isinstance(a, float) else bool(a == b)


EDGE = f'<rect class="Edge" width="{{{W:.0f}}}" height="{{{H:.0f}}}"/>'


@pytest.mark.parametrize(
    ("unit", "each_mm"), [("mm", 1.0), ("cm", 10.0), ("in", 25.4), ("mm", 25.4 / 96), ("mm", 0.35)]
)
@pytest.mark.parametrize(("name", "layer", "draw", "markup"), SHAPES, ids=[s[0] for s in SHAPES])
def test_one_shape_drawn_twice(
    read: Any, to_bytes: Any, name: str, layer: str, draw: Draw, markup: str, unit: str, each_mm: float
) -> None:
    body = filled(EDGE + f'<g id="{layer}">{markup}</g>', each_mm)
    from_svg = read(svg(body, unit, each_mm), layers=LAYERS).plan

    def both(doc: Any) -> None:
        poly([(0, 0), (W, 0), (W, H), (0, H)], True, "Edge")(doc, 1)
        draw(doc, 1)

    from_dxf = read(to_bytes(both), layers=LAYERS).plan
    assert from_dxf.tracks or from_dxf.obstacles
    assert alike(plain(from_svg), plain(from_dxf))


@pytest.mark.parametrize("turn", [0, 30, -75])
@pytest.mark.parametrize("mirror", [1, -1])
def test_a_use_is_an_insert(read: Any, to_bytes: Any, turn: int, mirror: int) -> None:
    """A symbol placed, turned (anticlockwise in the plan, so by −turn on the page), mirrored and scaled."""

    def draw(doc: Any) -> None:
        poly([(0, 0), (W, 0), (W, H), (0, H)], True, "Edge")(doc, 1)
        block = doc.blocks.new("turnout")
        block.add_line((0, 0), (200, 0))
        block.add_arc((0, 600), 600, 270, 290)
        motor = doc.blocks.new("point motor")
        motor.add_lwpolyline([(-20, -10), (20, -10), (20, 10), (-20, 10)], close=True)
        for block_name, layer, place, given in (
            ("turnout", "Turnouts", (700, 500), "T1"),
            ("point motor", "Devices", (1200, 600), "M1"),
        ):
            insert = doc.modelspace().add_blockref(
                block_name,
                place,
                dxfattribs={"layer": layer, "rotation": turn, "xscale": 1.5, "yscale": 1.5 * mirror},
            )
            insert.add_attrib("NAME", given, place)

    end = (600 * math.sin(math.radians(20)), 600 - 600 * math.cos(math.radians(20)))
    how = f"rotate({-turn}) scale(1.5 {1.5 * mirror})"
    body = EDGE + (
        '<defs><g id="turnout"><path d="M0 0H200"/>'
        f'<path d="M0 0A600 600 0 0 0 {end[0]:.9f} {-end[1]:.9f}"/></g>'
        '<symbol id="point motor"><rect x="-20" y="-10" width="40" height="20"/></symbol></defs>'
        f'<g id="Turnouts"><use id="T1" href="#turnout" transform="translate({{700}} {{Y500}}) {how}"/></g>'
        f'<g id="Devices"><g transform="translate({{1190}} {{Y590}})"><use href="#point motor" data-name="M1"'
        f' transform="translate(10 -10) {how}"/></g></g>'
    )
    from_svg = read(svg(filled(body, 1), "mm", 1), layers=LAYERS).plan
    from_dxf = read(to_bytes(draw), layers=LAYERS).plan
    assert [t.id for t in from_dxf.turnouts] == ["T1"]
    assert [d.id for d in from_dxf.devices] == ["M1"]
    assert alike(plain(from_svg), plain(from_dxf))


def test_plans_that_differ_are_told_apart(read: Any, board: Any) -> None:
    def lines(*heights: float) -> Any:
        def draw(doc: Any) -> None:
            board(doc)
            for y in heights:
                doc.modelspace().add_line((0, y), (900, y), dxfattribs={"layer": "Track"})

        return plain(read(draw, layers=LAYERS).plan)

    assert alike(lines(100), lines(100.009))
    assert not alike(lines(100), lines(100.011))
    assert not alike(lines(100), lines(100, 200))
