"""A price list as a merchant or a club gives it: CSV, XLSX or TOML.

Columns (CSV, XLSX; the first row names them, in any order): ``item`` and ``price``, and if wanted
``currency``, ``holds``, ``called``. TOML has the same as ``[[price]]`` tables, and ``currency`` at the top
for all of them.
``item`` is a hardware item of the pack, or a sheet's name in ``[stock]``. A row without a price says nothing.

What this does not know: which items a layout needs; a list may hold more.
"""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

import msgspec

from boardwright import Notes, Place
from boardwright.errors import InputError
from boardwright.plan.device_sheet import cells
from boardwright.plan.source import SourceFile
from boardwright.plan.thousands import ASKED, has_decimal_commas, may_be_grouped, ungrouped

UNQUOTED = (
    "Write decimals with a point (12.50) and names with a comma in quotation marks, or save the list with "
    "semicolons between the cells."
)
SPARE = ""  # what stands beyond the last column
COLUMNS = ("item", "price", "currency", "holds", "called")


class Listed(msgspec.Struct, frozen=True, kw_only=True):
    """What one pack costs by the list."""

    price: Decimal
    currency: str = ""
    holds: int = 1
    called: str = ""


def read_prices(source: SourceFile) -> dict[str, Listed]:
    """Prices by item. Raises InputError with everything that is wrong with the list."""
    problems = Notes()
    try:
        rows = list(_rows(source))
    except (ValueError, csv.Error) as problem:
        raise InputError.of(
            "BW-COST-010",
            f"the price list cannot be read: {problem}",
            Place(file=source.name, key="[costing] price_list"),
            "Save it as CSV UTF-8, XLSX or TOML, with the columns item and price.",
        ) from problem
    points_group = has_decimal_commas((c for c in row.values() if isinstance(c, str)) for _, row in rows)
    found: dict[str, Listed] = {}
    for number, row in rows:
        item = str(row.get("item", "")).strip()
        where = Place(file=source.name, row=number, item=item or None)
        if item in found:
            problems.fault("BW-COST-011", f"{item} is listed twice", where, "Keep one of the rows.")
            continue
        listed = _listed(item, row, where, points_group, problems)
        if listed:
            found[item] = listed
    if problems.findings:
        raise InputError(problems.findings)
    return found


def _listed(
    item: str, row: Mapping[str, Any], where: Place, points_group: bool, problems: Notes
) -> Listed | None:
    if not item:
        problems.fault("BW-COST-011", "a row has no item", where, "Fill the cell or delete the row.")
        return None
    if row.get(SPARE):
        says = f"the row of {item} has more cells than there are columns: {row[SPARE]!r} is left over"
        problems.fault("BW-COST-011", says, where, UNQUOTED)
        return None
    price, holds = row.get("price", ""), row.get("holds", "")
    if price in ("", None):
        return None  # the merchant has not said
    amount, number = _decimal(price), _decimal(holds) if holds not in ("", None) else Decimal(1)
    asked = points_group and isinstance(price, str) and may_be_grouped(price)
    if asked or amount is None or amount < 0:
        says = f"the price of {item} is {price!r}; it must be a number, 0 or more"
        mend = ungrouped(str(price)) or "Write a plain number such as 12.50, without a currency."
        problems.fault(
            "BW-COST-011", f"the price of {item} {ASKED}: {price!r}" if asked else says, where, mend
        )
        return None
    if number is None or number < 1 or number != int(number):
        says = f"{item} holds {holds!r}; it must be a whole number, 1 or more"
        problems.fault("BW-COST-011", says, where, "Write how many (or how much) one pack holds.")
        return None
    currency = str(row.get("currency") or "").strip().upper()
    if currency and not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
        says = f"the currency of {item} is {currency!r}; it must be a code of three letters"
        problems.fault("BW-COST-011", says, where, f"Write EUR, USD or the like. {UNQUOTED}")
        return None
    return Listed(
        price=amount,
        currency=currency,
        holds=int(number),
        called=str(row.get("called") or "").strip(),
    )


def _decimal(value: Any) -> Decimal | None:
    """A number from a cell; a decimal comma is understood where no point is."""
    if isinstance(value, bool):
        return None
    text = str(value).strip() if not isinstance(value, float) else repr(value)
    if text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    try:
        number = Decimal(text) if "_" not in text else Decimal("NaN")
    except InvalidOperation:
        return None
    return number if number.is_finite() and abs(number) < 10**9 else None


def _rows(source: SourceFile) -> Iterator[tuple[int, Mapping[str, Any]]]:
    if source.name.lower().endswith(".toml"):
        tables = tomllib.loads(source.data.decode("utf-8-sig"), parse_float=Decimal)
        common = tables.get("currency", "")
        listed = tables.get("price", [])
        if not isinstance(listed, list) or not all(isinstance(t, dict) for t in listed):
            raise ValueError("it has no [[price]] tables")
        for number, table in enumerate(listed, 1):
            if unknown := sorted(table.keys() - set(COLUMNS)):
                raise ValueError(f"[[price]] {number} has {unknown[0]!r}; known are {', '.join(COLUMNS)}")
            yield number, {"currency": common, **table}
        return
    is_book = source.name.lower().endswith((".xlsx", ".xlsm"))
    read: Sequence[Sequence[Any]] = cells(source.data) if is_book else _text(source.data)
    filled = [(n, row) for n, row in enumerate(read, 1) if any(c not in ("", None) for c in row)]
    if not filled:
        raise ValueError("it is empty")
    names = ["_".join(str(c or "").casefold().split()) for c in filled[0][1]]
    for needed in ("item", "price"):
        if names.count(needed) != 1:
            raise ValueError(f"its first row must name one column {needed!r}")
    for number, row in filled[1:]:
        spare = ", ".join(str(c) for c in row[len(names) :] if c not in ("", None))
        yield number, {SPARE: spare, **{n: c for n, c in zip(names, row, strict=False) if n in COLUMNS}}


def _text(data: bytes) -> list[list[str]]:
    text = data.decode("utf-8-sig")
    first = next((line for line in text.splitlines() if line.strip()), "")
    table = csv.reader(io.StringIO(text, newline=""), delimiter=max(";\t,", key=first.count), strict=True)
    return [[c.strip() for c in row] for row in table]
