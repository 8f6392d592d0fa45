"""A list of pieces to cut, as a CSV table: columns id, material, thickness_mm, length_mm, width_mm, quantity,
grain (length | width | free; a free piece may be turned). quantity (1) and grain (free) may be left out.

Separated by commas, semicolons or tabs; with semicolons or tabs a decimal comma is understood. Rows are
counted as a spreadsheet counts them. Every wrong cell is told, not only the first.

What this does not know: stock.
"""

from __future__ import annotations

import csv
import io
import math

import msgspec

from boardwright import Notes, Place
from boardwright.errors import InputError
from boardwright.plan.source import SourceFile
from boardwright.plan.thousands import ASKED, has_decimal_commas, may_be_grouped, ungrouped
from boardwright_timber.model import Grain

NEEDED = ("id", "material", "thickness_mm", "length_mm", "width_mm")
COLUMNS = (*NEEDED, "quantity", "grain")
MOST_PIECES = 100_000


class Row(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    quantity: int
    grain: Grain
    row: int


def read_pieces(source: SourceFile, notes: Notes) -> list[Row]:
    """All rows. Raises InputError with everything that is wrong with the list."""
    problems = Notes()
    try:
        text = source.data.decode("utf-8-sig")
        first = next((line for line in text.splitlines() if line.strip()), "")
        delimiter = max(",;\t", key=first.count)
        table = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except (UnicodeDecodeError, csv.Error) as problem:
        raise InputError.of(
            "BW-NEST-001",
            f"the list of pieces is not a text table ({problem})",
            Place(file=source.name),
            "Save it as CSV UTF-8 from your spreadsheet.",
        ) from problem
    filled = [
        (n, [c.strip() for c in cells]) for n, cells in enumerate(table, 1) if any(map(str.strip, cells))
    ]
    if len(filled) < 2:
        raise InputError.of(
            "BW-NEST-002",
            "the list of pieces is empty",
            Place(file=source.name),
            f"The first row names the columns ({', '.join(COLUMNS)}), every other row a piece.",
        )
    columns = _columns(source.name, *filled[0], notes, problems)
    signs = (delimiter != ",", delimiter != "," and has_decimal_commas(cells for _, cells in filled[1:]))
    rows = (
        []
        if problems.findings
        else [
            _row(source.name, n, cells, columns, len(filled[0][1]), signs, problems)
            for n, cells in filled[1:]
        ]
    )
    _differ(source.name, [r for r in rows if r], problems)
    total = sum(r.quantity for r in rows if r)
    if total > MOST_PIECES:
        problems.fault(
            "BW-NEST-007",
            f"the list asks for {total} pieces, more than {MOST_PIECES}",
            Place(file=source.name),
            "Check the quantities, or cut the list in parts.",
        )
    if problems.findings:
        raise InputError(problems.findings)
    return [r for r in rows if r]


def _columns(file: str, row: int, cells: list[str], notes: Notes, problems: Notes) -> dict[str, int]:
    found: dict[str, int] = {}
    for i, cell in enumerate(cells):
        name = "_".join(cell.casefold().split())
        if name in COLUMNS and name not in found:
            found[name] = i
        elif name:
            notes.caution(
                "BW-NEST-003",
                f"column {cell!r} is {'there twice, the first is used' if name in found else 'not read'}",
                Place(file=file, row=row),
                f"Columns read: {', '.join(COLUMNS)}.",
            )
    for name in NEEDED:
        if name not in found:
            problems.fault(
                "BW-NEST-004",
                f"the list of pieces has no column {name!r}",
                Place(file=file, row=row),
                f"Name the columns in the first row: {', '.join(COLUMNS)}.",
            )
    return found


def _row(
    file: str,
    n: int,
    cells: list[str],
    columns: dict[str, int],
    wide: int,
    signs: tuple[bool, bool],
    problems: Notes,
) -> Row | None:
    """``signs``: whether a comma can stand before decimals, and a point between thousands."""
    decimal_comma, points_group = signs
    before = len(problems.findings)
    got = {name: cells[i] for name, i in columns.items() if i < len(cells) and cells[i]}
    place = Place(file=file, row=n, item=got.get("id"))
    spare = [c for c in cells[wide:] if c]
    if spare:
        problems.fault(
            "BW-NEST-005",
            f"this row has more cells than there are columns: {', '.join(spare)!r} is left over",
            place,
            "Write decimals with a point (12.5), or save the list with semicolons between the cells.",
        )
    for name in NEEDED:
        if name not in got:
            problems.fault("BW-NEST-005", f"{name} is empty", place, "Fill the cell or delete the row.")
    sizes = {}
    for name in ("thickness_mm", "length_mm", "width_mm"):
        if name in got:
            asked = points_group and may_be_grouped(got[name])
            sizes[name] = None if asked else _size(got[name], decimal_comma)
            if sizes[name] is None:
                problems.fault(
                    "BW-NEST-005",
                    f"{name} {ASKED}: {got[name]!r}"
                    if asked
                    else f"{name} must be a number of mm above 0, not {got[name]!r}",
                    place,
                    ungrouped(got[name]) or "Write a plain number such as 564 or 12.5.",
                )
    quantity = got.get("quantity", "1")
    if not (quantity.isascii() and quantity.isdigit() and int(quantity) > 0):
        problems.fault(
            "BW-NEST-005", f"quantity must be 1 or more, not {quantity!r}", place, "Write a whole number."
        )
    grain = got.get("grain", "free").casefold()
    if grain not in list(Grain):
        problems.fault(
            "BW-NEST-005",
            f"grain must be length, width or free, not {grain!r}",
            place,
            "length: along the piece's length; width: across it; free: it may be turned.",
        )
    if len(problems.findings) > before:
        return None
    return Row(
        id=got["id"],
        material=got["material"],
        quantity=int(quantity),
        grain=Grain(grain),
        row=n,
        **{k: v for k, v in sizes.items() if v is not None},
    )


def _size(text: str, decimal_comma: bool) -> float | None:
    plain = text.replace(",", ".") if decimal_comma and text.count(",") == 1 and "." not in text else text
    try:
        value = float(plain) if "_" not in plain else math.nan
    except ValueError:
        return None
    return value if 0 < value <= 1e6 else None


def _differ(file: str, rows: list[Row], problems: Notes) -> None:
    """An id says one piece; twice with another grain contradicts itself."""
    seen: dict[str, Row] = {}
    for row in rows:
        first = seen.setdefault(row.id, row)
        if first is row:
            continue
        same = (row.material, row.thickness_mm, row.length_mm, row.width_mm) == (
            first.material,
            first.thickness_mm,
            first.length_mm,
            first.width_mm,
        )
        says = (
            f"{row.id} is listed twice with its grain along {first.grain} and {row.grain}"
            if same and row.grain != first.grain
            else f"{row.id} is listed twice, first in row {first.row}"
        )
        problems.fault(
            "BW-NEST-006",
            says,
            Place(file=file, row=row.row, item=row.id),
            "Give each row an id of its own, or one row the sum of the quantities.",
        )
