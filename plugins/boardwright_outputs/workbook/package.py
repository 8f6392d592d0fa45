"""The finished file: the same bytes on every save, and amounts already in the formula cells.

A spreadsheet file is a zip of XML parts. The library that writes it puts the time of day in the zip and in
the document's properties and leaves formula cells without an amount; a viewer that does not calculate would
show blanks. Here both are put right. The zip's order, dates and attributes are fixed, so the bytes depend on
the content and on the versions of the libraries only.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from xml.sax.saxutils import escape

from boardwright.errors import DefectError

from .sheet import Number

FIRST = "[Content_Types].xml"  # readers that look at the first entry expect it here
PROPERTIES = "docProps/core.xml"
EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest date a zip can hold
STAMP = "1980-01-01T00:00:00Z"

_DATES = re.compile(r"(<dcterms:(created|modified)\b[^>]*>)[^<]*(</dcterms:)")
_FORMULA = re.compile(r'<c r="([A-Z]+[0-9]+)"([^>]*)><f>([^<]*)</f><v\s*(?:/>|></v>)</c>')


def finished(saved: bytes, amounts: Mapping[str, Mapping[str, Number | str]]) -> bytes:
    """Rewrite a saved workbook. ``amounts``: part name → cell → what its formula amounts to.

    Raises DefectError when a formula has no amount or an amount no formula.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(saved)) as source, zipfile.ZipFile(out, "w") as target:
        for name in sorted(source.namelist(), key=lambda n: (n != FIRST, n)):
            content = source.read(name)
            if name == PROPERTIES:
                content = _DATES.sub(rf"\g<1>{STAMP}\g<3>", content.decode()).encode()
            elif name.startswith("xl/worksheets/sheet"):
                content = _with_amounts(name, content.decode(), amounts.get(name, {})).encode()
            target.writestr(_entry(name), content, compress_type=zipfile.ZIP_DEFLATED, compresslevel=6)
    return out.getvalue()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, date_time=EPOCH)
    entry.create_system = 3  # the same on every machine
    entry.external_attr = 0o644 << 16
    return entry


def _with_amounts(name: str, xml: str, amounts: Mapping[str, Number | str]) -> str:
    formulas = {found[1] for found in _FORMULA.finditer(xml)}
    if formulas != set(amounts) or xml.count("<f>") != len(amounts):
        raise DefectError.of(
            "BW-BOOK-900",
            f"the workbook's formulas and their amounts do not match in {name}",
            mend="This is a defect of ours; please report it with the layout that shows it.",
        )

    def fill(found: re.Match[str]) -> str:
        cell, attributes, formula = found.groups()
        amount = amounts[cell]
        kind = ' t="str"' if isinstance(amount, str) else ""
        return f'<c r="{cell}"{attributes}{kind}><f>{formula}</f><v>{escape(str(amount))}</v></c>'

    return _FORMULA.sub(fill, xml)
