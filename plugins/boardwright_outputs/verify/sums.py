"""A small calculator for the forms of formula a pack's workbook uses.

    number  "text"  A1  $A$1  A1:B9  Sheet!A1  'A sheet'!A1:A9  ( )  + - * / > < = <> >= <= &
    ROUND SUM SUMPRODUCT EXACT COUNTBLANK IF

Claim: a form it does not know is refused, never guessed. ROUND is half away from zero on the decimal number
a cell shows, as spreadsheets do; money stays decimal.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal, DecimalException
from typing import Any

from .xlsx import Book, Cell

_REF = r"\$?[A-Z]{1,3}\$?\d+"
_TOKEN = re.compile(
    rf"""\s*(?:(?P<number>\d+(?:\.\d+)?)|"(?P<text>(?:[^"]|"")*)"
    |(?P<sheet>(?:'[^']+'|[A-Za-z]+)!)?(?P<ref>{_REF}(?::{_REF})?)
    |(?P<name>[A-Z]+)(?=\()|(?P<sign><>|>=|<=|[()*/>=<&,+-]))\s*""",
    re.VERBOSE,
)
_DEEPEST = 60


class UnknownFormulaError(Exception):
    """A form this calculator does not know, or one that leads nowhere."""


class Calculator:
    """Works out the formulas of a book, each cell once."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._known: dict[tuple[str, str], Any] = {}
        self._deep = 0

    def cell(self, sheet: str, ref: str) -> Any:
        """Raises UnknownFormulaError."""
        name = (sheet, ref.replace("$", ""))
        if name not in self._known:
            cells = self.book.sheets.get(sheet)
            if cells is None:
                raise UnknownFormulaError(f"it asks for the sheet {sheet!r}, which there is not")
            cell = cells.get(name[1], Cell(None))
            if cell.formula:
                self._deep += 1
                if self._deep > _DEEPEST:
                    raise UnknownFormulaError("it leads back to itself")
                self._known[name] = self.formula(sheet, cell.formula)
                self._deep -= 1
            else:
                self._known[name] = cell.value
        return self._known[name]

    def formula(self, sheet: str, formula: str) -> Any:
        try:
            return _Reading(self, sheet, formula).all()
        except (IndexError, TypeError, ValueError, DecimalException) as problem:
            raise UnknownFormulaError(f"{formula!r} cannot be worked out") from problem

    def range(self, sheet: str, ref: str) -> list[Any]:
        one, two = (re.fullmatch(r"([A-Z]+)(\d+)", r) for r in ref.replace("$", "").split(":"))
        if not one or not two or one[1] != two[1] or int(two[2]) - int(one[2]) > 100_000:
            raise UnknownFormulaError(f"the range {ref} is no column")
        return [self.cell(sheet, f"{one[1]}{n}") for n in range(int(one[2]), int(two[2]) + 1)]


class _Reading:
    """One formula, read from left to right."""

    def __init__(self, calculator: Calculator, sheet: str, formula: str) -> None:
        self.calculator, self.sheet, self.formula = calculator, sheet, formula
        self.tokens: list[re.Match[str]] = []
        at = 0
        while at < len(formula):
            found = _TOKEN.match(formula, at)
            if not found:
                raise UnknownFormulaError(f"{formula!r} is of a form not used in a pack")
            self.tokens.append(found)
            at = found.end()

    def all(self) -> Any:
        value = self._comparison()
        if self.tokens:
            raise UnknownFormulaError(f"{self.formula!r} is of a form not used in a pack")
        return value

    def _sign(self, *wanted: str) -> str | None:
        if self.tokens and self.tokens[0]["sign"] in wanted:
            return str(self.tokens.pop(0)["sign"])
        return None

    def _expect(self, sign: str) -> None:
        if not self._sign(sign):
            raise UnknownFormulaError(f"{self.formula!r} lacks a {sign!r}")

    def _comparison(self) -> Any:
        left = self._joined()
        while sign := self._sign("=", ">", "<", "<>", ">=", "<="):
            left = _COMPARED[sign](left, self._joined())
        return left

    def _joined(self) -> Any:
        left = self._sum()
        while self._sign("&"):
            left = f"{_or_empty(left)}{_or_empty(self._sum())}"
        return left

    def _sum(self) -> Any:
        left = self._product()
        while sign := self._sign("+", "-"):
            right = self._product()
            left = _each(left, right, Decimal.__add__ if sign == "+" else Decimal.__sub__)
        return left

    def _product(self) -> Any:
        left = self._one()
        while sign := self._sign("*", "/"):
            right = self._one()
            left = _each(left, right, Decimal.__mul__ if sign == "*" else Decimal.__truediv__)
        return left

    def _one(self) -> Any:
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
            return self._called(token["name"])
        if token["sign"] != "(":
            raise UnknownFormulaError(f"{self.formula!r} is of a form not used in a pack")
        value = self._comparison()
        self._expect(")")
        return value

    def _called(self, name: str) -> Any:
        if name not in _FUNCTIONS:
            raise UnknownFormulaError(f"the function {name} is not used in a pack")
        self._expect("(")
        arguments = [self._comparison()]
        while self._sign(","):
            arguments.append(self._comparison())
        self._expect(")")
        return _FUNCTIONS[name](*arguments)


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


def _total(values: list[Any]) -> Decimal:
    return sum((_number(v) for v in values if not isinstance(v, str)), Decimal(0))


_COMPARED: dict[str, Callable[[Any, Any], bool]] = {
    "=": lambda a, b: _or_empty(a) == _or_empty(b),
    "<>": lambda a, b: _or_empty(a) != _or_empty(b),
    ">": lambda a, b: _number(a) > _number(b),
    "<": lambda a, b: _number(a) < _number(b),
    ">=": lambda a, b: _number(a) >= _number(b),
    "<=": lambda a, b: _number(a) <= _number(b),
}
_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "ROUND": lambda value, places: _number(value).quantize(Decimal(1).scaleb(-int(places)), ROUND_HALF_UP),
    "SUM": _total,
    "SUMPRODUCT": _total,
    "EXACT": lambda values, wanted: [v == wanted for v in values],
    "COUNTBLANK": lambda values: Decimal(sum(v is None or v == "" for v in values)),
    "IF": lambda condition, yes, no: yes if condition else no,
}
