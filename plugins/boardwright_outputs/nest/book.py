"""The workbook of a nested list: what to buy with live sums, the sheets, the cuts, the pieces."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from boardwright_timber.model import Nested

from ..workbook import cutting as sawn
from ..workbook.build import built
from ..workbook.cautions import CAUTIONS
from ..workbook.sheet import FIRST_ROW, Block, Column, Entry, Formula, Front, Line, Show, Table, Tick
from .model import NestFile


def workbook(nested: Nested, data: NestFile) -> bytes:
    copies = Counter(s.alike or s.id for s in nested.plan.sheets)
    different = [s for s in nested.plan.sheets if not s.alike]
    once = type(nested.plan)(sheets=tuple(different), unplaced=nested.plan.unplaced)
    sheets = (_buying(nested), _sheets(nested, copies), sawn.cuts(once), _pieces(nested))
    front = Front(
        name="Summary",
        title=nested.name,
        purpose="Cutting plan of a list of pieces. Lengths are in millimetres.",
        blocks=(
            Block(
                heading="Sheets needed",
                lines=tuple(
                    Line(label=f"{g.material} {g.thickness_mm:g} mm", remark=g.says) for g in data.groups
                )
                or (Line(label="None", remark="No sheet is cut."),),
            ),
            Block(
                heading="Findings",
                lines=tuple(
                    Line(label=f"{f.code} ({f.severity.value})", remark=f"{f.says} {f.mend}")
                    for f in nested.findings
                )
                or (Line(label="None", remark="Nothing was found amiss."),),
            ),
            Block(heading="Work safely", lines=tuple(Line(label=a, remark=b) for a, b in CAUTIONS)),
            Block(
                heading="In this workbook",
                lines=tuple(Line(label=t.name, remark=t.purpose, sheet=t.name) for t in sheets),
            ),
        ),
    )
    return built(front, sheets)


def _buying(nested: Nested) -> Table:
    used = Counter(s.stock for s in nested.plan.sheets)
    price_of = dict(nested.prices)
    rows = []
    for row, (stock, number) in enumerate(sorted(used.items()), FIRST_ROW):
        price = price_of[stock]
        total = Formula(f"ROUND(B{row}*C{row},2)", round(number * (price or Decimal(0)), 2))
        rows.append((stock, Entry(number), Entry(price), total))
    last = FIRST_ROW + max(len(rows), 1) - 1
    sum_ = sum((n * (price_of[s] or Decimal(0)) for s, n in used.items()), Decimal(0))
    return Table(
        name="Buying",
        purpose="Sheets to buy. Boxed cells are yours to change: every total follows.",
        columns=(
            Column("Stock", Show.WRAPPED, widest=60),
            Column("Sheets", Show.QUANTITY),
            Column("Price each", Show.PRICE),
            Column("Total", Show.MONEY),
        ),
        rows=tuple(rows),
        closing=(("Total", None, None, Formula(f"SUM(D{FIRST_ROW}:D{last})", sum_)),),
        when_empty="No sheet is cut.",
    )


def _sheets(nested: Nested, copies: Counter[str]) -> Table:
    return Table(
        name="Sheets",
        purpose="The different sheets; sheets sawn alike stand in one row and can be sawn as a stack.",
        columns=(
            Column("Sheet"),
            Column("Stock", Show.WRAPPED, widest=60),
            Column("Sheets\nalike", Show.COUNT),
            Column("Length", Show.MM, "mm"),
            Column("Width", Show.MM, "mm"),
            Column("Pieces", Show.COUNT),
            Column("Cuts", Show.COUNT),
            Column("Used", Show.PERCENT, "%"),
        ),
        rows=tuple(
            (s.id, s.stock, copies[s.id], s.length_mm, s.width_mm, len(s.parts), len(s.cuts), s.used_fraction)
            for s in nested.plan.sheets
            if not s.alike
        ),
        closing=tuple(("Not placed", u.part, u.why) for u in nested.plan.unplaced),
        when_empty="No sheet is cut.",
    )


def _pieces(nested: Nested) -> Table:
    """One row for a row of the list and a sheet: how many of it come from there."""
    row_of = dict(nested.rows)
    part_of = {row_of[p.id]: p for p in nested.parts}
    found = Counter((row_of[p.part], s.alike or s.id, p.turned) for s in nested.plan.sheets for p in s.parts)
    return Table(
        name="Pieces",
        purpose="Where every piece comes from; a turned one lies across the sheet.",
        columns=(
            Column("Piece"),
            Column("From sheets like"),
            Column("Number", Show.COUNT),
            Column("Length", Show.MM, "mm"),
            Column("Width", Show.MM, "mm"),
            Column("Turned"),
            Column("Done", Show.TICK),
        ),
        rows=tuple(
            (id_, sheet, n, part_of[id_].length_mm, part_of[id_].width_mm, "turned" if turned else "", Tick())
            for (id_, sheet, turned), n in sorted(found.items())
        ),
        when_empty="No piece is placed.",
    )
