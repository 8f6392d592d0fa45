"""Short names for drawings, and safe file names. Ids may come from a drawing, so they may hold anything; a
file name holds only plain characters."""

from __future__ import annotations

import hashlib
import re

#: Names some systems keep for devices, with or without an extension.
_KEPT = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
_LONGEST = 60


def safe_name(id_: str) -> str:
    """``id_`` itself when it is a safe file name, else a safe spelling with a short digest to keep it
    unique."""
    plain = re.sub(r"[^A-Za-z0-9_.-]+", "-", id_)[:_LONGEST].strip("-.")
    if plain == id_ and plain and not _KEPT.fullmatch(plain):
        return plain
    digest = hashlib.sha256(id_.encode("utf-8", "surrogatepass")).hexdigest()[:8]
    return f"{plain or 'unnamed'}-{digest}" if not _KEPT.fullmatch(plain) else f"x-{plain}-{digest}"


def short(id_: str, board: str) -> str:
    """A name without its board's, for where only one board is shown.

    >>> short("B01-R4", "B01")
    'R4'
    """
    return id_.removeprefix(f"{board}-")


GENERAL_ARRANGEMENT = "dxf/general-arrangement.dxf"
SPLITTING = "dxf/splitting.dxf"


def board_path(board: str) -> str:
    return f"dxf/boards/{safe_name(board)}.dxf"


def part_path(part: str) -> str:
    return f"dxf/parts/{safe_name(part)}.dxf"


def sheet_path(sheet: str, bar: bool = False) -> str:
    return f"dxf/{'bars' if bar else 'sheets'}/{safe_name(sheet)}.dxf"


def printed_path(what: str) -> str:
    """Drawings on paper, of one board or of ``sheets`` or ``general-arrangement``."""
    return f"drawings/{safe_name(what)}.pdf"


def template_path(board: str) -> str:
    return f"templates/{safe_name(board)}.pdf"
