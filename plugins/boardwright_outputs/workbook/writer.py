"""Frames of worksheets → a workbook without cells, by openpyxl: styles, widths, pages, marks, names.

Claim: a worksheet prints on A4 (or Letter) landscape, one page wide, with its headings on every page; the
headings stay in view; every table can be filtered. ``package`` puts the cells in.
"""

from __future__ import annotations

import datetime
import io
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.pagebreak import Break

from boardwright.display import DisplaySettings
from boardwright.errors import DefectError

from .formats import IN_ORDER, number
from .inert import cell_text, header_text
from .laying import Frame
from .marks import give_names, mark
from .package import EPOCH
from .sheet import FIRST_ROW, HEADING_ROW, PURPOSE_ROW, column_letter
from .style import named_styles

#: Numbers by which a spreadsheet knows paper (ISO/IEC 29500, ST_PaperSize in prose; from memory).
_PAPER = {"A4": 9, "Letter": 1}


def blank_book(title: str, frames: tuple[Frame, ...], show: DisplaySettings) -> bytes:
    """The workbook's file with every worksheet empty."""
    book: Any = Workbook()
    book.remove(book.active)
    for style in named_styles():
        book.add_named_style(style)
    for frame in frames:
        ws = book.create_sheet(frame.name)
        ws.sheet_view.showGridLines = False
        ws.sheet_view.zoomScale = 100
        _columns(ws, frame)
        if frame.columns:
            _table(ws, frame)
            give_names(book, frame)
        _page(ws, frame, title, show)
    _number_styles(book)
    book.properties.creator = "Boardwright"
    book.properties.title = cell_text(title)
    book.properties.created = datetime.datetime(*EPOCH)
    book.calculation.fullCalcOnLoad = True  # programs that calculate do so afresh when they open it
    saved = io.BytesIO()
    book.save(saved)
    return saved.getvalue()


def _number_styles(book: Any) -> None:
    """Have the library count the styles in our order; a sample cell of each stands on no worksheet.

    Text that would be read as a formula is marked as text, should somebody edit the cell.
    """
    for style, active in IN_ORDER:
        sample: Any = Cell(book.worksheets[0], row=1, column=1)
        sample.style = style
        if active:
            sample.quotePrefix = True
        counted, ours = sample.style_id, number(style, active)
        if counted != ours:
            raise DefectError.of(
                "BW-BOOK-901",
                f"the spreadsheet library gives the style {style} the number {counted}, not {ours}",
                mend="This is a defect of ours; please report it with the version of openpyxl.",
            )


def _columns(ws: Any, frame: Frame) -> None:
    last = column_letter(len(frame.widths))
    ws.merged_cells.add(f"A{PURPOSE_ROW}:{last}{PURPOSE_ROW}")
    for place, width in enumerate(frame.widths, 1):
        ws.column_dimensions[column_letter(place)].width = width
    for place, column in enumerate(frame.columns, 1):
        ws.column_dimensions[column_letter(place)].hidden = column.hidden


def _table(ws: Any, frame: Frame) -> None:
    last = column_letter(len(frame.columns))
    if frame.entries:
        _accept_numbers_only(ws, frame)
    ws.freeze_panes = f"B{FIRST_ROW}"
    ws.auto_filter.ref = f"A{HEADING_ROW}:{last}{frame.last_row}"
    mark(ws, frame)
    for row in frame.breaks:
        ws.row_breaks.append(Break(id=row))


def _accept_numbers_only(ws: Any, frame: Frame) -> None:
    """In columns the reader may change, so that a slip cannot pass as text and drop out of a sum."""
    rule = DataValidation(type="decimal", operator="greaterThanOrEqual", formula1="0", allow_blank=True)
    rule.showErrorMessage = True
    rule.errorTitle, rule.error = "A number is needed", "Enter a number that is not negative."
    for letter in map(column_letter, frame.entries):
        rule.add(f"{letter}{FIRST_ROW}:{letter}{frame.last_row}")
    ws.add_data_validation(rule)


def _page(ws: Any, frame: Frame, title: str, show: DisplaySettings) -> None:
    ws.print_area = f"A1:{column_letter(len(frame.widths))}{frame.end}"
    ws.print_title_rows = frame.headings
    ws.page_setup.orientation = "landscape"
    ws.page_setup.paperSize = _PAPER[show.office_paper]
    ws.page_setup.fitToWidth = 1
    ws.page_setup.fitToHeight = 0
    ws.sheet_properties.pageSetUpPr.fitToPage = True
    ws.page_margins.left = ws.page_margins.right = 0.5
    ws.page_margins.top, ws.page_margins.bottom = 0.6, 0.6
    ws.page_margins.header = ws.page_margins.footer = 0.3
    ws.oddFooter.left.text = " " + header_text(title)
    ws.oddFooter.center.text = header_text(ws.title)
    ws.oddFooter.right.text = "Page &P of &N"
