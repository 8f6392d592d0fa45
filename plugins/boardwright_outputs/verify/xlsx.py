"""A workbook read from its package: every cell with its formula and the amount stored beside it.

Claim: only what the file says is taken; nothing is worked out here.
Source: ECMA-376 part 1, SpreadsheetML: sheets, rows, cells, shared and inline texts (from memory).
"""

from __future__ import annotations

import io
import re
import zipfile
from decimal import Decimal, InvalidOperation
from xml.etree import ElementTree

import msgspec

type Value = Decimal | str | bool | None

MOST_BYTES = 200_000_000  # of one unpacked part: more is no workbook of a pack
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_REF = re.compile(r"([A-Z]{1,3})(\d+)")
_NUMBERED = re.compile("_x([0-9A-Fa-f]{4})_")


class UnreadableError(Exception):
    """No workbook, or a damaged one; says why."""


class Cell(msgspec.Struct, frozen=True):
    """``formula`` without its equals sign, empty where there is none; ``error``: an error value is stored."""

    value: Value
    formula: str = ""
    error: bool = False


class Book(msgspec.Struct, frozen=True):
    """Sheet name → cell name → cell."""

    sheets: dict[str, dict[str, Cell]]

    def rows(self, sheet: str) -> list[dict[str, Cell]]:
        """The rows of a table by column letter, from its heading (row 4) on."""
        found: dict[int, dict[str, Cell]] = {}
        for ref, cell in self.sheets[sheet].items():
            if (m := _REF.fullmatch(ref)) and int(m[2]) >= 4:
                found.setdefault(int(m[2]), {})[m[1]] = cell
        return [found[n] for n in sorted(found)]


def read_xlsx(data: bytes) -> Book:
    """Raises UnreadableError."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            book = _xml(package, "xl/workbook.xml")
            targets = {r.get("Id"): r.get("Target", "") for r in _xml(package, "xl/_rels/workbook.xml.rels")}
            texts = _texts(package)
            sheets: dict[str, dict[str, Cell]] = {}
            for sheet in book.iter(f"{_MAIN}sheet"):
                target = targets[sheet.get(_LINK)].lstrip("/")
                path = target if target.startswith("xl/") else f"xl/{target}"
                sheets[sheet.get("name", "")] = _cells(_xml(package, path), texts)
            return Book(sheets)
    except (
        zipfile.BadZipFile,
        ElementTree.ParseError,
        KeyError,
        IndexError,
        ValueError,
        EOFError,
    ) as problem:
        raise UnreadableError(str(problem) or type(problem).__name__) from problem
    # NotImplementedError: packed in a way the library cannot unpack; RuntimeError: with a password
    except (OSError, NotImplementedError, RuntimeError, zipfile.LargeZipFile, InvalidOperation) as problem:
        raise UnreadableError(str(problem) or type(problem).__name__) from problem
    except Exception as problem:
        if type(problem).__module__ == "zlib":  # zlib.error has no parent of its own
            raise UnreadableError(f"it cannot be unpacked: {problem}") from problem
        raise


def _xml(package: zipfile.ZipFile, path: str) -> ElementTree.Element:
    if package.getinfo(path).file_size > MOST_BYTES:
        raise UnreadableError(f"{path} in it is larger than any workbook of a pack")
    return ElementTree.fromstring(package.read(path))


def _texts(package: zipfile.ZipFile) -> list[str]:
    path = "xl/sharedStrings.xml"
    if path not in package.namelist():
        return []
    return [_text(item) for item in _xml(package, path).iter(f"{_MAIN}si")]


def _text(item: ElementTree.Element) -> str:
    raw = "".join(t.text or "" for t in item.iter(f"{_MAIN}t"))
    return _NUMBERED.sub(lambda m: chr(int(m[1], 16)), raw)


def _cells(sheet: ElementTree.Element, texts: list[str]) -> dict[str, Cell]:
    found: dict[str, Cell] = {}
    for cell in sheet.iter(f"{_MAIN}c"):
        ref, kind = cell.get("r", ""), cell.get("t", "n")
        formula, stored, inline = (cell.find(f"{_MAIN}{tag}") for tag in ("f", "v", "is"))
        text = stored.text if stored is not None else None
        value: Value
        if inline is not None:
            value = _text(inline)
        elif text is None:
            value = "" if kind == "str" else None
        elif kind == "s":
            value = texts[int(text)]
        elif kind in ("str", "e", "inlineStr", "d"):
            value = text
        elif kind == "b":
            value = text == "1"
        else:
            value = Decimal(text)
        if formula is not None or value is not None:
            found[ref] = Cell(value, (formula.text or "") if formula is not None else "", kind == "e")
    return found
