"""Who bears what of the total, live; the hours of work; what a cheaper choice would change."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from boardwright_timber.model import Cost, CostShare

from .sheet import FIRST_ROW, Column, Entry, Formula, Show, Table, Value

PARTS = "Shares by line"
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def shares(cost: Cost) -> Table:
    """Each share is the rounded sum up to it less the rounded sum before it, so that they add up."""
    rows: list[tuple[Value, ...]] = []
    for by, shared in (("board", cost.by_board), ("stage", cost.by_stage)):
        first = FIRST_ROW + len(rows)
        column = 2 + (len(cost.by_board) if by == "stage" else 0)
        for n, share in enumerate(shared):
            row, letter = first + n, _letter(column + n)
            before = f"-ROUND(SUM(D{first}:D{row - 1}),2)" if n else ""
            rows.append(
                (
                    by,
                    share.of,
                    Formula(f"ROUND(SUM(D{first}:D{row}),2){before}", share.amount),
                    Formula(
                        f"ROUND(SUMPRODUCT({_there(PARTS, letter, cost)}*{_there('Cost', 'G', cost)}),9)",
                        _exact(cost, share),
                    ),
                )
            )
    return Table(
        name="Cost shares",
        purpose="The total shared out, once over the boards and once over the stages of construction. A "
        "sheet is borne by the parts on it, offcuts included. The shares follow the prices on the sheet "
        f"Cost; which part of each line is whose stands on the sheet {PARTS}.",
        columns=(
            Column("By"),
            Column("Of"),
            Column("Share", Show.MONEY, cost.currency),
            Column("Not rounded", Show.RATE, cost.currency),
        ),
        rows=tuple(rows),
        when_empty="Nothing costs anything.",
    )


def shares_by_line(cost: Cost) -> Table:
    """Which part of every line of the bill a board, or a stage, bears: 0 to 1."""
    shared = (*cost.by_board, *cost.by_stage)
    return Table(
        name=PARTS,
        purpose="Which part of each line of the sheet Cost a board, or a stage of construction, bears.",
        columns=(Column("Item"), *(Column(s.of, Show.SHARE) for s in shared)),
        rows=tuple((line.item, *(s.of_lines[n] for s in shared)) for n, line in enumerate(cost.lines)),
        when_empty="Nothing costs anything.",
    )


def _exact(cost: Cost, share: CostShare) -> float:
    parts = zip(share.of_lines, cost.lines, strict=True)
    return round(sum(part * float(line.total) for part, line in parts), 9)


def _there(sheet: str, letter: str, cost: Cost) -> str:
    last = FIRST_ROW + max(len(cost.lines), 1) - 1
    return f"'{sheet}'!{letter}${FIRST_ROW}:{letter}${last}"


def _letter(column: int) -> str:
    """A column's letters, from 1.

    >>> _letter(1), _letter(26), _letter(27), _letter(703)
    ('A', 'Z', 'AA', 'AAA')
    """
    head, last = divmod(column - 1, 26)
    return (_letter(head) if head else "") + _LETTERS[last]


def choices(cost: Cost) -> Table:
    return Table(
        name="Cheaper",
        purpose="What a cheaper choice would change, one at a time, at the prices of the project file, "
        "before tax.",
        columns=(Column("Choice", Show.WRAPPED, widest=90), Column("Saves", Show.MONEY, cost.currency)),
        rows=tuple((c.says, c.saves) for c in cost.choices),
        when_empty="Nothing cheaper was found among what is in stock.",
    )


def work(cost: Cost) -> Table:
    """Minutes as live products, hours below them."""
    last = FIRST_ROW + max(len(cost.work), 1) - 1
    minutes = sum((Decimal(repr(line.minutes)) for line in cost.work), Decimal(0))
    total = (minutes / 60).quantize(Decimal("0.1"), ROUND_HALF_UP)  # as a spreadsheet rounds
    hours = f"ROUND(SUM(D{FIRST_ROW}:D{last})/60,1)"
    return Table(
        name="Time",
        purpose="How long the building takes, estimated. The rates are common practice, no source; boxed "
        "cells are yours to change. Track, scenery and drying glue are not in it.",
        columns=(
            Column("Work", Show.WRAPPED, widest=50),
            Column("Number", Show.QUANTITY),
            Column("Minutes\neach", Show.QUANTITY),
            Column("Minutes", Show.QUANTITY),
        ),
        rows=tuple(
            (line.what, Entry(line.number), Entry(line.minutes_each), Formula(f"B{row}*C{row}", line.minutes))
            for row, line in enumerate(cost.work, FIRST_ROW)
        ),
        closing=(("Hours", None, None, Formula(hours, total)),) if cost.work else (),
        when_empty="There is nothing to do.",
    )
