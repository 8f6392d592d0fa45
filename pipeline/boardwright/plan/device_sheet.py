"""The device list as a spreadsheet's own file (XLSX): its first sheet as rows of text cells.

Only values are read. A formula is refused: what it would come to is not known here, and nothing is computed
from a stranger's file. openpyxl is imported only when such a file is read.

What this does not know: what the cells mean, other sheets, and the older XLS format.
"""

from __future__ import annotations

import io
import warnings
import zipfile
from typing import Any

from ..findings import Notes, Place
from .source import SourceFile

SIGNS = (b"PK\x03\x04", b"PK\x05\x06")
OLD_SIGN = b"\xd0\xcf\x11\xe0"
"""First bytes of a zip archive (XLSX is one) and of the older XLS container (from memory)."""
OPEN_SIGN = b"application/vnd.oasis.opendocument"  # stands first in such an archive, unpacked (ODF 1.2)
LARGEST_BYTES = 50_000_000
MOST_ROWS, MOST_COLUMNS = 20_000, 64


def is_sheet(source: SourceFile) -> bool:
    return source.data.startswith((*SIGNS, OLD_SIGN))


def table(source: SourceFile, problems: Notes) -> list[list[str]] | None:
    """Rows from the first one on, so that a row's number is its position plus one; None when unusable."""
    where = Place(file=source.name)
    why = _unfit(source.data)
    if why:
        _refuse(why, where, problems)
        return None
    try:
        rows = _rows(source.data)
    except Exception as problem:  # strangers' bytes break the library in ways it does not list
        _refuse(f"{type(problem).__name__}: {' '.join(str(problem).split())[:80]}", where, problems)
        return None
    if rows is None:
        _refuse(f"more than {MOST_ROWS} rows", where, problems)
        return None
    return [[_text(cell, n, source.name, problems) for cell in row] for n, row in enumerate(rows, 1)]


def cells(data: bytes) -> list[tuple[Any, ...]]:
    """The first worksheet's cells as they are, formulas as text. Raises ValueError saying why not."""
    if why := _unfit(data):
        raise ValueError(why)
    try:
        rows = _rows(data)
    except Exception as problem:  # whatever the library meets in a stranger's file
        raise ValueError(f"{type(problem).__name__}: {' '.join(str(problem).split())[:80]}") from problem
    if rows is None:
        raise ValueError(f"more than {MOST_ROWS} rows")
    return rows


def _refuse(why: str, where: Place, problems: Notes) -> None:
    problems.fault(
        "BW-READ-040",
        f"the device list is not a spreadsheet that can be read ({why})",
        where,
        "Save it again as XLSX or CSV from your spreadsheet.",
    )


def _unfit(data: bytes) -> str:
    """Why the file should not even be opened; empty when it may be."""
    if data.startswith(OLD_SIGN):
        return "it is of the older XLS format, or has a password"
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            size = sum(member.file_size for member in archive.infolist())
            if OPEN_SIGN in data[:100]:
                return "it is an OpenDocument file (ODS)"
    # NotImplementedError: packed in a way the library cannot unpack
    except (zipfile.BadZipFile, ValueError, OverflowError, NotImplementedError) as problem:
        return f"damaged: {problem}"
    return f"it unpacks to more than {LARGEST_BYTES // 1_000_000} MB" if size > LARGEST_BYTES else ""


def _rows(data: bytes) -> list[tuple[Any, ...]] | None:
    import openpyxl

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of styles and extensions, which hold no devices
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
        try:
            if not book.worksheets:
                raise ValueError("it has no sheet")
            rows: list[tuple[Any, ...]] = []
            for row in book.worksheets[0].iter_rows(max_col=MOST_COLUMNS, values_only=True):
                if len(rows) == MOST_ROWS:
                    return None
                rows.append(row)
            return rows
        finally:
            book.close()


def _text(cell: Any, row: int, file: str, problems: Notes) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    text = str(cell)
    if not isinstance(cell, str | int) and type(cell).__name__ in ("ArrayFormula", "DataTableFormula"):
        text = "=…"
    if text.startswith("="):
        problems.fault(
            "BW-READ-062",
            f"a cell holds a formula, {text[:40]!r}; only values are read",
            Place(file=file, row=row),
            "Copy the cells and paste them as values, or save the list as CSV.",
        )
        return ""
    return text
