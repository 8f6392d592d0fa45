"""Nouns to rows: hardware and money, with live formulas, so that a changed price or quantity changes every
total.

Formulas keep to forms every spreadsheet program knows: ROUND, SUM, SUMPRODUCT, EXACT, COUNTBLANK, IF. Groups
are matched with SUMPRODUCT and EXACT because SUMIF would read ``*`` or ``>`` in a name as an instruction.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from boardwright_timber.model import BoardHardware, Cost, CostLine, HardwareLine

from .exchange import FOREIGN, foreign_rows
from .sheet import FIRST_ROW, Column, Entry, Formula, Show, Table, Value

BY_BOARD = "Hardware by board"
COST = "Cost"
NO_PRICE = "no price yet"
PARTIAL = "partial: some lines have no price yet"


def hardware(hardware: Mapping[str, BoardHardware], copies: int = 1) -> Table:
    """What to buy for all copies of the layout; each quantity is the live sum of the rows by board, times
    the copies."""
    by_item: dict[tuple[str, str], list[HardwareLine]] = {}
    for board in hardware.values():
        for line in board.lines:
            by_item.setdefault((line.item, line.unit), []).append(line)
    last = FIRST_ROW + max(sum(len(b.lines) for b in hardware.values()), 1) - 1
    rows = []
    for row, ((item, unit), lines) in enumerate(sorted(by_item.items()), FIRST_ROW):
        same = f"EXACT({_there('B', last)},A{row})*EXACT({_there('E', last)},D{row})"
        formula = f"SUMPRODUCT({same}*{_there('D', last)})" + (f"*{copies}" if copies > 1 else "")
        needed = copies * sum(line.quantity for line in lines)
        rows.append((item, lines[0].says, Formula(formula, needed), unit))
    return Table(
        name="Hardware",
        purpose="Hardware to buy for all boards"
        + (f" of {copies} copies" if copies > 1 else "")
        + ". The quantities follow the sheet Hardware by board.",
        columns=(
            Column("Item"),
            Column("What", Show.WRAPPED, widest=60),
            Column("Quantity", Show.QUANTITY),
            Column("Unit"),
        ),
        rows=tuple(rows),
        when_empty="No hardware is needed.",
    )


def _there(column: str, last: int) -> str:
    return f"'{BY_BOARD}'!{column}${FIRST_ROW}:{column}${last}"


def hardware_by_board(hardware: Mapping[str, BoardHardware]) -> Table:
    return Table(
        name=BY_BOARD,
        purpose="Hardware to lay out for each board. The hardware of a joint is counted with the first board "
        "of its name. Boxed cells are yours to change.",
        columns=(
            Column("Board"),
            Column("Item"),
            Column("What", Show.WRAPPED),
            Column("Quantity", Show.QUANTITY),
            Column("Unit"),
            Column("Counted from", Show.WRAPPED, widest=60),
        ),
        rows=tuple(
            (b, line.item, line.says, Entry(line.quantity), line.unit, line.why)
            for b, board in hardware.items()
            for line in board.lines
        ),
        when_empty="No hardware is needed.",
    )


class CostCells:
    """Where the cost table keeps what the front sheet points at."""

    def __init__(self, cost: Cost) -> None:
        self.last = FIRST_ROW + max(len(cost.lines), 1) - 1
        self.groups = tuple(dict.fromkeys(line.group for line in cost.lines))
        self.total_row = self.last + 2 + len(self.groups)
        self.area_row = self.total_row + 1
        self.per_m2_row = self.total_row + 2
        self.remark = f"H{self.total_row}"
        self.lacking = unsheeted(cost)
        unpriced = PARTIAL if any(line.price is None for line in cost.lines) else ""
        self.remark_value = "; ".join(said for said in (self.lacking, unpriced) if said)
        self.total = f"G{self.total_row}"
        self.area = f"G{self.area_row}"
        self.per_m2 = f"G{self.per_m2_row}"


def cost(cost: Cost) -> Table:
    """The bill: line total = ROUND(quantity × price, 2); subtotals by group; total; per square metre."""
    cells = CostCells(cost)
    foreign = foreign_rows(cost)
    return Table(
        name=COST,
        purpose="What the materials cost. Boxed cells are yours to change: every total follows.",
        columns=(
            Column("Group"),
            Column("Item"),
            Column("What", Show.WRAPPED, widest=50),
            Column("Quantity", Show.QUANTITY),
            Column("Unit"),
            Column("Price each", Show.PRICE, cost.currency),
            Column("Total", Show.MONEY, cost.currency),
            Column("Remark", Show.WRAPPED, widest=50),
        ),
        rows=tuple(
            _cost_line(row, line, foreign.get(line.item)) for row, line in enumerate(cost.lines, FIRST_ROW)
        ),
        closing=(
            *(_subtotal(cost, cells, group, cells.last + 2 + n) for n, group in enumerate(cells.groups)),
            _closing(
                "Total, INCOMPLETE" if cost.unsheeted else "Total",
                Formula(f"SUM(G{FIRST_ROW}:G{cells.last})", cost.total),
                _partial(cost, cells),
            ),
            _closing("Area of the boards in m²", cost.area_m2),
            _closing(
                "Total per square metre",
                Formula(
                    f"IF({cells.area}>0,ROUND({cells.total}/{cells.area},2),0)",
                    cost.per_square_metre if cost.area_m2 > 0 else Decimal(0),
                ),
            ),
            *_one_and_taxed(cost, cells),
        ),
        when_empty="Nothing costs anything.",
        named=(
            ("Total_cost", cells.total),
            ("Board_area_m2", cells.area),
            ("Cost_per_square_metre", cells.per_m2),
        ),
    )


def _one_and_taxed(cost: Cost, cells: CostCells) -> tuple[tuple[Value, ...], ...]:
    """What one copy costs where there are several, and the total with tax where tax comes on top."""
    rows = []
    if cost.copies > 1 and cost.per_copy is not None:
        rows.append(
            _closing(
                f"For one of {cost.copies} copies",
                Formula(f"ROUND({cells.total}/{cost.copies},2)", cost.per_copy),
            )
        )
    if cost.tax_percent and cost.total_with_tax is not None:
        tax = f"ROUND({cells.total}*{cost.tax_percent!r}/100,2)"
        rows.append(_closing(f"Tax, {cost.tax_percent:g} %", Formula(tax, cost.tax)))
        rows.append(_closing("Total with tax", Formula(f"{cells.total}+{tax}", cost.total_with_tax)))
    return tuple(rows)


def _cost_line(row: int, line: CostLine, foreign: int | None) -> tuple[Value, ...]:
    """``foreign``: its row on the sheet of foreign prices, where its price is worked out."""
    price: Value = Entry(line.price)
    if foreign is not None:
        price = Formula(f"'{FOREIGN}'!F{foreign}", line.price or Decimal(0))
    return (
        line.group,
        line.item,
        line.says,
        Entry(line.quantity),
        line.unit,
        price,
        Formula(f"ROUND(D{row}*F{row},2)", line.total),
        Formula(f'IF(F{row}="","{NO_PRICE}","")', NO_PRICE if line.price is None else ""),
    )


def _subtotal(cost: Cost, cells: CostCells, group: str, row: int) -> tuple[Value, ...]:
    groups, totals = (f"{c}${FIRST_ROW}:{c}${cells.last}" for c in "AG")
    amount = sum((line.total for line in cost.lines if line.group == group), Decimal(0))
    return (
        group,
        None,
        "Subtotal",
        None,
        None,
        None,
        Formula(f"SUMPRODUCT(EXACT({groups},A{row})*{totals})", amount),
    )


def _closing(says: str, value: Value, remark: Value = None) -> tuple[Value, ...]:
    return (None, None, says, None, None, None, value, remark)


def _partial(cost: Cost, cells: CostCells) -> Value:
    """A live remark that the total is partial while a price is missing, or parts have no sheet."""
    if not cost.lines:
        return cells.lacking or None
    unpriced = f"COUNTBLANK(F{FIRST_ROW}:F{cells.last})>0"
    if not cells.lacking:
        return Formula(f'IF({unpriced},"{PARTIAL}","")', cells.remark_value)
    return Formula(f'IF({unpriced},"{cells.lacking}; {PARTIAL}","{cells.lacking}")', cells.remark_value)


def unsheeted(cost: Cost) -> str:
    """That wood is missing from the total, in words; empty when all parts have their sheet."""
    if not cost.unsheeted:
        return ""
    parts = "1 part fits" if cost.unsheeted == 1 else f"{cost.unsheeted} parts fit"
    return f"INCOMPLETE: {parts} on no sheet, their wood is not in the total"
