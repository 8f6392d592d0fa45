"""How lengths and numbers are shown to people. The data of a pack stay in millimetres whatever is chosen.

Glossary
    figure   a length as it is read off a tape, without its unit, which is said once a page: 1200, 47 1/4"
    length   the same with its unit, for the middle of a sentence: 1200 mm, 47 1/4"
    prose    sentences that others wrote in millimetres, with inches added behind every length

Inches are rounded to the nearest fraction chosen (halves up): 1/32" is 0.8 mm, so a figure in inches may be
up to 0.4 mm from the true one. What this does not know: trade names of sizes ("2 by 4"), feet.
"""

from __future__ import annotations

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta

from .settings import Section

MM_PER_INCH = 25.4  # exact by definition (international yard and pound agreement of 1959)

_LENGTHS = re.compile(r"(?<![\w.,])(\d+(?:\.\d+)?(?: ?(?:×|x|to|and|or|by|–) ?\d+(?:\.\d+)?)*) mm\b(?! \()")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
#: Numbers that share a unit (0.15 to 0.2 mm, 10.9 of 20.0 kg) or are a size. Numbers of clauses, grades,
#: pieces and files stand alone and keep their point. Three capitals are a currency.
_UNIT = r"(?:mm²|mm|cm|m²|m|kg|g|kN|Nm|N|V|mA|A|W|%|°|ml|l|h|[A-Z]{3})(?!\w)"
_N = _NUMBER.pattern
_DECIMALS = re.compile(
    rf"(?<![\w.:])(?:{_N}(?: ?(?:×|x|to|and|or|by|of|–) ?{_N})*(?= ?{_UNIT})|{_N}(?: ?× ?{_N})+|{_N}(?= ?×))"
)

type Paper = Literal["A4", "A3", "A2", "A1", "A0", "Letter", "Tabloid"]


class DisplaySettings(Section, frozen=True, kw_only=True, table="display"):
    """Units, decimal sign and paper of everything people read."""

    units: Annotated[
        Literal["mm", "in", "mm and in"],
        Meta(
            description="Lengths in millimetres, in inches, or in both: in drawings, templates, the page, "
            "the workbook and the terminal. `pack.json` and the sizes of DXF files stay in millimetres."
        ),
    ] = "mm"
    inch_fraction: Annotated[
        Literal[8, 16, 32, 64],
        Meta(description="Inches are rounded to the nearest such part: 32 for 1/32."),
    ] = 32
    decimal_sign: Annotated[
        Literal[".", ","],
        Meta(
            description="Sign before decimals on paper, on the page and in the terminal; a spreadsheet uses "
            "that of its own language."
        ),
    ] = "."
    paper: Annotated[
        Paper,
        Meta(
            description="Paper of the drawings in `drawings/`; templates have their own ([templates] paper)."
        ),
    ] = "A4"

    @property
    def inches(self) -> bool:
        """Are inches shown at all?"""
        return self.units != "mm"

    @property
    def office_paper(self) -> str:
        """Paper for lists and for the page: that of the drawings is often larger."""
        return "Letter" if self.paper in ("Letter", "Tabloid") else "A4"

    @property
    def unit(self) -> str:
        """The unit for the head of a column of figures."""
        return {"mm": "mm", "in": "in", "mm and in": "mm (in)"}[self.units]

    @property
    def apart(self) -> str:
        """What parts the two figures of a place: no comma where a comma stands before decimals."""
        return ", " if self.decimal_sign == "." else " / "

    @property
    def sizes(self) -> str:
        """What figures are in, for a title block: ``Sizes in mm``."""
        nearest = f"to the nearest 1/{self.inch_fraction}"
        return {
            "mm": "Sizes in mm",
            "in": f"Sizes in inches, {nearest}",
            "mm and in": f"Sizes in mm (inches, {nearest})",
        }[self.units]

    def figure(self, mm: float) -> str:
        """A length as a tape is read: whole millimetres, or one decimal when it is not whole, halves up as a
        spreadsheet shows them; inches and fractions; or both."""
        if self.units == "mm":
            return self._tape(mm)
        inch = in_inches(mm, self.inch_fraction)
        return inch if self.units == "in" else f"{self._tape(mm)} ({inch})"

    def length(self, mm: float) -> str:
        """A length with its unit."""
        if self.units == "mm":
            return f"{self._tape(mm)} mm"
        inch = in_inches(mm, self.inch_fraction)
        return inch if self.units == "in" else f"{self._tape(mm)} mm ({inch})"

    def number(self, value: float, places: int) -> str:
        """A number of any unit, with so many decimals."""
        return self.signed(f"{value:.{places}f}")

    def signed(self, figures: str) -> str:
        """Figures written with a point, with the decimal sign chosen."""
        return figures.replace(".", ",") if self.decimal_sign == "," else figures

    def prose(self, text: str) -> str:
        """A sentence written in millimetres as it is to be shown: every length followed by inches if these
        are wanted (a sentence keeps its millimetres), decimals of lengths, masses and the like with the sign
        chosen."""
        if self.units != "mm":
            text = _LENGTHS.sub(self._beside, text)
        if self.decimal_sign == ",":
            text = _DECIMALS.sub(lambda found: found[0].replace(".", ","), text)
        return text

    def _beside(self, found: re.Match[str]) -> str:
        sizes = [float(n) for n in _NUMBER.findall(found[1])]
        if any(0 < mm * self.inch_fraction < MM_PER_INCH / 2 for mm in sizes):
            return found[0]  # finer than the tape: 0.01 mm is not 0"
        inches = _NUMBER.sub(lambda n: in_inches(float(n[0]), self.inch_fraction), found[1])
        return f"{found[0]} ({inches})"

    def _tape(self, mm: float) -> str:
        return self.signed(_tape(mm))


@lru_cache(4096)  # a pack says few lengths many times
def _tape(mm: float) -> str:
    text = str(Decimal(repr(round(mm, 6))).quantize(Decimal("0.1"), ROUND_HALF_UP)).removesuffix(".0")
    return "0" if text == "-0" else text


def shown_by(pack: bytes) -> DisplaySettings:
    """How a pack shows lengths, from its ``pack.json``; in millimetres when that does not say."""
    try:
        shown = msgspec.json.decode(pack, type=_Pack).shown
        return msgspec.convert(shown, DisplaySettings)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return IN_MM


#: As nothing else is said: millimetres and a decimal point.
IN_MM = DisplaySettings()


class _Pack(msgspec.Struct):
    """What of a ``pack.json`` is read here."""

    shown: dict[str, Any] = {}


def in_inches(mm: float, parts: int) -> str:
    """Inches and a fraction in its lowest terms, nearest ``1/parts``: ``47 1/4"``."""
    count = math.floor(abs(mm) / MM_PER_INCH * parts + 0.5)
    whole, rest = divmod(count, parts)
    shared = math.gcd(rest, parts)
    fraction = f"{rest // shared}/{parts // shared}" if rest else ""
    sign = "-" if mm < 0 and count else ""
    return sign + " ".join(filter(None, (str(whole) if whole or not rest else "", fraction))) + '"'
