"""Prices in other currencies: what the list says, the rate, and what that makes in the total's currency."""

from __future__ import annotations

from decimal import Decimal

from boardwright_timber.model import Cost, CostLine

from .sheet import FIRST_ROW, Column, Entry, Formula, Show, Table

FOREIGN = "Foreign prices"
RATES = "Currencies"


def _listed(cost: Cost) -> list[CostLine]:
    """Lines with a price in a currency whose rate is stated."""
    return [line for line in cost.lines if line.listed is not None and line.rate is not None]


def foreign_rows(cost: Cost) -> dict[str, int]:
    """Row of each item on the sheet of foreign prices."""
    return {line.item: row for row, line in enumerate(_listed(cost), FIRST_ROW)}


def exchange(cost: Cost) -> tuple[Table, ...]:
    """Two sheets, where there is any price in another currency; else none."""
    lines = _listed(cost)
    rates = {line.currency: line.rate for line in lines}
    if not lines:
        return ()
    row_of = {code: row for row, code in enumerate(sorted(rates), FIRST_ROW)}
    return (
        Table(
            name=RATES,
            purpose=f"What one of each currency is worth in {cost.currency}. Rates change: boxed cells "
            "are yours, every total follows.",
            columns=(Column("Currency"), Column("Rate", Show.RATE, cost.currency)),
            rows=tuple((code, Entry(rates[code])) for code in row_of),
            when_empty="",
        ),
        Table(
            name=FOREIGN,
            purpose=f"Prices that are not in {cost.currency}, with the rate of the sheet {RATES}. Boxed "
            "cells are yours to change: every total follows.",
            columns=(
                Column("Item"),
                Column("What", Show.WRAPPED, widest=50),
                Column("Price as\nlisted", Show.PRICE),
                Column("Currency"),
                Column("Rate", Show.RATE),
                Column("Price each", Show.PRICE, cost.currency),
            ),
            rows=tuple(
                (
                    line.item,
                    line.says,
                    Entry(line.listed),
                    line.currency,
                    Formula(f"{RATES}!B{row_of[line.currency]}", line.rate or Decimal(0)),
                    Formula(f"ROUND(C{row}*E{row},2)", line.price or Decimal(0)),
                )
                for row, line in enumerate(lines, FIRST_ROW)
            ),
            when_empty="",
        ),
    )
