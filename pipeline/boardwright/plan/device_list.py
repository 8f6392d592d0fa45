"""The device list: a CSV or XLSX file, one device a row, read into cells with their row numbers.

A CSV's cells are separated by commas, semicolons or tabs; with semicolons or tabs a decimal comma is
understood. The first row that is not empty names the columns (``device_columns.py``), or one of the next
HEAD_ROWS where a title stands above the headings, which is told; rows are counted as a spreadsheet counts
them.

What this does not know: the drawing. Putting list and drawing together is ``devices.py``'s.
"""

from __future__ import annotations

import csv
import io
import re

import msgspec

from ..findings import Notes, Place
from . import device_columns, device_sheet
from .column_names import LENGTHS, NUMBERS
from .device_columns import NO_LIST, Columns
from .lengths import length_mm, number_of
from .settings import DeviceSettings
from .source import SourceFile
from .thousands import ASKED, has_decimal_commas, may_be_grouped, ungrouped
from .units import WORDS

_ABOVE_ZERO = ("length_mm", "width_mm")
_NOT_BELOW_ZERO = ("depth_mm", "clearance_mm", "hole_mm", "slot_mm")
_DATE = re.compile(r"\d{4}-\d\d-\d\d( \d\d:\d\d:\d\d)?|\d{1,2}([./])\d{1,2}\2(\d{4}|\d\d)")
HEAD_ROWS = 20
FARTHEST_MM = 1e8
FARTHEST_PLACE_MM = 1e11  # drawings on map coordinates lie that far out


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """One device's cells; ``numbers`` holds the ones that are filled and right."""

    id: str
    kind: str
    numbers: dict[str, float]
    place: Place
    place_is_wrong: bool = False
    counted_from: str = ""
    note: str = ""


class Listed(msgspec.Struct, frozen=True):
    """A device list, read."""

    rows: tuple[Row, ...] = ()
    columns: Columns = NO_LIST


def read(source: SourceFile, settings: DeviceSettings, notes: Notes, problems: Notes) -> Listed:
    """Rows that can be used; everything wrong with the others goes to ``problems``."""
    if device_sheet.is_sheet(source):
        table, decimal_comma = device_sheet.table(source, problems), True
    else:
        table, decimal_comma = _csv_table(source, notes, problems)
    if table is None:
        return Listed()
    if sum(any(c.strip() for c in cells) for cells in table) < 2:
        says = (
            "the device list holds headings and no device"
            if any(map(any, table))
            else "the device list is empty"
        )
        notes.caution("BW-READ-053", says, Place(file=source.name), "Add devices, or drop it.")
    if not any(c.strip() for cells in table for c in cells):
        return Listed()
    head = _head(table, source, settings, notes)
    where = Place(file=source.name, row=head + 1)
    columns = device_columns.understood(table[head], where, settings, notes, problems)
    if columns is None:
        return Listed()
    rows = []
    points_group = (
        decimal_comma and not device_sheet.is_sheet(source) and has_decimal_commas(table[head + 1 :])
    )
    for n, cells in enumerate(table[head + 1 :], head + 2):
        filled = {columns.at[i]: c.strip() for i, c in enumerate(cells) if i in columns.at and c.strip()}
        spare = [c.strip() for c in cells[len(table[head]) :] if c.strip()]
        if spare:
            problems.fault(
                "BW-READ-054",
                f"this row has more cells than there are columns: {', '.join(spare)!r} is left over",
                Place(file=source.name, row=n, item=filled.get("id")),
                "Write decimals with a point (12.5), or save the list with semicolons between the cells.",
            )
        elif filled:
            where = Place(file=source.name, row=n)
            if row := _row(filled, where, columns, (decimal_comma, points_group), problems):
                rows.append(row)
    return Listed(tuple(rows), columns)


def _head(table: list[list[str]], source: SourceFile, settings: DeviceSettings, notes: Notes) -> int:
    """The row of the headings: the first that is not empty, unless that has none and one soon after has."""
    first, *later = [i for i, cells in enumerate(table) if any(c.strip() for c in cells)]
    found = next(
        (i for i in (first, *later[:HEAD_ROWS]) if device_columns.are_headings(table[i], settings)), first
    )
    if found > first:
        title = next(c.strip() for c in table[first] if c.strip())
        notes.mended(
            "BW-READ-096",
            f"the headings of the device list are read from row {found + 1}; what stands above is passed "
            f"over, from {title[:40]!r} on",
            Place(file=source.name, row=first + 1),
            "Nothing, unless a device stands above them.",
        )
    return found


def _csv_table(source: SourceFile, notes: Notes, problems: Notes) -> tuple[list[list[str]] | None, bool]:
    """The cells, and whether a decimal comma can be meant."""
    text = _text(source, notes, problems)
    if text is None:
        return None, False
    first = next((line for line in text.splitlines() if any(sign in line for sign in ",;\t")), "")
    delimiter = max(",;\t", key=first.count)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)), delimiter != ","
    except csv.Error as problem:
        problems.fault(
            "BW-READ-040",
            f"the device list is not a table that can be read ({problem})",
            Place(file=source.name),
            "Save it again as CSV from your spreadsheet.",
        )
        return None, False


def _text(source: SourceFile, notes: Notes, problems: Notes) -> str | None:
    data, where = source.data, Place(file=source.name)
    try:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            return data.decode("utf-16")
        if b"\0" in data:
            raise ValueError("it holds bytes that no text has")
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
            notes.mended(
                "BW-READ-051",
                "the device list is not in UTF-8; read as Western European text",
                where,
                "Save it as CSV UTF-8 if a name looks wrong.",
            )
            return text
    except ValueError as problem:
        problems.fault(
            "BW-READ-040",
            f"the device list is not a text table ({problem})",
            where,
            "Save it as CSV from your spreadsheet.",
        )
        return None


def _row(
    filled: dict[str, str], where: Place, columns: Columns, signs: tuple[bool, bool], problems: Notes
) -> Row | None:
    """``signs``: whether a comma can stand before decimals, and a point between thousands."""
    decimal_comma, points_group = signs
    name = filled.get("id", "")
    if not name:
        says = f"this row has no {columns.called('id')}"
        problems.fault("BW-READ-044", says, where, "Give the device a name of its own.")
        return None
    if any(sign in line for line in name.splitlines()[1:] for sign in ",;\t"):  # rows that it has swallowed
        says = f"the name in this row runs over several lines, from {name.splitlines()[0]!r} on"
        problems.fault("BW-READ-044", says, where, "Close the quotation mark before it, or take it away.")
        return None
    place = Place(file=where.file, row=where.row, item=name)
    numbers: dict[str, float] = {}
    for column in NUMBERS:
        if column not in filled:
            continue
        text = filled[column]
        value = number_in(column, text, decimal_comma, columns.unit(column))
        if points_group and may_be_grouped(text):
            value = ASKED
        if isinstance(value, str):
            problems.fault(
                "BW-READ-043",
                f"{columns.called(column)} of {name} {value}: {text!r}",
                place,
                ungrouped(text) or _undated(text) or _as_wanted(column, columns.unit(column)),
            )
        else:
            numbers[column] = value
    if ("x_mm" in filled) != ("y_mm" in filled):
        lacks = "y_mm" if "x_mm" in filled else "x_mm"
        problems.fault(
            "BW-READ-047",
            f"{name} has no {columns.called(lacks)}",
            place,
            "Fill both, or neither to use the drawing's place.",
        )
    wrong = any(c in filled and c not in numbers for c in ("x_mm", "y_mm"))
    return Row(
        id=name,
        kind=filled.get("kind", ""),
        numbers=numbers,
        place=place,
        place_is_wrong=wrong,
        counted_from=filled.get("from", ""),
        note=filled.get("note", ""),
    )


def _undated(text: str) -> str:
    """What to do where a spreadsheet has made a date of a number such as 2.4; empty for other text."""
    if not _DATE.fullmatch(text):
        return ""
    return "The spreadsheet took it for a date: give the cells the format of a number, and type it again."


def _as_wanted(column: str, unit: str) -> str:
    if column not in LENGTHS:
        return "Write a plain number in degrees, such as 12.5."
    if unit in ("in", "ft"):
        return f"Write {WORDS[unit]}, such as 12.5 or 12 1/2, or feet and inches, such as 3' 6\"."
    return f"Write a plain number in {unit}, such as 12.5."


def number_in(column: str, text: str, decimal_comma: bool = True, unit: str = "mm") -> float | str:
    """The number a cell holds, lengths in millimetres, or what is wrong with it."""
    value = length_mm(text, unit, decimal_comma) if column in LENGTHS else number_of(text, decimal_comma)
    if value is None:
        return "is not a number"
    if column in _ABOVE_ZERO and value <= 0:
        return "must be more than 0"
    if column in _NOT_BELOW_ZERO and value < 0:
        return "must not be less than 0"
    if abs(value) > (FARTHEST_PLACE_MM if column in ("x_mm", "y_mm") else FARTHEST_MM):
        return "is far beyond any layout"
    return value
