"""Frames of an SVG drawing: transforms, lengths with units, view boxes.

Rules as SVG 1.1 states them (chapter 7, coordinate systems; from memory): a list of transforms works from
right to left; a view box is laid into its viewport by ``preserveAspectRatio``, by default whole and centred.

Glossary
    frame   six numbers (a, b, c, d, e, f): x' = a·x + c·y + e, y' = b·x + d·y + f
    px      a CSS pixel: 1/96 inch
"""

from __future__ import annotations

import math
import re

from .model import Point

type Frame = tuple[float, float, float, float, float, float]

SAME: Frame = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
PX_MM = 25.4 / 96
PHYSICAL_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "q": 0.25}
"""Units of length that say how large a thing is on paper (CSS 2.1, 4.3.2; from memory)."""

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([A-Za-z]*|%)\s*")
_CALL = re.compile(r"[\s,]*([A-Za-z]+)\s*\(([^()]*)\)")
_VALUE = re.compile(rf"[\s,]*({_NUMBER})(deg|px)?")


def then(outer: Frame, inner: Frame) -> Frame:
    """The frame that applies ``inner`` first, then ``outer``."""
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (
        a * g + c * h,
        b * g + d * h,
        a * i + c * j,
        b * i + d * j,
        a * k + c * m + e,
        b * k + d * m + f,
    )


def place(frame: Frame, p: Point) -> Point:
    a, b, c, d, e, f = frame
    return (a * p[0] + c * p[1] + e, b * p[0] + d * p[1] + f)


def turn(frame: Frame, v: Point) -> Point:
    """A direction in the outer frame: the same without the shift."""
    a, b, c, d, _, _ = frame
    return (a * v[0] + c * v[1], b * v[0] + d * v[1])


def shift(x: float, y: float) -> Frame:
    return (1.0, 0.0, 0.0, 1.0, x, y)


def largest_factor(frame: Frame) -> float:
    """How much a frame stretches at most (its larger singular value)."""
    a, b, c, d, _, _ = frame
    return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2


def transform(text: str) -> Frame:
    """The frame of a ``transform`` attribute. Raises ValueError when it is not understood."""
    frame, at = SAME, 0
    if text.strip() == "none":
        return SAME
    while found := _CALL.match(text, at):
        frame = then(frame, _one(found[1], numbers(found[2])))
        at = found.end()
    if text[at:].strip(" \t\r\n,;"):
        raise ValueError(f"the transform {text[at:].strip()[:40]!r} is not understood")
    return frame


def numbers(text: str) -> list[float]:
    """Numbers parted by spaces or commas. Raises ValueError at anything else."""
    found, at = [], 0
    while match := _VALUE.match(text, at):
        found.append(float(match[1]))
        at = match.end()
    if text[at:].strip(" \t\r\n,"):
        raise ValueError(f"{text[at:].strip()[:40]!r} is not a number")
    return found


def _one(name: str, v: list[float]) -> Frame:
    match name, len(v):
        case "matrix", 6:
            return (v[0], v[1], v[2], v[3], v[4], v[5])
        case "translate", 1 | 2:
            return shift(v[0], v[1] if len(v) > 1 else 0.0)
        case "scale", 1 | 2:
            return (v[0], 0.0, 0.0, v[-1], 0.0, 0.0)
        case "rotate", 1 | 3:
            s, c = math.sin(math.radians(v[0])), math.cos(math.radians(v[0]))
            about = (v[1], v[2]) if len(v) > 1 else (0.0, 0.0)
            return then(then(shift(*about), (c, s, -s, c, 0.0, 0.0)), shift(-about[0], -about[1]))
        case "skewX", 1:
            return (1.0, 0.0, math.tan(math.radians(v[0])), 1.0, 0.0, 0.0)
        case "skewY", 1:
            return (1.0, math.tan(math.radians(v[0])), 0.0, 1.0, 0.0, 0.0)
    raise ValueError(f"the transform {name} with {len(v)} numbers is not understood")


def split_length(text: str) -> tuple[float, str] | None:
    """Number and unit (lower case) of a length; None when it is none."""
    found = _LENGTH.fullmatch(text)
    return (float(found[1]), found[2].lower()) if found else None


def length(text: str, whole: float, default: float = 0.0) -> float:
    """A length in user units; ``whole`` is what 100 % stands for."""
    found = split_length(text)
    if found is None:
        return default
    value, unit = found
    if unit == "%":
        return value / 100 * whole
    return value * PHYSICAL_MM[unit] / PX_MM if unit in PHYSICAL_MM else value


def view_box(text: str) -> tuple[float, float, float, float] | None:
    """x, y, width, height; None when there is none that can be used."""
    try:
        found = numbers(text)
    except ValueError:
        return None
    if len(found) != 4 or not all(map(math.isfinite, found)) or min(found[2:]) <= 0:
        return None
    return (found[0], found[1], found[2], found[3])


def fit(
    box: tuple[float, float, float, float], x: float, y: float, width: float, height: float, how: str
) -> Frame:
    """The frame that lays a view box into the viewport at (x, y) as ``preserveAspectRatio`` says."""
    sx, sy = width / box[2], height / box[3]
    words = [w for w in how.split() if w != "defer"] or ["xMidYMid"]
    if words[0] != "none":
        sx = sy = max(sx, sy) if "slice" in words[1:] else min(sx, sy)
    spare_x, spare_y = width - sx * box[2], height - sy * box[3]
    part = {"min": 0.0, "mid": 0.5, "max": 1.0}
    found = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", words[0])
    px, py = (part[found[1].lower()], part[found[2].lower()]) if found else (0.5, 0.5)
    if words[0] == "none":
        spare_x = spare_y = 0.0
    return (sx, 0.0, 0.0, sy, x + px * spare_x - sx * box[0], y + py * spare_y - sy * box[1])
