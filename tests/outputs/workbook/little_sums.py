"""A small calculator for the forms of formula the workbook uses, written for its tests alone.

    number  "text"  A1  $A$1  A1:B9  Sheet!A1  'A sheet'!A1:A9  ( )  * / > = &
    ROUND SUM SUMPRODUCT EXACT COUNTBLANK IF

ROUND is half away from zero on the decimal number a cell shows, as spreadsheets do. Money stays decimal.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

_REF = r"\$?[A-Z]{1,2}\$?\d+"
_TOKEN = re.compile(
    rf"""(?P<number>\d+(?:\.\d+)?)|"(?P<text>(?:[^"]|"")*)"
    |(?P<sheet>(?:'[^']+'|[A-Za-z]+)!)?(?P<ref>{_REF}(?::{_REF})?)
    |(?P<name>[A-Z]+)(?=\()|(?P<sign>[()*/>=&,+-])""",
    re.VERBOSE,
)


class Calculator:
    """Works out the formulas of an openpyxl workbook. Its cells may be changed between questions."""

    def __init__(self, book: Any) -> None:
        self.book = book

    def cell(self, sheet: str, ref: str) -> Any:
        value = self.book[sheet][ref.replace("$", "")].value
        if self.book[sheet][ref.replace("$", "")].data_type == "f":
            return _Reading(self, sheet, value[1:]).all()
        return Decimal(str(value)) if isinstance(value, int | float) else value

    def range(self, sheet: str, ref: str) -> list[Any]:
        rows = self.book[sheet][ref.replace("$", "")]
        return [self.cell(sheet, c.coordinate) for row in rows for c in row]


class _Reading:
    """One formula, read from left to right."""

    def __init__(self, calculator: Calculator, sheet: str, formula: str) -> None:
        self.calculator, self.sheet, self.formula = calculator, sheet, formula
        self.tokens = []
        at = 0
        while at < len(formula):
            found = _TOKEN.match(formula, at)
            assert found, f"cannot read {formula!r} from {formula[at:]!r}"
            self.tokens.append(found)
            at = found.end()

    def all(self) -> Any:
        value = self.comparison()
        assert not self.tokens, f"left over in {self.formula!r}"
        return value

    def sign(self, wanted: str) -> str | None:
        if self.tokens and self.tokens[0]["sign"] and self.tokens[0]["sign"] in wanted:
            return str(self.tokens.pop(0)["sign"])
        return None

    def comparison(self) -> Any:
        left = self.joined()
        while sign := self.sign("=>"):
            right = self.joined()
            if sign == ">":
                left = _number(left) > _number(right)
            else:
                left = ("" if left is None else left) == ("" if right is None else right)
        return left

    def joined(self) -> Any:
        left = self.sum()
        while self.sign("&"):
            left = f"{'' if left is None else left}{_or_empty(self.sum())}"
        return left

    def sum(self) -> Any:
        left = self.product()
        while sign := self.sign("+-"):
            right = _number(self.product())
            left = _number(left) + (right if sign == "+" else -right)
        return left

    def product(self) -> Any:
        left = self.one()
        while sign := self.sign("*/"):
            right = self.one()
            left = _each(left, right, _times if sign == "*" else _over)
        return left

    def one(self) -> Any:
        token = self.tokens.pop(0)
        if token["number"]:
            return Decimal(token["number"])
        if token["text"] is not None:
            return token["text"].replace('""', '"')
        if token["ref"]:
            sheet = token["sheet"].rstrip("!").strip("'") if token["sheet"] else self.sheet
            asked = self.calculator.range if ":" in token["ref"] else self.calculator.cell
            return asked(sheet, token["ref"])
        if token["name"]:
            assert self.sign("(")
            arguments = [self.comparison()]
            while self.sign(","):
                arguments.append(self.comparison())
            assert self.sign(")")
            return _FUNCTIONS[token["name"]](*arguments)
        assert token["sign"] == "("
        value = self.comparison()
        assert self.sign(")")
        return value


def _or_empty(value: Any) -> Any:
    return "" if value is None else value


def _number(value: Any) -> Decimal:
    return Decimal(0) if value is None or value == "" else Decimal(value)


def _each(left: Any, right: Any, act: Callable[[Decimal, Decimal], Decimal]) -> Any:
    if isinstance(left, list) and isinstance(right, list):
        return [act(_number(a), _number(b)) for a, b in zip(left, right, strict=True)]
    if isinstance(left, list):
        return [act(_number(a), _number(right)) for a in left]
    if isinstance(right, list):
        return [act(_number(left), _number(b)) for b in right]
    return act(_number(left), _number(right))


def _times(a: Decimal, b: Decimal) -> Decimal:
    return a * b


def _over(a: Decimal, b: Decimal) -> Decimal:
    return a / b if b else Decimal("NaN")  # an error cell, which nothing may show


def _round(value: Any, places: Any) -> Decimal:
    number = _number(value)
    return number if number.is_nan() else number.quantize(Decimal(1).scaleb(-int(places)), ROUND_HALF_UP)


def _total(values: list[Any]) -> Decimal:
    return sum((_number(v) for v in values if not isinstance(v, str)), Decimal(0))


_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "ROUND": _round,
    "SUM": _total,
    "SUMPRODUCT": _total,
    "EXACT": lambda values, wanted: [v == wanted for v in values],
    "COUNTBLANK": lambda values: Decimal(sum(v is None or v == "" for v in values)),
    "IF": lambda condition, yes, no: yes if condition else no,
}
