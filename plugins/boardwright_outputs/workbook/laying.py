"""Tables and the front sheet laid out: every cell, width, height and place, without a spreadsheet library.

Claim: a worksheet is one page wide; wrapped text has the height it needs; text is only ever text.

Glossary
    laid     a worksheet: its cells as the file holds them, and the frame they go into
    frame    all of a worksheet but its cells and pictures: what ``writer`` makes through the library
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from .formats import LEFT, body_style, number
from .inert import starts_active, visible
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

_LINE_HEIGHT_PT = 12.0
_ROW_HEIGHT_PT = 16.0
_LETTERS_PER_WIDTH = 1.35  # column widths count digits of an 11 point font; rows are set in 9 point
#: Columns of wrapped text give way until a sheet is no wider. On A4 landscape it is then printed at 7 of the
#: 9 points it is set in: 123 widths fit between the margins at full size (measured in LibreOffice),
#: 123 × 9 / 7.
_WIDEST_SHEET = 158.0
_NARROWEST_WRAPPED = 14.0
_FRONT_WIDTHS = (30.0, 13.0, 100.0)


class Frame(msgspec.Struct, frozen=True, kw_only=True):
    """A worksheet without its cells. ``widths`` by column; ``columns`` is empty for the front sheet.

    ``last_row``: of the table proper; ``end``: of the page, closing rows and pictures in. ``entries``: places
    of the columns in which the reader may change numbers; ``breaks``: rows after which a page ends.
    """

    name: str
    widths: tuple[float, ...]
    headings: str
    end: int
    columns: tuple[Column, ...] = ()
    last_row: int = 0
    entries: tuple[int, ...] = ()
    breaks: tuple[int, ...] = ()
    named: tuple[tuple[str, str], ...] = ()


class Laid(msgspec.Struct, frozen=True, kw_only=True):
    """A worksheet's frame, its cells and links in the file's own words, and its pictures ("": none)."""

    frame: Frame
    rows_xml: str
    links_xml: str
    extent: str
    drawing_xml: str = ""


def laid_front(front: Front) -> Laid:
    rows = _begun()
    _put(rows, TITLE_ROW, 1, front.title, "bw-title")
    _put(rows, PURPOSE_ROW, 1, front.purpose, "bw-purpose")
    row = HEADING_ROW
    for block in front.blocks:
        for column in (1, 2, 3):
            _put(rows, row, column, block.heading if column == 1 else None, "bw-block")
        rows.height(row, 20)
        for line in block.lines:
            row += 1
            _put_line(rows, row, line)
        row += 2
    frame = Frame(name=front.name, widths=_FRONT_WIDTHS, headings=f"{TITLE_ROW}:{PURPOSE_ROW}", end=row - 2)
    return _laid(frame, rows)


def laid_table(table: Table) -> Laid:
    rows = _begun()
    columns = table.columns
    _put(rows, TITLE_ROW, 1, table.name, "bw-title")
    _put(rows, PURPOSE_ROW, 1, table.purpose, "bw-purpose")
    for place, column in enumerate(columns, 1):
        style = "bw-heading" if column.show in LEFT else "bw-heading-right"
        _put(rows, HEADING_ROW, place, _heading(column), style)
    plain, strong = _numbers(columns, "plain"), _numbers(columns, "strong")
    for place, values in enumerate(table.rows):
        _put_row(rows, FIRST_ROW + place, values, strong if place in table.strong else plain)
    if not table.rows:
        _put(rows, FIRST_ROW, 1, table.when_empty, body_style(Show.TEXT))
    closing = _numbers(columns, "closing")
    for row, values in enumerate(table.closing, table.first_closing_row):
        _put_row(rows, row, values, closing)
    widths = _widths(table)
    _heights(table, widths, rows)
    end = table.first_closing_row + len(table.closing) - 1 if table.closing else table.last_row
    drawn = drawing_xml(table.pictures, end + 2) if table.pictures else ""
    end += bool(table.pictures)
    breaks = []
    for picture in table.pictures:  # each on a page of its own
        breaks.append(end)
        end += rows_taken(picture)
    entries = {n for values in table.rows for n, v in enumerate(values, 1) if isinstance(v, Entry)}
    frame = Frame(
        name=table.name,
        widths=tuple(widths),
        headings=f"{HEADING_ROW}:{HEADING_ROW}",
        end=end,
        columns=columns,
        last_row=table.last_row,
        entries=tuple(sorted(entries)),
        breaks=tuple(breaks),
        named=table.named,
    )
    return _laid(frame, rows, drawn)


def _begun() -> Rows:
    rows = Rows()
    rows.height(TITLE_ROW, 24)
    return rows


def _laid(frame: Frame, rows: Rows, drawn: str = "") -> Laid:
    return Laid(
        frame=frame, rows_xml=rows.xml, links_xml=rows.links_xml, extent=rows.extent, drawing_xml=drawn
    )


# --- rows and cells


def _put_line(rows: Rows, row: int, line: Line) -> None:
    kind = "strong" if line.strong else "plain"
    _put(rows, row, 1, line.label, "bw-link" if line.sheet else body_style(Show.WRAPPED, kind))
    if line.sheet:
        rows.link(f"A{row}", line.sheet, line.label)
    _put(rows, row, 2, line.value, body_style(line.show, kind))
    _put(rows, row, 3, line.remark, body_style(Show.WRAPPED, kind))
    remark = line.remark if isinstance(line.remark, str) else str(line.remark.value)
    rows.height(row, _height(max(_lines(line.label, _FRONT_WIDTHS[0]), _lines(remark, _FRONT_WIDTHS[2]))))


def _numbers(columns: tuple[Column, ...], kind: str) -> list[tuple[int, int, int]]:
    """The styles of a row's cells by column: as it is, text that looks like a formula, a number to change."""
    return [
        (number(plain := body_style(c.show, kind)), number(plain, True), number(body_style(c.show, "entry")))
        for c in columns
    ]


def _put_row(rows: Rows, row: int, values: tuple[Value, ...], numbers: list[tuple[int, int, int]]) -> None:
    styles = [
        (active if starts_active(v) else plain)
        if isinstance(v, str)
        else (entry if isinstance(v, Entry) else plain)
        for v, (plain, active, entry) in zip(values, numbers, strict=False)
    ]
    rows.put_all(row, values, styles)


def _put(rows: Rows, row: int, column: int, value: Value, style: str) -> None:
    rows.put(row, column, value, number(style, _active(value)))


# --- sizes


def _widths(table: Table) -> list[float]:
    """Widths that show the longest value, within each column's widest."""
    widths = []
    rows = [*table.rows, *table.closing]
    for place, column in enumerate(table.columns, 1):
        longest = max((_longest(r[place - 1]) for r in rows if place <= len(r)), default=0)
        heading = max(len(part) for part in _heading(column).split("\n")) + 3  # room for the filter's button
        wanted = max(longest / _LETTERS_PER_WIDTH * 1.1 + 3, heading, 6)
        widths.append(float(min(wanted, max(column.widest, heading))))
    seen = [0.0 if c.hidden else w for w, c in zip(widths, table.columns, strict=True)]
    narrowed = _narrowed(seen, [c.show is Show.WRAPPED for c in table.columns])
    return [n or w for n, w in zip(narrowed, widths, strict=True)]


def _heights(table: Table, widths: list[float], rows: Rows) -> None:
    """Room to write and for wrapped text, which some programs do not make by themselves."""
    lines = max(_heading(c).count("\n") + 1 for c in table.columns)
    rows.height(HEADING_ROW, lines * _LINE_HEIGHT_PT + 4)
    rows.height(PURPOSE_ROW, _lines(table.purpose, sum(widths)) * _LINE_HEIGHT_PT + 4)
    wrapping = [n for n, c in enumerate(table.columns) if c.show is Show.WRAPPED]
    for row, values in _placed(table):
        wrapped_ones = [(values[n], widths[n]) for n in wrapping if n < len(values)]
        lines = max((_lines(v, w) for v, w in wrapped_ones if isinstance(v, str)), default=1)
        rows.height(row, _height(lines))


def _placed(table: Table) -> Iterator[tuple[int, tuple[Value, ...]]]:
    yield from enumerate(table.rows, FIRST_ROW)
    yield from enumerate(table.closing, table.first_closing_row)


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
    if isinstance(value, str):  # most are
        shown = visible(value)
        return max(map(len, shown.split("\n"))) if "\n" in shown else len(shown)
    match value:
        case int() | float():
            return len(f"{value:,.2f}")
        case None | Tick():
            return 0
        case Formula(_, amount):
            return _longest(amount)
        case Entry(entered):
            return _longest(entered)
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
