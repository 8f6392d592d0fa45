"""What a worksheet says, before any spreadsheet library is involved.

Glossary
    column   a heading with its unit, and how its values are shown
    entry    a value the reader may change (a quantity, a price)
    formula  a live cell, with the value it has as the pack is written
    table    one worksheet: title, one line on what it is for, headings, rows, and closing lines below them
    front    the first worksheet: blocks of label, value and remark

What this does not know: fonts, files, formats of numbers (see ``style`` and ``writer``).
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from functools import cache

import msgspec

from boardwright.plan.model import Point, Ring

type Number = int | float | Decimal
type Value = str | Number | Formula | Entry | Tick | None

TITLE_ROW = 1
PURPOSE_ROW = 2
HEADING_ROW = 4
FIRST_ROW = 5


@cache
def column_letter(number: int) -> str:
    """The letters of a column counted from 1: A … Z, AA …"""
    letters = ""
    while number:
        number, place = divmod(number - 1, 26)
        letters = chr(ord("A") + place) + letters
    return letters


class Show(StrEnum):
    """How a column's values are shown; the unit stands in the heading."""

    TEXT = "text"
    WRAPPED = "wrapped"
    COUNT = "count"
    QUANTITY = "quantity"
    MM = "mm"
    INCHES = "inches"
    KG = "kg"
    M2 = "m2"
    DEGREES = "degrees"
    PERCENT = "percent"
    PRICE = "price"
    MONEY = "money"
    RATE = "rate"
    SHARE = "share"
    TICK = "tick"


class Formula(msgspec.Struct, frozen=True):
    """``text`` without the leading ``=``; ``value`` is what it amounts to as written."""

    text: str
    value: Number | str


class Entry(msgspec.Struct, frozen=True):
    """A cell the reader may change. None is an empty cell waiting for a value."""

    value: Number | None


class Tick(msgspec.Struct, frozen=True):
    """An empty box to tick off on paper."""


class Column(msgspec.Struct, frozen=True):
    heading: str
    show: Show = Show.TEXT
    unit: str = ""
    widest: int = 40
    hidden: bool = False


class Picture(msgspec.Struct, frozen=True, kw_only=True):
    """A sheet of stock, or a plan, with what lies on it: ``boxes`` are (x, y, length, width, words), from its
    lower left corner. ``says`` tells it in words. ``shapes``: for each box the rings of what is in it, on the
    sheet, the outer one first; none: the box itself. ``lines`` are drawn over them. ``edged``: the whole is
    a sheet with an edge of its own."""

    title: str
    says: str
    width_mm: float
    height_mm: float
    boxes: tuple[tuple[float, float, float, float, str], ...]
    shapes: tuple[tuple[Ring, ...], ...] = ()
    lines: tuple[tuple[Point, ...], ...] = ()
    edged: bool = True


class Table(msgspec.Struct, frozen=True, kw_only=True):
    """``closing`` rows stand below the table, one empty row away, in the same columns.

    ``strong`` holds the places (from 0) of rows that must stand out; ``named`` gives cells a name that
    formulas can use.
    """

    name: str
    purpose: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    closing: tuple[tuple[Value, ...], ...] = ()
    strong: frozenset[int] = frozenset()
    when_empty: str = "Nothing to list."
    named: tuple[tuple[str, str], ...] = ()
    pictures: tuple[Picture, ...] = ()

    @property
    def last_row(self) -> int:
        """Row number of the last row of the table proper."""
        return FIRST_ROW + max(len(self.rows), 1) - 1

    @property
    def first_closing_row(self) -> int:
        return self.last_row + 2


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """A line of the front sheet. ``sheet`` makes the label lead to that worksheet."""

    label: str
    value: Value = None
    show: Show = Show.TEXT
    remark: str | Formula = ""
    strong: bool = False
    sheet: str = ""


class Block(msgspec.Struct, frozen=True, kw_only=True):
    heading: str
    lines: tuple[Line, ...]


class Front(msgspec.Struct, frozen=True, kw_only=True):
    name: str
    title: str
    purpose: str
    blocks: tuple[Block, ...]
