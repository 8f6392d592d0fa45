"""Marks that a spreadsheet sets by itself, and names for what formulas of the reader's own may want.

A row is marked while its ``Severity`` or ``Result`` says that something is amiss, in a tint and bold, so that
it shows in black and white too; a row that was ticked off turns grey. Every table has a name
(``Parts_table``), and so have the figures a table lists in ``named``.
"""

from __future__ import annotations

import re
from typing import Any

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font, PatternFill
from openpyxl.workbook.defined_name import DefinedName

from .laying import Frame
from .sheet import FIRST_ROW, HEADING_ROW, Show, column_letter

#: What a row says that stands out, and the tint it gets: worst first, the first that fits counts.
_AMISS = (("FAULT", "FBDAD3"), ("OVER", "FBDAD3"), ("caution", "FDEFC8"))
_HEADINGS = frozenset({"Severity", "Result"})
_DONE = "6E6E6E"


def mark(ws: Any, table: Frame) -> None:
    """Conditional marks of a table's rows."""
    last = column_letter(len(table.columns))
    area = f"A{FIRST_ROW}:{last}{table.last_row}"
    for number, column in enumerate(table.columns, 1):
        letter = column_letter(number)
        if column.heading in _HEADINGS:
            for word, tint in _AMISS:
                ws.conditional_formatting.add(
                    area,
                    FormulaRule(
                        [f'EXACT(${letter}{FIRST_ROW},"{word}")'],
                        stopIfTrue=True,
                        font=Font(bold=True),
                        fill=PatternFill("solid", bgColor=tint),
                    ),
                )
        elif column.show is Show.TICK:
            rule = FormulaRule([f"LEN(${letter}{FIRST_ROW})>0"], font=Font(color=_DONE, strike=True))
            ws.conditional_formatting.add(area, rule)


def give_names(book: Any, table: Frame) -> None:
    """Names for the whole table, headings in, and for its figures."""
    last = column_letter(len(table.columns))
    plain = re.sub(r"\W+", "_", table.name)
    _give(book, f"{plain}_table", table.name, f"$A${HEADING_ROW}:${last}${table.last_row}")
    for name, cell in table.named:
        letters, digits = re.fullmatch(r"([A-Z]+)(\d+)", cell).groups()  # type: ignore[union-attr]  # our own cells
        _give(book, name, table.name, f"${letters}${digits}")


def _give(book: Any, name: str, sheet: str, cells: str) -> None:
    book.defined_names[name] = DefinedName(name, attr_text=f"'{sheet}'!{cells}")
