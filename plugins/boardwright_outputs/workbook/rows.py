"""The rows of a worksheet as the file holds them (``sheetData`` and ``hyperlinks``; ECMA-376 part 1, 18.3.1).

The spreadsheet library makes styles, pages and the package; the rows are written here, because a workshop
list has ten thousand cells and the library spends most of a run on them one by one, and because it leaves
formula cells without an amount: a viewer that does not calculate would show blanks.

What this does not know: what a style looks like (it is a number in the workbook's table of styles).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from .inert import cell_text, escaped, quoted
from .sheet import Entry, Formula, Number, Tick, Value, column_letter


class Rows:
    """The cells of one worksheet; columns are put from left to right, rows in any order."""

    def __init__(self) -> None:
        self._cells: dict[int, list[str]] = {}
        self._heights_pt: dict[int, float] = {}
        self._links: list[str] = []
        self._last_column = 1

    def height(self, row: int, points: float) -> None:
        self._heights_pt[row] = points

    def put(self, row: int, column: int, value: Value, style: int) -> None:
        self._last_column = max(self._last_column, column)
        self._cells.setdefault(row, []).append(_cell(f"{column_letter(column)}{row}", value, style))

    def put_all(self, row: int, values: Sequence[Value], styles: Iterable[int]) -> None:
        """A whole row, from the first column."""
        self._last_column = max(self._last_column, len(values))
        self._cells[row] = [
            _cell(f"{letter}{row}", value, style)
            for letter, value, style in zip(_letters(len(values)), values, styles, strict=True)
        ]

    def link(self, cell: str, sheet: str, label: str) -> None:
        """Make a cell lead to the first cell of another worksheet."""
        place, shown = quoted(f"'{sheet}'!A1"), quoted(cell_text(label))
        self._links.append(f'<hyperlink ref="{cell}" location={place} display={shown}/>')

    @property
    def extent(self) -> str:
        """The corner cells, as ``A1:F20``."""
        return f"A1:{column_letter(self._last_column)}{max(self._cells, default=1)}"

    @property
    def xml(self) -> str:
        rows = sorted(self._cells.keys() | self._heights_pt)
        return f"<sheetData>{''.join(map(self._row, rows))}</sheetData>"

    @property
    def links_xml(self) -> str:
        return f"<hyperlinks>{''.join(self._links)}</hyperlinks>" if self._links else ""

    def _row(self, row: int) -> str:
        points = self._heights_pt.get(row)
        height = f' ht="{points:g}" customHeight="1"' if points is not None else ""
        return f'<row r="{row}"{height}>{"".join(self._cells.get(row, ()))}</row>'


@cache
def _letters(columns: int) -> tuple[str, ...]:
    return tuple(map(column_letter, range(1, columns + 1)))


def _cell(reference: str, value: Value, style: int) -> str:
    start = f'<c r="{reference}" s="{style}"'
    if isinstance(value, str) and value:  # what nearly every cell holds comes first
        return f'{start} t="inlineStr"><is><t xml:space="preserve">{escaped(cell_text(value))}</t></is></c>'
    match value:
        case int() | float():
            return f"{start}><v>{value}</v></c>"
        case None | Tick() | "":
            return f"{start}/>"
        case Entry(entered):
            return _cell(reference, entered, style)
        case Formula(text, amount):
            kind = ' t="str"' if isinstance(amount, str) else ""
            return f"{start}{kind}><f>{escaped(text)}</f><v>{_amount(amount)}</v></c>"
        case _:
            return f"{start}><v>{_amount(value)}</v></c>"


def _amount(value: Number | str) -> str:
    return escaped(value) if isinstance(value, str) else str(value)
