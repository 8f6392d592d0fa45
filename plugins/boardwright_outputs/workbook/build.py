"""Front sheet and tables to the bytes of a workbook."""

from __future__ import annotations

from boardwright import NO_MEMO, Memo
from boardwright.display import IN_MM, DisplaySettings

from .laying import Frame, laid_front, laid_table
from .package import finished
from .sheet import Front, Table


def built(
    front: Front, tables: tuple[Table, ...], show: DisplaySettings = IN_MM, memo: Memo = NO_MEMO
) -> bytes:
    """What is as it was is not made again: a table, nor, with all frames as they were, the empty workbook."""
    sheets = (memo.of(laid_front, front), *(memo.of(laid_table, table) for table in tables))
    saved = memo.of(blank_book, front.title, tuple(s.frame for s in sheets), show)
    return finished(saved, {f"xl/worksheets/sheet{n}.xml": sheet for n, sheet in enumerate(sheets, 1)})


def blank_book(title: str, frames: tuple[Frame, ...], show: DisplaySettings) -> bytes:
    from .writer import blank_book  # brings in the spreadsheet library

    return blank_book(title, frames, show)
