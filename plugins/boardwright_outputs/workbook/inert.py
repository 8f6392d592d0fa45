"""Text made safe for a spreadsheet: names come from drawings and lists, and may hold anything.

Claim: what goes in is shown as text and nothing else. It never becomes a formula, an error value or a broken
file.

What this does not do: change what a name says, beyond making an unprintable character visible.
"""

from __future__ import annotations

import html
import re

LONGEST = 32_767  # characters a cell can hold in the usual spreadsheet programs (memory)

_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)  # with the signs that turn the direction of reading round
# In OOXML text "_x0041_" stands for a character by its number, so a name that holds such letters must be
# escaped.
_NUMBERED = re.compile("_(?=x[0-9A-Fa-f]{4}_)")
_ACTIVE = ("=", "+", "-", "@", "\t")


def visible(text: str) -> str:
    """Text that XML can carry: a control character becomes its picture (␀, ␛), other illegal ones become
    �."""
    if text.isprintable():  # nearly all are, and none of these is
        return text
    return _UNPRINTABLE.sub(_picture, text.replace("\r\n", "\n").replace("\r", "\n"))


def _picture(found: re.Match[str]) -> str:
    number = ord(found[0])
    if number < 0x20:
        return chr(0x2400 + number)
    return "␡" if number == 0x7F else "\N{REPLACEMENT CHARACTER}"


def cell_text(text: str) -> str:
    """Text as stored in a cell, cut with an ellipsis where a cell can hold no more."""
    shown = visible(text)
    shown = _NUMBERED.sub("_x005F_", shown) if "_x" in shown else shown
    return shown if len(shown) <= LONGEST else shown[: LONGEST - 1] + "…"


def escaped(text: str) -> str:
    """Text between the tags of an XML file."""
    return html.escape(text, quote=False)


def quoted(text: str) -> str:
    """An attribute's value in its quotes; the ends of lines are kept."""
    return f'"{html.escape(text).replace("\n", "&#10;").replace("\t", "&#9;")}"'


def starts_active(text: str) -> bool:
    """Would a spreadsheet read this as a formula if it were typed in?"""
    return text.startswith(_ACTIVE)


def header_text(text: str, longest: int = 60) -> str:
    """Text for a page header or footer, where ``&`` starts a command and a leading digit could join one."""
    shown = " ".join(visible(text).split())
    shown = shown if len(shown) <= longest else shown[: longest - 1] + "…"
    return shown.replace("&", "&&")
