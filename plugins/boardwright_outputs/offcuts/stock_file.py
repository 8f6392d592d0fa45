"""Offcuts as a stock file: what `boardwright nest --stock` reads, and what a project file names as
``stock.offcuts``. They cost nothing.

What this does not know: whether the piece came through the sawing unharmed.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from decimal import Decimal

from boardwright_timber.model import CutSheet, Offcut

HEAD = """\
# Offcuts worth keeping once all sheets are cut. Millimetres; the length runs with the grain of the face.
# For `boardwright nest`: add these to a stock file. For a pack: copy this file beside the project file and
# name it there, offcuts = "offcuts.toml" under [stock]: they are added to the sheets that are bought.
# Delete what is split, gone or not worth its room in the shed.
"""


def stock_file(sheets: Iterable[CutSheet]) -> bytes:
    """TOML; an empty list when nothing is worth keeping."""
    blocks = [HEAD]
    for sheet in sheets:
        for offcut in sheet.offcuts:
            name = f"offcut {offcut.piece} of {sheet.id}, {sheet.stock}"
            blocks.append(
                "[[sheet]]\n"
                f"name = {_quoted(name)}\n"
                f"material = {_quoted(sheet.material)}\n"
                f"thickness_mm = {_number(sheet.thickness_mm)}\n"
                f"length_mm = {_number(offcut.length_mm)}\n"
                f"width_mm = {_number(offcut.width_mm)}\n"
                + _shape(offcut)
                + f"quantity = {sheet.times}\n"
                + ("bar = true\n" if sheet.bar else "")
                + "price = 0.00\n"
            )
    if len(blocks) == 1:
        blocks.append("# None: every offcut is smaller than cutting.keep_length_mm × keep_width_mm.\n")
    return "\n".join(blocks).encode()


def _shape(offcut: Offcut) -> str:
    if not offcut.shape:
        return ""
    return f"shape = [{', '.join(f'[{_number(x)}, {_number(y)}]' for x, y in offcut.shape)}]\n"


def _quoted(text: str) -> str:
    """A basic TOML string; JSON's escapes are a subset of TOML's once DEL is escaped too."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _number(length_mm: float) -> str:
    """A TOML float, never with an exponent."""
    text = format(Decimal(repr(length_mm)), "f")
    return text if "." in text else f"{text}.0"
