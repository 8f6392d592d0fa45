"""Front sheet and tables to the bytes of a workbook."""

from __future__ import annotations

import datetime
import io

from boardwright.display import IN_MM, DisplaySettings

from .inert import cell_text
from .package import EPOCH, finished
from .sheet import Front, Table
from .writer import Writer


def built(front: Front, tables: tuple[Table, ...], show: DisplaySettings = IN_MM) -> bytes:
    writer = Writer(front.title, show)
    writer.front(front)
    for table in tables:
        writer.table(table)
    book = writer.book
    book.properties.creator = "Boardwright"
    book.properties.title = cell_text(front.title)
    book.properties.created = datetime.datetime(*EPOCH)
    book.calculation.fullCalcOnLoad = True  # programs that calculate do so afresh when they open it
    saved = io.BytesIO()
    book.save(saved)
    parts = {f"xl/worksheets/sheet{n}.xml": writer.rows[name] for n, name in enumerate(book.sheetnames, 1)}
    drawn = {
        f"xl/worksheets/sheet{n}.xml": writer.drawings[name]
        for n, name in enumerate(book.sheetnames, 1)
        if name in writer.drawings
    }
    return finished(saved.getvalue(), parts, drawn)
