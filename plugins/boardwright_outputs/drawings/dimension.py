"""Dimensions made of plain lines and text, so that every program shows them alike.

Two kinds: ``overall`` (one length between two points) and ``running`` (distances from one datum, which do not
add up errors when they are marked out with a tape). Both exist lying (along x) and upright (along y, read
from the right).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import ROUND_HALF_UP, Decimal
from enum import Enum

from boardwright.plan.model import Point

from .drawing import Align, Role, Text, text_width
from .pen import Pen


class Way(Enum):
    """Which way a dimension runs. Its own axes: u along the dimension, v to the left of it."""

    LYING = 0.0
    UPRIGHT = 90.0

    @property
    def turn(self) -> Callable[[float, float], Point]:
        return (lambda u, v: (u, v)) if self is Way.LYING else (lambda u, v: (-v, u))


def figure(mm: float) -> str:
    """A length as a tape is read: whole millimetres, or one decimal when it is not whole, halves up as a
    spreadsheet shows them."""
    text = str(Decimal(repr(round(mm, 6))).quantize(Decimal("0.1"), ROUND_HALF_UP)).removesuffix(".0")
    return "0" if text == "-0" else text


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
    text = figure(u1 - u0)
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


def running(
    pen: Pen, way: Way, datum: float, positions: Sequence[float], v_object: float, v_line: float
) -> None:
    """Distances of ``positions`` from ``datum`` on one line; figures stand across it, spread where they
    crowd."""
    places = sorted({round(u, 6) for u in (datum, *positions)})
    if len(places) < 2:
        return
    h, turn = pen.text_mm, way.turn
    out = 1.0 if v_line >= v_object else -1.0
    pen.line(Role.DIMENSION, turn(places[0], v_line), turn(places[-1], v_line))
    free_from = float("-inf")
    for u in places:
        stand = max(u, free_from)
        free_from = stand + 1.5 * h
        foot = v_line + out * h
        pen.run(
            Role.DIMENSION,
            (turn(u, v_object + out * 0.4 * h), turn(u, v_line), turn(stand, foot)),
        )
        text = figure(abs(u - datum))
        reads_out = (way is Way.LYING) == (out > 0)
        middle = stand + (0.5 if way is Way.LYING else -0.5) * h
        pen.write(
            text,
            turn(middle, foot + out * 0.3 * h),
            align=Align.LEFT if reads_out else Align.RIGHT,
            angle_deg=90.0 if way is Way.LYING else 0.0,
            role=Role.DIMENSION,
        )
