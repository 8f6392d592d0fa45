"""The workbook against the data, and its formulas against the amounts stored beside them.

Claim: every formula works out to what the cell shows, no cell shows an error, the totals are formulas still,
and boards, parts, sheets, cuts, holes, hardware and cost are row by row those of ``pack.json``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any

from .opened import Opened
from .record import Board, Hole
from .sums import Calculator, UnknownFormulaError
from .xlsx import Book, Cell, UnreadableError, read_xlsx

PATH = "workbook.xlsx"
FEW = 5  # so many formulas without an amount are told one by one
NEAR = Decimal("0.0000011")  # coordinates are kept to a millionth of a millimetre
type Row = Sequence[Any]


def check_workbook(opened: Opened) -> Iterator[str]:
    data = opened.files.get(PATH)
    if data is None:
        opened.fault("BW-VERIFY-080", f"{PATH} is missing", file=PATH)
        return
    try:
        book = read_xlsx(data)
    except UnreadableError as problem:
        opened.fault("BW-VERIFY-080", f"{PATH} is damaged: {problem}", file=PATH)
        return
    formulas = _formulas(opened, book)
    rows = 0
    for name, columns, wanted in _tables(opened):
        if name not in book.sheets:
            opened.fault("BW-VERIFY-081", f"the workbook has no sheet {name}", file=PATH, item=name)
            continue
        rows += _compared(opened, book, name, columns, wanted)
    _totals(opened, book)
    yield (
        f"The workbook's {formulas} formulas work out to what it shows, its total is that of the data, and "
        f"{rows} rows of it are those of the data."
    )


def _formulas(opened: Opened, book: Book) -> int:
    calculator, counted = Calculator(book), 0
    formulas = [c for cells in book.sheets.values() for c in cells.values() if c.formula]
    bare = [c for c in formulas if c.value is None]
    if len(bare) > FEW:
        opened.fault(
            "BW-VERIFY-083",
            f"the workbook shows nothing for {len(bare)} of its {len(formulas)} formulas: it was saved by a "
            "program that does not reckon. Open and save it in a spreadsheet, or make the pack again",
            file=PATH,
        )
    for name, cells in book.sheets.items():
        for ref, cell in cells.items():
            if cell.error:
                opened.fault(
                    "BW-VERIFY-082",
                    f"the workbook's {name} {ref} shows the error {cell.value}",
                    file=PATH,
                    item=f"{name} {ref}",
                )
            if not cell.formula:
                continue
            counted += 1
            try:
                worked = calculator.cell(name, ref)
            except UnknownFormulaError as problem:
                opened.fault(
                    "BW-VERIFY-082",
                    f"the formula in {name} {ref} cannot be followed: {problem}",
                    file=PATH,
                    item=f"{name} {ref}",
                )
                continue
            if cell.value is None and len(bare) > FEW:
                continue
            if not _same(worked, cell.value):
                opened.fault(
                    "BW-VERIFY-083",
                    f"the workbook's {name} {ref} shows {_shown(cell.value)}, its formula makes "
                    f"{_shown(worked)}",
                    file=PATH,
                    item=f"{name} {ref}",
                )
    return counted


def _totals(opened: Opened, book: Book) -> None:
    cost = opened.pack.cost
    wanted = {"Total per square metre": cost.per_square_metre if cost.area_m2 > 0 else Decimal(0)}
    for row in book.rows("Cost") if "Cost" in book.sheets else []:
        label, cell = _text(row.get("C")), row.get("G")
        if label in ("Total", "Total, INCOMPLETE"):
            wanted[label] = cost.total
        if label not in wanted:
            continue
        right = wanted.pop(label)
        if cell is None or not _same(cell.value, right):
            opened.fault(
                "BW-VERIFY-084",
                f"the workbook's {label.lower()} is {_shown(cell.value if cell else None)}, the data have "
                f"{right}",
                file=PATH,
                item=f"Cost, {label}",
            )
        elif not cell.formula:
            opened.fault(
                "BW-VERIFY-085",
                f"the workbook's {label.lower()} is a plain number: a changed price would not change it",
                file=PATH,
                item=f"Cost, {label}",
            )
    if wanted:
        opened.fault("BW-VERIFY-084", "the workbook's cost has no total", file=PATH, item="Cost")


def _tables(opened: Opened) -> Iterator[tuple[str, str, list[Row]]]:
    """Sheet, the letters of its columns that are compared, and what must stand there, row by row."""
    pack = opened.pack
    parts = [p for b in pack.boards for p in (*b.parts, *b.tools)]
    yield (
        "Boards",
        "ACDEIJ",
        [(b.id, b.level_mm, b.length_mm, b.width_mm, len(b.parts), b.mass_kg) for b in pack.boards],
    )
    every = (*pack.joints, *(end for b in pack.boards for end in b.ends))
    yield "Joints", "ADEFGH", [(j.id, _length(j.start, j.end), *j.start, *j.end) for j in every]
    yield (
        "Parts",
        "ABCEFGHIKLMN",
        [
            (
                *(p.id, p.board, p.role, p.material, p.thickness_mm, p.length_mm, p.width_mm, p.grain),
                *(p.left_bevel_deg, p.right_bevel_deg, len(p.holes), p.mass_kg),
            )
            for p in parts
        ],
    )
    yield (
        "Stock",
        "ABCDEFGHIJK",
        [
            (
                *(s.id, s.stock, s.material, s.thickness_mm, s.length_mm, s.width_mm, s.kerf_mm, s.trim_mm),
                *(s.times, len(s.parts), len(s.cuts)),
            )
            for s in pack.cutting.sheets
        ],
    )
    yield (
        "Cutting",
        "ABCDEFGHI",
        [
            (
                s.id,
                c.step,
                "bar" if s.bar and c.piece == "sheet" else c.piece,
                c.along,
                c.setting_mm,
                c.from_edge,
                c.at_mm,
                c.from_mm,
                c.to_mm,
            )
            for s in pack.cutting.sheets
            for c in s.cuts
        ],
    )
    yield "Drilling", "ABDEFGHJ", [_hole(p.id, n, h) for p in parts for n, h in enumerate(p.holes, 1)]
    yield "Hardware by board", "ABDE", [_line(b, n) for b in pack.boards for n in range(len(b.hardware))]
    yield (
        "Cost",
        "ABDEFG",
        [(c.group, c.item, c.quantity, c.unit, c.price, c.total) for c in pack.cost.lines],
    )


def _hole(part: str, number: int, hole: Hole) -> Row:
    depth = "through" if hole.depth_mm is None else hole.depth_mm
    face = "drawn face" if hole.face == "outer" else "back"
    return part, number, hole.x_mm, hole.y_mm, hole.diameter_mm, depth, face, hole.joint or ""


def _line(board: Board, number: int) -> Row:
    line = board.hardware[number]
    return board.id, line.item, line.quantity, line.unit


def _length(one: tuple[float, float], two: tuple[float, float]) -> float:
    return math.dist(one, two)


def _compared(opened: Opened, book: Book, name: str, columns: str, wanted: list[Row]) -> int:
    heading, *rows = book.rows(name)
    for row, right in zip(rows, wanted, strict=False):
        for column, value in zip(columns, right, strict=True):
            cell = row.get(column)
            if not _same(cell.value if cell else None, value):
                what = " ".join(_text(heading.get(column)).split())
                opened.fault(
                    "BW-VERIFY-086",
                    f"the workbook's sheet {name} has {_shown(cell.value if cell else None)} as {what!r} of "
                    f"{_who(right)}, the data have {_shown(value)}",
                    file=PATH,
                    item=f"{name}, {_who(right)}",
                )
    filled = [r for r in rows if _text(r.get("A"))]
    if len(filled) < len(wanted):
        opened.fault(
            "BW-VERIFY-087",
            f"the workbook's sheet {name} has {len(filled)} rows, the data have {len(wanted)}",
            file=PATH,
            item=name,
        )
    return min(len(rows), len(wanted))


def _who(row: Row) -> str:
    return " ".join(str(v) for v in row[:2] if isinstance(v, str | int))


def _text(cell: Cell | None) -> str:
    return str(cell.value) if cell and cell.value is not None else ""


def _same(one: Any, two: Any) -> bool:
    if isinstance(one, bool) or isinstance(two, bool):
        return one is two
    if isinstance(one, str) or isinstance(two, str) or one is None or two is None:
        return _plain(one) == _plain(two)
    return abs(_decimal(one) - _decimal(two)) <= NEAR


def _plain(value: Any) -> str:
    """As text; control characters do not count, a cell may show them as pictures."""
    return "".join(c for c in str("" if value is None else value) if c.isprintable() and not "␀" <= c <= "␡")


def _decimal(value: Any) -> Decimal:
    return value if isinstance(value, Decimal) else Decimal(str(value))


def _shown(value: Any) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, str):
        return repr(value)
    if isinstance(value, bool):
        return str(value)
    number = _decimal(value)
    figures = number.as_tuple().exponent
    return f"{round(number, 6) if isinstance(figures, int) and figures < -6 else number:f}"
