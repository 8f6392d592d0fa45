"""The path language of SVG: ``d`` into runs of lines, arcs and cubic curves.

All commands, absolute and relative, repeated and run together; elliptical arcs become centre and two
half-axis vectors by the formulas of SVG 1.1, appendix F.6 (from memory). A path with a mistake is good up to
the mistake, as that standard says.

Glossary
    run     one stretch of a path from a move to the next; closed when it ends with z
    step    one piece of a run: ``Line``, ``Cubic`` or ``Turn``
    turn    centre + cos t·u + sin t·v while t goes from ``start`` by ``sweep``, radians
"""

from __future__ import annotations

import math
import re

import msgspec

from .model import Point

_SPACE = re.compile(r"[\s,]*")
_NUMBER = re.compile(r"[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)")
_FLAG = re.compile(r"[\s,]*([01])")
_TAKES = {"m": 2, "l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7, "z": 0}


class Line(msgspec.Struct, frozen=True):
    end: Point


class Cubic(msgspec.Struct, frozen=True):
    first: Point
    second: Point
    end: Point


class Turn(msgspec.Struct, frozen=True):
    centre: Point
    u: Point
    v: Point
    start: float
    sweep: float
    end: Point


type Step = Line | Cubic | Turn


class Run(msgspec.Struct):
    start: Point
    steps: list[Step] = []
    closed: bool = False


def turn_between(
    a: Point, b: Point, rx: float, ry: float, tilt_deg: float, large: bool, positive: bool
) -> Turn | Line:
    """The elliptical arc from ``a`` to ``b``; a line where a radius is nothing."""
    rx, ry = abs(rx), abs(ry)
    if rx == 0 or ry == 0:
        return Line(b)
    c, s = math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))
    hx, hy = (a[0] - b[0]) / 2, (a[1] - b[1]) / 2
    x, y = c * hx + s * hy, -s * hx + c * hy
    grow = math.hypot(x / rx, y / ry)
    if grow > 1:  # too small to reach: made just large enough
        rx, ry, away = rx * grow, ry * grow, 0.0
    else:
        away = math.sqrt(max(0.0, 1 / grow**2 - 1)) * (1 if large == positive else -1)
    # in the unit circle: ends at ±(p, q); the centre lies square to them
    p, q = x / rx, y / ry
    centre = (-away * q, away * p)
    start = math.atan2(q - centre[1], p - centre[0])
    stop = math.atan2(-q - centre[1], -p - centre[0])
    sweep = (stop - start) % (2 * math.pi)
    if not positive:
        sweep -= 2 * math.pi
    u, v = (c * rx, s * rx), (-s * ry, c * ry)
    middle = (
        (a[0] + b[0]) / 2 + centre[0] * u[0] + centre[1] * v[0],
        (a[1] + b[1]) / 2 + centre[0] * u[1] + centre[1] * v[1],
    )
    return Turn(middle, u, v, start, sweep, b)


class _Pen:
    """Where the path stands while it is read."""

    def __init__(self) -> None:
        self.runs: list[Run] = []
        self.at: Point = (0.0, 0.0)
        self.begin: Point = (0.0, 0.0)
        self.control: tuple[str, Point] = ("", (0.0, 0.0))
        self.drawing = False

    def move(self, p: Point) -> None:
        self.at = self.begin = p
        self.drawing = False

    def step(self, step: Step) -> None:
        if not self.drawing:
            self.runs.append(Run(self.at))
            self.drawing = True
        self.runs[-1].steps.append(step)
        self.at = step.end

    def close(self) -> None:
        if self.drawing:
            self.runs[-1].closed = True
        self.at, self.drawing = self.begin, False

    def mirrored(self, kind: str) -> Point:
        """The last control point seen from the other side, where the last step was of the same kind."""
        last, p = self.control
        return (2 * self.at[0] - p[0], 2 * self.at[1] - p[1]) if last == kind else self.at


def parse(d: str) -> tuple[list[Run], str]:
    """Runs of a path, and what is wrong with the rest of it (empty when all was read)."""
    pen, at, command = _Pen(), 0, ""
    while True:
        found = _SPACE.match(d, at)
        at = found.end() if found else at
        if at >= len(d):
            return pen.runs, ""
        if d[at].lower() in _TAKES:
            if not command and d[at] not in "mM":
                return [], "it does not begin with a move"
            command, at = d[at], at + 1
        elif not command or command in "zZ":
            return pen.runs, f"no command at character {at + 1}"
        values: list[float] = []
        for n in range(_TAKES[command.lower()]):
            pattern = _FLAG if command in "aA" and n in (3, 4) else _NUMBER
            number = pattern.match(d, at)
            if not number:
                return pen.runs, f"a number is missing at character {at + 1}"
            values.append(float(number[1]))
            at = number.end()
        _do(pen, command, values)
        if command in "mM":  # further pairs after a move are lines
            command = "l" if command == "m" else "L"


def _do(pen: _Pen, command: str, v: list[float]) -> None:
    ox, oy = pen.at if command.islower() else (0.0, 0.0)
    kind = command.lower()
    control = ("", (0.0, 0.0))
    if kind == "z":
        pen.close()
    elif kind == "m":
        pen.move((ox + v[0], oy + v[1]))
    elif kind == "l":
        pen.step(Line((ox + v[0], oy + v[1])))
    elif kind == "h":
        pen.step(Line((ox + v[0], pen.at[1])))
    elif kind == "v":
        pen.step(Line((pen.at[0], oy + v[0])))
    elif kind in "cs":
        first = (ox + v[0], oy + v[1]) if kind == "c" else pen.mirrored("c")
        second = (ox + v[-4], oy + v[-3])
        control = ("c", second)
        pen.step(Cubic(first, second, (ox + v[-2], oy + v[-1])))
    elif kind in "qt":
        middle = (ox + v[0], oy + v[1]) if kind == "q" else pen.mirrored("q")
        control = ("q", middle)
        pen.step(raised(pen.at, middle, (ox + v[-2], oy + v[-1])))
    else:
        end = (ox + v[5], oy + v[6])
        if end != pen.at:
            pen.step(turn_between(pen.at, end, v[0], v[1], v[2], v[3] == 1, v[4] == 1))
    pen.control = control


def raised(a: Point, middle: Point, b: Point) -> Cubic:
    """The cubic that is the same curve as a quadratic: its controls lie two thirds of the way."""
    third = [((p[0] + 2 * middle[0]) / 3, (p[1] + 2 * middle[1]) / 3) for p in (a, b)]
    return Cubic(third[0], third[1], b)
