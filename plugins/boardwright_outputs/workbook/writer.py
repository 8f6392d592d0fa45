"""Tables and the front sheet, laid out on worksheets: styles and pages by openpyxl, cells by ``rows``.

Claim: a worksheet prints on A4 (or Letter) landscape, one page wide, with its headings on every page; the
headings stay in view; every table can be filtered; text is only ever text.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from boardwright.display import IN_MM, DisplaySettings

from .inert import header_text, starts_active, visible
from .marks import give_names, mark
from .pictures import drawing_xml, rows_taken
from .rows import Rows
from .sheet import (
    FIRST_ROW,
    HEADING_ROW,
    PURPOSE_ROW,
    TITLE_ROW,
    Column,
    Entry,
    Formula,
    Front,
    Line,
    Show,
    Table,
    Tick,
    Value,
)
from .style import LEFT, body_style, named_styles

_LINE_HEIGHT_PT = 12.0
_ROW_HEIGHT_PT = 16.0
_LETTERS_PER_WIDTH = 1.35  # column widths count digits of an 11 point font; rows are set in 9 point
#: Columns of wrapped text give way until a sheet is no wider. On A4 landscape it is then printed at 7 of the
#: 9 points it is set in: 123 widths fit between the margins at full size (measured in LibreOffice),
#: 123 × 9 / 7.
_WIDEST_SHEET = 158.0
_NARROWEST_WRAPPED = 14.0
_FRONT_WIDTHS = (30, 13, 100)
#: Numbers by which a spreadsheet knows paper (ISO/IEC 29500, ST_PaperSize in prose; from memory).
_PAPER = {"A4": 9, "Letter": 1}


class Writer:
    """Builds the workbook; ``rows`` and ``drawings`` hold the cells and pictures of each worksheet by its
    name."""

    def __init__(self, layout: str, show: DisplaySettings = IN_MM) -> None:
        self.layout, self.show = layout, show
        self.book: Any = Workbook()
        self.book.remove(self.book.active)
        self.rows: dict[str, Rows] = {}
        self.drawings: dict[str, str] = {}
        self._styles: dict[tuple[str, bool], int] = {}
        for style in named_styles():
            self.book.add_named_style(style)

    # --- worksheets

    def front(self, front: Front) -> None:
        ws = self._new(front.name)
        self._put(ws, TITLE_ROW, 1, front.title, "bw-title")
        self._put(ws, PURPOSE_ROW, 1, front.purpose, "bw-purpose")
        ws.merged_cells.add(f"A{PURPOSE_ROW}:C{PURPOSE_ROW}")
        for column, width in enumerate(_FRONT_WIDTHS, 1):
            ws.column_dimensions[get_column_letter(column)].width = width
        row = HEADING_ROW
        for block in front.blocks:
            for column in (1, 2, 3):
                self._put(ws, row, column, block.heading if column == 1 else None, "bw-block")
            self.rows[ws.title].height(row, 20)
            for line in block.lines:
                row += 1
                self._line(ws, row, line)
            row += 2
        self._page(ws, last_row=row - 2, last_column=3, headings=f"{TITLE_ROW}:{PURPOSE_ROW}")

    def table(self, table: Table) -> None:
        ws = self._new(table.name)
        columns = table.columns
        self._put(ws, TITLE_ROW, 1, table.name, "bw-title")
        self._put(ws, PURPOSE_ROW, 1, table.purpose, "bw-purpose")
        last = get_column_letter(len(columns))
        ws.merged_cells.add(f"A{PURPOSE_ROW}:{last}{PURPOSE_ROW}")
        for number, column in enumerate(columns, 1):
            style = "bw-heading" if column.show in LEFT else "bw-heading-right"
            self._put(ws, HEADING_ROW, number, _heading(column), style)
        for place, values in enumerate(table.rows):
            kind = "strong" if place in table.strong else "plain"
            self._row(ws, FIRST_ROW + place, columns, values, kind)
        if not table.rows:
            self._put(ws, FIRST_ROW, 1, table.when_empty, body_style(Show.TEXT))
        for row, values in enumerate(table.closing, table.first_closing_row):
            self._row(ws, row, columns, values, "closing")
        self._accept_numbers_only(ws, table)
        widths = self._fit(ws, table)
        self._heights(table, widths)
        ws.freeze_panes = f"B{FIRST_ROW}"
        ws.auto_filter.ref = f"A{HEADING_ROW}:{last}{table.last_row}"
        mark(ws, table)
        give_names(self.book, table)
        end = table.first_closing_row + len(table.closing) - 1 if table.closing else table.last_row
        if table.pictures:
            self.drawings[table.name] = drawing_xml(table.pictures, end + 2)
            end += 1
            for picture in table.pictures:  # each on a page of its own
                ws.row_breaks.append(Break(id=end))
                end += rows_taken(picture)
        self._page(ws, last_row=end, last_column=len(columns), headings=f"{HEADING_ROW}:{HEADING_ROW}")

    # --- rows and cells

    def _line(self, ws: Worksheet, row: int, line: Line) -> None:
        kind = "strong" if line.strong else "plain"
        self._put(ws, row, 1, line.label, "bw-link" if line.sheet else body_style(Show.WRAPPED, kind))
        if line.sheet:
            self.rows[ws.title].link(f"A{row}", line.sheet, line.label)
        self._put(ws, row, 2, line.value, body_style(line.show, kind))
        self._put(ws, row, 3, line.remark, body_style(Show.WRAPPED, kind))
        remark = line.remark if isinstance(line.remark, str) else str(line.remark.value)
        lines = max(_lines(line.label, _FRONT_WIDTHS[0]), _lines(remark, _FRONT_WIDTHS[2]))
        self.rows[ws.title].height(row, _height(lines))

    def _row(
        self, ws: Worksheet, row: int, columns: Iterable[Column], values: tuple[Value, ...], kind: str
    ) -> None:
        styles = (
            self._style(ws, body_style(c.show, "entry" if isinstance(v, Entry) else kind), _active(v))
            for c, v in zip(columns, values, strict=False)
        )
        self.rows[ws.title].put_all(row, values, styles)

    def _put(self, ws: Worksheet, row: int, column: int, value: Value, style: str) -> None:
        self.rows[ws.title].put(row, column, value, self._style(ws, style, _active(value)))

    def _style(self, ws: Worksheet, name: str, active: bool) -> int:
        """The number of a named style; ``active`` text is marked as text, should somebody edit the cell."""
        if (name, active) not in self._styles:
            sample: Any = Cell(ws, row=1, column=1)  # stands on no worksheet
            sample.style = name
            if active:
                sample.quotePrefix = True
            self._styles[name, active] = sample.style_id
        return self._styles[name, active]

    def _accept_numbers_only(self, ws: Any, table: Table) -> None:
        """In columns the reader may change, so that a slip cannot pass as text and drop out of a sum."""
        columns = {n for values in table.rows for n, v in enumerate(values, 1) if isinstance(v, Entry)}
        if not columns:
            return
        rule = DataValidation(type="decimal", operator="greaterThanOrEqual", formula1="0", allow_blank=True)
        rule.showErrorMessage = True
        rule.errorTitle, rule.error = "A number is needed", "Enter a number that is not negative."
        for letter in map(get_column_letter, sorted(columns)):
            rule.add(f"{letter}{FIRST_ROW}:{letter}{table.last_row}")
        ws.add_data_validation(rule)

    # --- the page

    def _new(self, name: str) -> Any:
        ws = self.book.create_sheet(name)
        ws.sheet_view.showGridLines = False
        ws.sheet_view.zoomScale = 100
        self.rows[name] = Rows()
        self.rows[name].height(TITLE_ROW, 24)
        return ws

    def _fit(self, ws: Any, table: Table) -> list[float]:
        """Widths that show the longest value, within each column's widest."""
        widths = []
        for number, column in enumerate(table.columns, 1):
            rows = [*table.rows, *table.closing]
            longest = max((_longest(r[number - 1]) for r in rows if number <= len(r)), default=0)
            heading = (
                max(len(part) for part in _heading(column).split("\n")) + 3
            )  # room for the filter's button
            wanted = max(longest / _LETTERS_PER_WIDTH * 1.1 + 3, heading, 6)
            widths.append(float(min(wanted, max(column.widest, heading))))
            ws.column_dimensions[get_column_letter(number)].hidden = column.hidden
        seen = [0.0 if c.hidden else w for w, c in zip(widths, table.columns, strict=True)]
        narrowed = _narrowed(seen, [c.show is Show.WRAPPED for c in table.columns])
        widths = [n or w for n, w in zip(narrowed, widths, strict=True)]
        for number, width in enumerate(widths, 1):
            ws.column_dimensions[get_column_letter(number)].width = width
        cells = self.rows[table.name]
        lines = max(_heading(c).count("\n") + 1 for c in table.columns)
        cells.height(HEADING_ROW, lines * _LINE_HEIGHT_PT + 4)
        cells.height(PURPOSE_ROW, _lines(table.purpose, sum(widths)) * _LINE_HEIGHT_PT + 4)
        return widths

    def _heights(self, table: Table, widths: list[float]) -> None:
        """Room to write and for wrapped text, which some programs do not make by themselves."""
        placed = ((FIRST_ROW, table.rows), (table.first_closing_row, table.closing))
        for start, rows in placed:
            for row, values in enumerate(rows, start):
                lines = max(
                    (
                        _lines(v, w)
                        for v, w, c in zip(values, widths, table.columns, strict=False)
                        if isinstance(v, str) and c.show is Show.WRAPPED
                    ),
                    default=1,
                )
                self.rows[table.name].height(row, _height(lines))

    def _page(self, ws: Any, *, last_row: int, last_column: int, headings: str) -> None:
        ws.print_area = f"A1:{get_column_letter(last_column)}{last_row}"
        ws.print_title_rows = headings
        ws.page_setup.orientation = "landscape"
        ws.page_setup.paperSize = _PAPER[self.show.office_paper]
        ws.page_setup.fitToWidth = 1
        ws.page_setup.fitToHeight = 0
        ws.sheet_properties.pageSetUpPr.fitToPage = True
        ws.page_margins.left = ws.page_margins.right = 0.5
        ws.page_margins.top, ws.page_margins.bottom = 0.6, 0.6
        ws.page_margins.header = ws.page_margins.footer = 0.3
        ws.oddFooter.left.text = " " + header_text(self.layout)
        ws.oddFooter.center.text = header_text(ws.title)
        ws.oddFooter.right.text = "Page &P of &N"


def _narrowed(widths: list[float], wrapped: list[bool]) -> list[float]:
    """Wrapped columns made narrower, the widest most, until all fit a legible page or can give no more."""
    over = sum(widths) - _WIDEST_SHEET
    room = [
        max(w - _NARROWEST_WRAPPED, 0.0) if wraps else 0.0 for w, wraps in zip(widths, wrapped, strict=True)
    ]
    if over <= 0 or not any(room):
        return widths
    share = min(over / sum(room), 1.0)
    return [round(w - share * r, 2) for w, r in zip(widths, room, strict=True)]


def _height(lines: int) -> float:
    return _ROW_HEIGHT_PT + (lines - 1) * _LINE_HEIGHT_PT


def _heading(column: Column) -> str:
    return f"{column.heading}\n{column.unit}" if column.unit else column.heading


def _active(value: Value) -> bool:
    return isinstance(value, str) and starts_active(value)


def _longest(value: Value) -> int:
    match value:
        case Formula(_, amount):
            return _longest(amount)
        case Entry(entered):
            return _longest(entered)
        case str():
            shown = visible(value)
            return max(map(len, shown.split("\n"))) if "\n" in shown else len(shown)
        case int() | float():
            return len(f"{value:,.2f}")
        case None | Tick():
            return 0
        case _:
            return len(f"{value:,}") + 1


def _lines(text: str, width: float) -> int:
    """Lines a text needs in a column so wide; wide letters are allowed for."""
    room = max(int(width * _LETTERS_PER_WIDTH), 4)
    if len(text) <= room and "\n" not in text and "\r" not in text:
        return 1
    return sum(wrapped(part, room) for part in visible(text).split("\n"))


def wrapped(text: str, room: int) -> int:
    """Lines of words so wide at most; a word that is longer is broken."""
    lines, left = 1, room
    for word in text.split():
        long = len(word)
        if long > room:
            long -= max(left, 0)
            broken = -(-long // room)
            lines, left = lines + broken, broken * room - long
        elif long > left:
            lines, left = lines + 1, room - long
        else:
            left -= long
        left -= 1
    return lines
