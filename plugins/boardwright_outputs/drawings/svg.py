"""Drawing → inline SVG for a page: role → CSS class, y down, no styles of its own.

Long curves are thinned for the picture only (never in DXF) to a tolerance no screen or A4 print can show. The
page's style sheet comes from ``style``; ids must be unique in the page, so the caller gives one.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from boardwright.plan.model import Point

from .drawing import Align, Arc, Box, Circle, Drawing, Polyline, Role, Text, arc_points
from .layers import LOOKS, PAINT_ORDER, css_class
from .thinning import thinned

#: Thinning tolerance as a share of the picture's longer side: under half a pixel at 1400 px.
THINNING = 1 / 4000

_ANCHOR = {Align.LEFT: "start", Align.CENTRE: "middle", Align.RIGHT: "end"}
#: Font size over the height of a capital letter in common screen fonts (common practice, no source).
_FONT_SIZE = 1.38


def write_svg(drawing: Drawing, id_: str, says: str = "") -> str:
    """One ``<svg>`` element with ``role="img"``, labelled by the drawing's title and ``says``."""
    frame = drawing.frame
    paint = _Paint(frame)
    for item in drawing.items:
        paint.add(item)
    described = f'<desc id="{escape(id_)}-d">{_clean(says)}</desc>' if says else ""
    labels = f"{escape(id_)}-t" + (f" {escape(id_)}-d" if says else "")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{escape(id_)}" role="img" aria-labelledby="{labels}" '
        f'viewBox="0 0 {_n(frame.width)} {_n(frame.height)}" preserveAspectRatio="xMidYMid meet">'
        f'<title id="{escape(id_)}-t">{_clean(drawing.title)}</title>{described}{paint.markup()}</svg>'
    )


def style() -> str:
    """The style sheet of all pictures: one class a role, light and dark."""
    rules = [
        "svg [class^=r-]{fill:none;stroke-linejoin:round;vector-effect:none}",
        "svg [class^=r-] path,svg [class^=r-] circle{vector-effect:non-scaling-stroke}",
        "svg [class^=r-] text{stroke:none;font-family:system-ui,sans-serif}",
    ]
    light, dark = [], []
    for role, look in LOOKS.items():
        name = css_class(role)
        dash = f";stroke-dasharray:{look.dash}" if look.dash else ""
        rules.append(
            f".{name}{{stroke:var(--{name});stroke-width:{look.pixels}px{dash}}}"
            f".{name} text{{fill:var(--{name})}}"
        )
        light.append(f"--{name}:{look.light}")
        dark.append(f"--{name}:{look.dark}")
    return (
        f":root{{{';'.join(light)}}}"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{';'.join(dark)}}}}}" + "".join(rules)
    )


class _Paint:
    """Collects markup role by role."""

    def __init__(self, frame: Box) -> None:
        self.frame = frame
        self.tolerance = max(frame.width, frame.height) * THINNING
        self.paths: dict[Role, list[str]] = {role: [] for role in PAINT_ORDER}
        self.others: dict[Role, list[str]] = {role: [] for role in PAINT_ORDER}

    def xy(self, p: Point) -> Point:
        return p[0] - self.frame.left, self.frame.top - p[1]

    def add(self, item: Polyline | Circle | Arc | Text) -> None:
        match item:
            case Polyline():
                self._run(item.role, item.points, item.closed)
            case Arc():
                self._run(item.role, arc_points(item), False)
            case Circle():
                x, y = self.xy((item.x_mm, item.y_mm))
                self.others[item.role].append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(item.radius_mm)}"/>')
            case Text():
                self.others[item.role].append(self._text(item))

    def markup(self) -> str:
        groups = []
        for role in PAINT_ORDER:
            path = f'<path d="{"".join(self.paths[role])}"/>' if self.paths[role] else ""
            if path or self.others[role]:
                groups.append(f'<g class="{css_class(role)}">{path}{"".join(self.others[role])}</g>')
        return "".join(groups)

    def _run(self, role: Role, points: Sequence[Point], closed: bool) -> None:
        kept = thinned(points, self.tolerance) if len(points) > 4 else points
        steps = " ".join(f"{_n(x)} {_n(y)}" for x, y in map(self.xy, kept))
        self.paths[role].append(f"M{steps}{'Z' if closed else ''}")

    def _text(self, item: Text) -> str:
        x, y = self.xy((item.x_mm, item.y_mm))
        where = f'x="{_n(x)}" y="{_n(y)}"'
        if item.angle_deg:
            where += f' transform="rotate({_n(-item.angle_deg)} {_n(x)} {_n(y)})"'
        anchor = "" if item.align is Align.LEFT else f' text-anchor="{_ANCHOR[item.align]}"'
        size = _n(item.height_mm * _FONT_SIZE)
        return f'<text {where} font-size="{size}"{anchor}>{_clean(item.text)}</text>'


def _n(value: float) -> str:
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def _clean(text: str) -> str:
    """Escaped, and without characters a page may not hold."""
    return escape(text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text))
