"""Tables as they are to be shown: inches beside every length, sentences with them, the paper of a printer.

Claim: nothing that stands in a table moves. A column of millimetres gets a column of inches at the right end
of its table, live: a formula divides by 25.4 and rounds to the fraction chosen, which the number's format
shows in its lowest terms. Where only inches are wanted, the columns of millimetres are still there, hidden,
for the formulas and for ``verify``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec

from boardwright.display import MM_PER_INCH, DisplaySettings

from .sheet import FIRST_ROW, Column, Entry, Formula, Show, Table, Value, column_letter

#: Headings of columns that hold sentences, in which a length may stand.
_SENTENCES = frozenset(
    {
        *("What", "Where", "Mend", "Check", "Where the worst is", "What it does", "What to do"),
        *("Why it is here", "Room under the limits"),
    }
)


def displayed(tables: Iterable[Table], show: DisplaySettings) -> tuple[Table, ...]:
    return tuple(_displayed(table, show) for table in tables)


def _displayed(table: Table, show: DisplaySettings) -> Table:
    if show.units == "mm" and show.decimal_sign == ".":
        return table
    sentences = {n for n, c in enumerate(table.columns) if c.heading in _SENTENCES}
    rows = tuple(
        tuple(show.prose(v) if n in sentences and isinstance(v, str) else v for n, v in enumerate(row))
        for row in table.rows
    )
    if not show.inches:
        return msgspec.structs.replace(table, rows=rows)
    lengths = [n for n, c in enumerate(table.columns) if c.show is Show.MM and c.unit == "mm"]
    columns = tuple(
        msgspec.structs.replace(c, hidden=True) if n in lengths and show.units == "in" else c
        for n, c in enumerate(table.columns)
    )
    wide = len(table.columns)
    return msgspec.structs.replace(
        table,
        columns=columns + tuple(_inch_column(table.columns[n]) for n in lengths),
        rows=_beside(rows, lengths, FIRST_ROW, wide, show.inch_fraction),
        closing=_beside(table.closing, lengths, table.first_closing_row, wide, show.inch_fraction),
    )


def _inch_column(column: Column) -> Column:
    return Column(column.heading, Show.INCHES, "in", column.widest)


def _beside(
    rows: tuple[tuple[Value, ...], ...], lengths: list[int], first: int, wide: int, parts: int
) -> tuple[tuple[Value, ...], ...]:
    return tuple(
        (*row, *(None,) * (wide - len(row)), *(_inches(row, n, number, parts) for n in lengths))
        for number, row in enumerate(rows, first)
    )


def _inches(row: tuple[Value, ...], place: int, number: int, parts: int) -> Value:
    value = row[place] if place < len(row) else None
    mm = value.value if isinstance(value, Formula | Entry) else value
    if isinstance(mm, str) or not isinstance(mm, int | float):
        return None
    formula = f"ROUND({column_letter(place + 1)}{number}/{MM_PER_INCH}*{parts},0)/{parts}"
    nearest = math.floor(abs(mm) / MM_PER_INCH * parts + 0.5)
    return Formula(formula, math.copysign(nearest, mm) / parts if nearest else 0)
