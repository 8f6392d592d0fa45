"""Numbers and lengths as people write them into the cells of a list.

    12.5    12,5    12 1/2    12-1/2    12½    3' 6"    3'-6 1/2"    3 ft 6 in

Fractions and marks of feet and inches are understood only where the column is in inches or feet: under a
heading of millimetres they are a slip of somebody's. An inch is 25.4 mm and a foot 12 inches, exactly
(international yard and pound agreement of 1959), so decimals, and fractions of powers of two, come out exact.

What this does not know: which unit a column is in (``device_columns.py``), and what a length is of.
"""

from __future__ import annotations

import math
import re
import unicodedata
from decimal import Decimal

from .units import MILLIMETRES

_NUMBER = r"\d{1,12}(?:\.\d{0,12})?|\.\d{1,12}"
_FEET = re.compile(rf"({_NUMBER})\s*(?:'(?!')|ft\.?|feet|foot)\s*-?\s*(.*)")
_INCH_MARK = re.compile(r"(?<=\d)\s*(?:\"|''|in\.?|inch(?:es)?)$")
_PARTS = re.compile(rf"(?:(\d{{1,12}})(?:\s+|\s*-\s*))?(\d{{1,6}})/(\d{{1,6}})|({_NUMBER})")
_MARKS = str.maketrans(dict.fromkeys("’‘′", "'") | dict.fromkeys("”“″", '"') | {"⁄": "/"})


def number_of(text: str, decimal_comma: bool) -> float | None:
    """The plain number a cell holds."""
    plain = _plain(text, decimal_comma)
    if "_" in plain:
        return None
    try:
        value = float(plain)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def length_mm(text: str, unit: str, decimal_comma: bool) -> float | None:
    """The length a cell holds in a column of ``unit`` (a key of ``MILLIMETRES``), in millimetres.

    >>> length_mm('47 1/4"', "in", False), length_mm("3' 6", "ft", False), length_mm("-2.5", "cm", False)
    (1200.15, 1066.8, -25.0)
    """
    value = number_of(text, decimal_comma)
    if value is None:
        text = text.replace("\u00a0", " ").strip()
        return _feet_and_inches(_plain(text, decimal_comma), unit) if unit in ("in", "ft") else None
    return value if unit == "mm" or not value else _mm(Decimal(_plain(text, decimal_comma)), unit)


def _plain(text: str, decimal_comma: bool) -> str:
    plain = text.replace("\u00a0", "").replace("\u2212", "-").strip()
    if decimal_comma and plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    return plain


def _mm(value: Decimal, unit: str) -> float:
    return float(value * Decimal(str(MILLIMETRES[unit])))


def _feet_and_inches(text: str, unit: str) -> float | None:
    text = "".join(map(_spelled_out, text.casefold())).translate(_MARKS)
    sign, rest = (-1, text[1:].strip()) if text.startswith("-") else (1, text.strip())
    feet, in_feet = Decimal(0), _FEET.fullmatch(rest)
    if in_feet:
        feet, rest, unit = Decimal(in_feet[1]), in_feet[2].strip(), "in"
    unmarked = _INCH_MARK.sub("", rest)
    if unmarked != rest:
        unit = "in"
    if in_feet and not rest:
        inches: Decimal | None = Decimal(0)
    else:
        inches = _with_fraction(unmarked.strip())
    if inches is None or (in_feet and inches >= 12):
        return None
    return sign * (_mm(feet * 12 + inches, "in") if in_feet else _mm(inches, unit))


def _spelled_out(sign: str) -> str:
    """½ as 1/2."""
    if unicodedata.category(sign) != "No" or not unicodedata.decomposition(sign).startswith("<fraction>"):
        return sign
    return " " + unicodedata.normalize("NFKC", sign)


def _with_fraction(text: str) -> Decimal | None:
    found = _PARTS.fullmatch(text)
    if not found or (found[3] and not int(found[3])):
        return None
    return Decimal(found[4]) if found[4] else int(found[1] or 0) + Decimal(found[2]) / Decimal(found[3])
