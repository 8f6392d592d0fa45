"""The device list: a CSV or XLSX file, one device a row, read into cells with their row numbers.

Columns: see ``MEANINGS``. Only id and kind must be there. A CSV's cells are separated by commas, semicolons
or tabs; with semicolons or tabs a decimal comma is understood. The first row that is not empty names the
columns; rows are counted as a spreadsheet counts them.

What this does not know: the drawing. Putting list and drawing together is ``devices.py``'s.
"""

from __future__ import annotations

import csv
import difflib
import io
import math

import msgspec

from ..findings import Notes, Place
from . import device_sheet
from .source import SourceFile

NUMBERS = (
    *("x_mm", "y_mm", "angle_deg", "length_mm", "width_mm", "depth_mm", "clearance_mm"),
    *("hole_mm", "slot_mm", "level_mm"),
)
COLUMNS = ("id", "kind", *NUMBERS, "from", "note")
MEANINGS: dict[str, str] = {
    "id": "the device's name, once in the list; a row and an insert in the drawing of one id are one device",
    "kind": "what it is; may be empty when the drawing says it",
    "x_mm": "its middle, to the right of the drawing's origin; empty: where the drawing has it",
    "y_mm": "its middle, up from the drawing's origin; empty: where the drawing has it",
    "angle_deg": "where its length points, anticlockwise from the x axis",
    "length_mm": "size along that angle; empty: the kind's",
    "width_mm": "size across it; empty: the kind's",
    "depth_mm": "how far it reaches below the deck's underside; empty: the kind's",
    "clearance_mm": "free room all round; empty: the kind's",
    "hole_mm": "width of the hole or slot through the deck over its middle; 0: none; empty: the kind's",
    "slot_mm": "length of that slot, across the device's length; 0: a round hole; empty: the kind's",
    "level_mm": "height of the level it hangs under; empty: its layer's, else it counts on every level",
    "from": "a drawn joint, turnout or other device that x_mm and y_mm count from: from a joint along it "
    "and to its left, else to the right and up; x_mm and y_mm empty: that very place",
    "note": "your own words; kept",
}
_ABOVE_ZERO = ("length_mm", "width_mm")
_NOT_BELOW_ZERO = ("depth_mm", "clearance_mm", "hole_mm", "slot_mm")
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


def read(source: SourceFile, notes: Notes, problems: Notes) -> list[Row]:
    """Rows that can be used; everything wrong with the others goes to ``problems``."""
    if device_sheet.is_sheet(source):
        table, decimal_comma = device_sheet.table(source, problems), True
    else:
        table, decimal_comma = _csv_table(source, notes, problems)
    if table is None:
        return []
    if not any(c.strip() for cells in table for c in cells):
        notes.caution(
            "BW-READ-053", "the device list is empty", Place(file=source.name), "Add devices, or drop it."
        )
        return []
    head = next(i for i, cells in enumerate(table) if any(c.strip() for c in cells))
    columns = _columns(source.name, table[head], head + 1, notes, problems)
    if columns is None:
        return []
    rows = []
    for n, cells in enumerate(table[head + 1 :], head + 2):
        filled = {columns[i]: c.strip() for i, c in enumerate(cells) if i in columns and c.strip()}
        spare = [c.strip() for c in cells[len(table[head]) :] if c.strip()]
        if spare:
            problems.fault(
                "BW-READ-054",
                f"this row has more cells than there are columns: {', '.join(spare)!r} is left over",
                Place(file=source.name, row=n, item=filled.get("id")),
                "Write decimals with a point (12.5), or save the list with semicolons between the cells.",
            )
        elif filled:
            row = _row(filled, Place(file=source.name, row=n), decimal_comma, problems)
            if row:
                rows.append(row)
    return rows


def _csv_table(source: SourceFile, notes: Notes, problems: Notes) -> tuple[list[list[str]] | None, bool]:
    """The cells, and whether a decimal comma can be meant."""
    text = _text(source, notes, problems)
    if text is None:
        return None, False
    first = next((line for line in text.splitlines() if line.strip()), "")
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


def _columns(file: str, cells: list[str], row: int, notes: Notes, problems: Notes) -> dict[int, str] | None:
    """Position -> column name; None when a column that must be there is missing."""
    where = Place(file=file, row=row)
    found: dict[int, str] = {}
    for i, cell in enumerate(cells):
        name = "_".join(cell.casefold().split())
        if not name:
            continue
        if name in COLUMNS and name not in found.values():
            found[i] = name
            continue
        near = difflib.get_close_matches(name, COLUMNS, n=1, cutoff=0.6)
        twice = name in COLUMNS
        if name in ("board", "on_board"):
            problems.fault(
                "BW-READ-063",
                f"column {cell.strip()!r} cannot be read: boards are named only when the layout is parted",
                where,
                "Count x_mm and y_mm from the drawing's origin, or from what a column 'from' names: "
                "a drawn joint, a turnout or a device.",
            )
            continue
        notes.caution(
            "BW-READ-042",
            f"column {cell.strip()!r} is {'there twice, the first is used' if twice else 'not read'}",
            where,
            f"Did you mean {near[0]!r}?" if near and not twice else f"Columns read: {', '.join(COLUMNS)}.",
        )
    missing = [c for c in ("id", "kind") if c not in found.values()]
    for name in missing:
        problems.fault(
            "BW-READ-041",
            f"the device list has no column {name!r}",
            where,
            f"Columns wanted in the first row: {', '.join(COLUMNS)} (id and kind must be there). "
            f"There are: {', '.join(c.strip() for c in cells if c.strip()) or 'none'}.",
        )
    return None if missing else found


def _row(filled: dict[str, str], where: Place, decimal_comma: bool, problems: Notes) -> Row | None:
    name = filled.get("id", "")
    if not name:
        problems.fault("BW-READ-044", "this row has no id", where, "Give the device a name of its own.")
        return None
    place = Place(file=where.file, row=where.row, item=name)
    numbers: dict[str, float] = {}
    for column in NUMBERS:
        if column not in filled:
            continue
        value = number_in(column, filled[column], decimal_comma)
        if isinstance(value, str):
            problems.fault(
                "BW-READ-043",
                f"{column} of {name} {value}: {filled[column]!r}",
                place,
                f"Write a plain number in {'degrees' if column == 'angle_deg' else 'mm'}, such as 12.5.",
            )
        else:
            numbers[column] = value
    if ("x_mm" in filled) != ("y_mm" in filled):
        lacks = "y_mm" if "x_mm" in filled else "x_mm"
        problems.fault(
            "BW-READ-047",
            f"{name} has no {lacks}",
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


def number_in(column: str, text: str, decimal_comma: bool = True) -> float | str:
    """The number a cell holds, or what is wrong with it."""
    value = _number(text, decimal_comma)
    if value is None:
        return "is not a number"
    if column in _ABOVE_ZERO and value <= 0:
        return "must be more than 0"
    if column in _NOT_BELOW_ZERO and value < 0:
        return "must not be less than 0"
    if abs(value) > (FARTHEST_PLACE_MM if column in ("x_mm", "y_mm") else FARTHEST_MM):
        return "is far beyond any layout"
    return value


def _number(text: str, decimal_comma: bool) -> float | None:
    plain = text.replace("\u00a0", "").replace("\u2212", "-")
    if decimal_comma and plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    if "_" in plain:
        return None
    try:
        value = float(plain)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
