"""Drawings on paper that are not of this pack: what was done, how, the finding, what that must name."""

from __future__ import annotations

from corruptions import Corruption
from forging import cut_short, replaced, swapped, without

PRINTED = [
    Corruption("a board's paper is lost", without("drawings/B03.pdf"), "097", "board B03"),
    Corruption("the sheets' paper is torn", cut_short("drawings/sheets.pdf", 0.2), "097", "sheet"),
    Corruption(
        "two boards' papers of one name", swapped("drawings/B01.pdf", "dxf/boards/B01.dxf"), "097", "B01"
    ),
    Corruption(
        "a part was changed after it was printed",
        replaced("dxf/parts/B02-J1.dxf", b"EOF", b"EOF\r\n"),
        "096",
        "dxf/parts/B02-J1.dxf",
    ),
]
