"""Dimensions made of plain lines and text, so that every program shows them alike.

``overall`` is one length between two points; ``running`` distances from one datum, which do not add up errors
when they are marked out with a tape; ``chain`` the steps between neighbours, to check by. All exist
lying (along x) and upright (along y, read from the right).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import Enum
from itertools import pairwise

from boardwright.display import IN_MM
from boardwright.plan.model import Point

from .drawing import Align, Role, Text, text_width
from .pen import Pen

#: A length in millimetres as a tape is read.
figure = IN_MM.figure


class Way(Enum):
    """Which way a dimension runs. Its own axes: u along the dimension, v to the left of it."""

    LYING = 0.0
    UPRIGHT = 90.0

    @property
    def turn(self) -> Callable[[float, float], Point]:
        return (lambda u, v: (u, v)) if self is Way.LYING else (lambda u, v: (-v, u))


def overall(pen: Pen, way: Way, u0: float, u1: float, v_object: float, v_line: float) -> None:
    """Dimension the length from ``u0`` to ``u1``; ``v_object`` is where the thing is, ``v_line`` where the
    line goes."""
    if u1 - u0 < 1e-6:
        return
    h, turn = pen.text_mm, way.turn
    out = 1.0 if v_line >= v_object else -1.0
    for u in (u0, u1):
        pen.line(Role.DIMENSION, turn(u, v_object + out * 0.4 * h), turn(u, v_line + out * 0.4 * h))
        pen.line(Role.DIMENSION, turn(u - 0.3 * h, v_line - 0.3 * h), turn(u + 0.3 * h, v_line + 0.3 * h))
    pen.line(Role.DIMENSION, turn(u0, v_line), turn(u1, v_line))
    text = pen.show.figure(u1 - u0)
    middle, room = (u0 + u1) / 2, text_width(text, h)
    places = [
        (middle, v_line + 0.5 * h, Align.CENTRE),
        (middle, v_line - 1.3 * h, Align.CENTRE),
        *((u1 + (0.6 + k) * h, v_line - 0.5 * h, Align.LEFT) for k in range(40)),
    ]
    wide = places if room < u1 - u0 - h else places[2:]
    placed = pen.label_at(
        Text(
            role=Role.DIMENSION,
            x_mm=turn(u, v)[0],
            y_mm=turn(u, v)[1],
            height_mm=h,
            text=text,
            align=align,
            angle_deg=way.value,
        )
        for u, v, align in wide
    )
    if not placed:
        pen.label_beside(text, turn(middle, v_line), role=Role.DIMENSION)


def chain(pen: Pen, way: Way, positions: Sequence[float], v_object: float, v_line: float) -> float:
    """Each step between neighbouring ``positions`` on one line; answer how far out it reaches.

    A figure too long for its step stands across the line. Steps that a figure has no room in at all are left
    to the running figures.
    """
    places = sorted({round(u, 6) for u in positions})
    if len(places) < 2:
        return v_line
    h, turn = 0.8 * pen.text_mm, way.turn
    out = 1.0 if v_line >= v_object else -1.0
    pen.line(Role.DIMENSION, turn(places[0], v_line), turn(places[-1], v_line))
    for u in places:
        pen.line(Role.DIMENSION, turn(u - 0.3 * h, v_line - 0.3 * h), turn(u + 0.3 * h, v_line + 0.3 * h))
    reach = v_line + out * 0.4 * h
    for a, b in pairwise(places):
        text, middle = pen.show.figure(b - a), (a + b) / 2
        if text_width(text, h) < b - a - 0.8 * h:
            v = v_line + 0.5 * h if out > 0 else v_line - 1.4 * h
            pen.write(
                text,
                turn(middle, v),
                height_mm=h,
                align=Align.CENTRE,
                angle_deg=way.value,
                role=Role.DIMENSION,
            )
            reach = max(reach, v + 1.2 * h) if out > 0 else min(reach, v - 0.5 * h)
        elif b - a > 1.5 * h:
            _stand(pen, way, text, middle, v_line + out * 0.6 * h, out, h)
            far = v_line + out * (0.8 * h + text_width(text, h))
            reach = max(reach, far) if out > 0 else min(reach, far)
    return reach


def _stand(pen: Pen, way: Way, text: str, u: float, v: float, out: float, h: float) -> None:
    """A figure across its dimension line, reading outwards or inwards from the right."""
    reads_out = (way is Way.LYING) == (out > 0)
    middle = u + (0.5 if way is Way.LYING else -0.5) * h
    pen.write(
        text,
        way.turn(middle, v),
        height_mm=h,
        align=Align.LEFT if reads_out else Align.RIGHT,
        angle_deg=90.0 if way is Way.LYING else 0.0,
        role=Role.DIMENSION,
    )


def running(
    pen: Pen, way: Way, datum: float, positions: Sequence[float], v_object: float, v_line: float
) -> float:
    """Distances of ``positions`` from ``datum`` on one line; figures stand across it, spread where they
    crowd. Answers how far out they reach."""
    places = sorted({round(u, 6) for u in (datum, *positions)})
    if len(places) < 2:
        return v_line
    h, turn = pen.text_mm, way.turn
    out = 1.0 if v_line >= v_object else -1.0
    pen.line(Role.DIMENSION, turn(places[0], v_line), turn(places[-1], v_line))
    free_from, longest = float("-inf"), 0.0
    for u in places:
        stand = max(u, free_from)
        free_from = stand + 1.5 * h
        foot = v_line + out * h
        pen.run(
            Role.DIMENSION,
            (turn(u, v_object + out * 0.4 * h), turn(u, v_line), turn(stand, foot)),
        )
        text = pen.show.figure(abs(u - datum))
        _stand(pen, way, text, stand, foot + out * 0.3 * h, out, h)
        longest = max(longest, text_width(text, h))
    return v_line + out * (1.5 * h + longest)
