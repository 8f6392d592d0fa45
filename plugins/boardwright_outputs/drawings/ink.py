"""Drawing → the operators of a PDF page (ISO 32000-1, 8 and 9; from memory), one stroke style a role.

Claim: a point of the drawing lies on the paper within 0.005 mm of where its place says; long curves are
thinned to 0.02 mm of paper.

Written out rather than drawn through a library's canvas: most of a pack's PDF is plain lines. What this does
not know: pages, and letters outside western alphabets, which the standard fonts have not: they come out as
``?``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache

from boardwright.plan.model import Point

from ..workbook.inert import visible
from .drawing import Align, Arc, Circle, Item, Polyline, Role, Text
from .layers import LOOKS, MACHINED, PAINT_ORDER, PAPER_DASH_MM_PER_PIXEL
from .thinning import thinned

FONT = "Helvetica"
#: The name a page knows the font by: the library gives the font that a canvas begins with the first one.
_FONT_ON_PAGE = "F1"
#: Height of the font's capitals as a share of its size (its published metrics; from memory).
CAPITAL = 0.718
POINTS_PER_MM = 72 / 25.4
_THIN_MM = 0.02
#: How far along the tangent the handle of a quarter circle's curve lies, as a share of the radius.
_QUARTER = 4 / 3 * (math.sqrt(2) - 1)
_LONGEST = 240
_BEFORE = {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}


def operators(items: Sequence[Item], unit: float = POINTS_PER_MM, share: float = 1.0) -> str:
    """Page operators for items whose coordinates are to be multiplied by ``unit``.

    ``share`` is how large a millimetre of the items comes out on paper, for the width of lines and dashes.
    """
    by_role: dict[Role, list[Item]] = {}
    for item in items:
        by_role.setdefault(item.role, []).append(item)
    return "\n".join(
        line for role in PAINT_ORDER if role in by_role for line in _layer(role, by_role[role], unit, share)
    )


def fitted_text(text: str, height_mm: float, room_mm: float = math.inf) -> tuple[str, float]:
    """What the fonts can print of a text, and its height so that it is no longer than the room."""
    shown = printable(text)
    width = text_width_mm(shown, height_mm)
    return shown, height_mm * min(1.0, room_mm / width) if width else height_mm


def text_width_mm(shown: str, height_mm: float) -> float:
    """The true length of a printable text whose capitals are so high."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(shown, FONT, height_mm / CAPITAL))


def printable(text: str, longest: int = _LONGEST) -> str:
    """What the standard fonts can print, on one line."""
    shown = " ".join(visible(text).split()).encode("cp1252", "replace").decode("cp1252")
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"


def _layer(role: Role, items: Sequence[Item], unit: float, share: float) -> Iterable[str]:
    look = LOOKS[role]
    colour = " ".join(f"{c:.3f}" for c in _colour(look.light))
    dash = [] if role in MACHINED else [float(n) * PAPER_DASH_MM_PER_PIXEL / share for n in look.dash.split()]
    pattern = " ".join(f"{n * unit:.3f}" for n in dash)
    width = look.weight / 100 / share * unit
    yield f"{colour} RG {colour} rg {width:.3f} w 1 j [{pattern}] 0 d"
    for item in items:
        match item:
            case Polyline():
                yield _run(item.points, item.closed, unit, share)
            case Circle():
                yield _round(item.x_mm, item.y_mm, item.radius_mm, 0.0, 360.0, unit) + " h S"
            case Arc():
                sweep = (item.end_deg - item.start_deg) % 360.0 or 360.0
                yield _round(item.x_mm, item.y_mm, item.radius_mm, item.start_deg, sweep, unit) + " S"
            case Text():
                yield _text(item, unit)


def _run(points: Sequence[Point], closed: bool, unit: float, share: float) -> str:
    kept = thinned(points, _THIN_MM / share) if len(points) > 4 else points
    (x0, y0), *rest = kept
    lines = "".join(f" {x * unit:.3f} {y * unit:.3f} l" for x, y in rest)
    return f"{x0 * unit:.3f} {y0 * unit:.3f} m{lines} {'s' if closed else 'S'}"


def _round(x: float, y: float, r: float, start_deg: float, sweep_deg: float, unit: float) -> str:
    """An arc in quarter circles or less, each one curve."""
    pieces = max(1, math.ceil(sweep_deg / 90 - 1e-9))
    step = math.radians(sweep_deg / pieces)
    handle = _QUARTER if math.isclose(step, math.pi / 2) else 4 / 3 * math.tan(step / 4)
    a = math.radians(start_deg)
    out = [f"{(x + r * math.cos(a)) * unit:.3f} {(y + r * math.sin(a)) * unit:.3f} m"]
    for _ in range(pieces):
        b = a + step
        points = (
            (math.cos(a) - handle * math.sin(a), math.sin(a) + handle * math.cos(a)),
            (math.cos(b) + handle * math.sin(b), math.sin(b) - handle * math.cos(b)),
            (math.cos(b), math.sin(b)),
        )
        out.append(" ".join(f"{(x + r * u) * unit:.3f} {(y + r * v) * unit:.3f}" for u, v in points) + " c")
        a = b
    return " ".join(out)


def _text(item: Text, unit: float) -> str:
    shown = printable(item.text)
    c, s = math.cos(math.radians(item.angle_deg)), math.sin(math.radians(item.angle_deg))
    before = (
        _BEFORE[item.align] * text_width_mm(shown, item.height_mm) if item.align is not Align.LEFT else 0.0
    )
    x, y = item.x_mm - before * c, item.y_mm - before * s
    size = item.height_mm / CAPITAL * unit
    return (
        f"BT /{_FONT_ON_PAGE} {size:.3f} Tf {c:.6f} {s:.6f} {-s:.6f} {c:.6f} "
        f"{x * unit:.3f} {y * unit:.3f} Tm ({_escaped(shown)}) Tj ET"
    )


def _escaped(shown: str) -> str:
    """A text between the brackets of a PDF string: bytes that are not plain letters as octal numbers."""
    plain = (chr(b) if 32 <= b < 127 and b not in b"()\\" else f"\\{b:03o}" for b in shown.encode("cp1252"))
    return "".join(plain)


@cache
def _colour(light: str) -> tuple[float, ...]:
    """Shares of red, green and blue of ``#rrggbb``."""
    return tuple(int(light[n : n + 2], 16) / 255 for n in (1, 3, 5))
