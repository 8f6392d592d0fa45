"""Drawings on paper against the DXF files they show.

Claim: every board, every part and every sheet that has a DXF file is on a page, or is named on one as alike
to a part that is; every page names the digest of the file it shows, and it is that file's.

What this does not know: the lines of a page. They are held by the file's own digest.
"""

from __future__ import annotations

import base64
import hashlib
import re
import zlib
from collections.abc import Iterator

from ..drawings import names
from .opened import Opened, many

_STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
_SHOWN = re.compile(rb"\(((?:[^()\\]|\\.)*)\) Tj")
_OCTAL = re.compile(rb"\\(\d{3})")
_NAMED = re.compile(r"(dxf/\S+\.dxf) (?:SHA-256 )?([0-9a-f]{16})\b")
_ALIKE = re.compile(r"alike: ([^()]*)")


def check_printed(opened: Opened) -> Iterator[str]:
    pages: dict[str, set[str]] = {}
    alike: set[str] = set()
    for path in _files(opened):
        text = _text(opened.files.get(path, b""))
        for named, digest in _NAMED.findall(text):
            pages.setdefault(named, set()).add(digest)
            own = opened.files.get(named)
            if own is None or hashlib.sha256(own).hexdigest()[:16] != digest:
                opened.fault(
                    "BW-VERIFY-096",
                    f"the drawing on paper {path} shows another {named} than the pack has",
                    file=path,
                    item=named,
                )
        for ids in _ALIKE.findall(text):
            alike.update(ids.replace(",", " ").split())
    for named, item in _wanted(opened):
        if named not in pages and item not in alike and named in opened.files:
            opened.fault(
                "BW-VERIFY-097", f"{item} is on no page of the drawings on paper", file=named, item=item
            )
    yield f"{many(len(pages), 'drawing')} on paper, each of the DXF file whose digest it names."


def _files(opened: Opened) -> list[str]:
    boards = [names.printed_path(board.id) for board in opened.pack.boards]
    return [names.printed_path("general-arrangement"), *boards, names.printed_path("sheets")]


def _wanted(opened: Opened) -> Iterator[tuple[str, str]]:
    """Every DXF file and what it is of."""
    yield names.GENERAL_ARRANGEMENT, "the general arrangement"
    yield names.SPLITTING, "the splitting"
    for board in opened.pack.boards:
        yield names.board_path(board.id), f"board {board.id}"
    for part in opened.parts:
        yield names.part_path(part), part
    for sheet in opened.pack.cutting.sheets:
        yield names.sheet_path(sheet.id, sheet.bar), f"{sheet.called.lower()} {sheet.id}"


def _text(pdf: bytes) -> str:
    """All words of a PDF as this pack writes it, in order; nothing of streams that cannot be read."""
    found = []
    for stream in _STREAM.findall(pdf):
        try:
            content = zlib.decompress(base64.a85decode(stream.strip().removesuffix(b"~>")))
        except (ValueError, zlib.error):
            continue  # damaged, or no drawing: what it should have named is missed below
        found += [_OCTAL.sub(_byte, shown).decode("cp1252", "replace") for shown in _SHOWN.findall(content)]
    return " ".join(found)


def _byte(found: re.Match[bytes]) -> bytes:
    return bytes([int(found[1], 8) & 255])
