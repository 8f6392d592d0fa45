"""The finished file: the same bytes on every save, and the rows in their worksheets.

A spreadsheet file is a zip of XML parts. The library that writes it puts the time of day in the zip and in
the document's properties. Here they are taken out, and the rows are put in. The zip's order, dates and
attributes are fixed, so the bytes depend on the content and on the versions of the libraries only.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping

from boardwright.errors import DefectError

from .laying import Laid
from .pictures import SHOWN, TYPE, relation

FIRST = "[Content_Types].xml"  # readers that look at the first entry expect it here
PROPERTIES = "docProps/core.xml"
EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest date a zip can hold
STAMP = "1980-01-01T00:00:00Z"

_DATES = re.compile(r"(<dcterms:(created|modified)\b[^>]*>)[^<]*(</dcterms:)")
_NO_ROWS = re.compile(r"<sheetData\s*(?:/>|></sheetData>)")
_AFTER_LINKS = "<pageMargins "
_END = b"</worksheet>"
_TYPES_END = b"</Types>"
_EXTENT = re.compile(r'(<dimension ref=")[^"]*')


def finished(saved: bytes, sheets: Mapping[str, Laid]) -> bytes:
    """Rewrite a saved workbook, with cells and drawings by the name of the part that is to hold them.

    Raises DefectError when a worksheet has rows already, or none are given for it.
    """
    drawn = {name: sheet.drawing_xml for name, sheet in sheets.items() if sheet.drawing_xml}
    entries: dict[str, bytes] = {}
    with zipfile.ZipFile(io.BytesIO(saved)) as source:
        for name in source.namelist():
            content = source.read(name)
            if name == PROPERTIES:
                content = _DATES.sub(rf"\g<1>{STAMP}\g<3>", content.decode()).encode()
            elif name.startswith("xl/worksheets/sheet"):
                content = _with_rows(name, content.decode(), sheets.get(name)).encode()
            if name in drawn:
                content = content.replace(_END, SHOWN.encode() + _END)
            elif name == FIRST:
                content = content.replace(_TYPES_END, _types(len(drawn)).encode() + _TYPES_END)
            entries[name] = content
    for number, (name, xml) in enumerate(sorted(drawn.items()), 1):
        folder, _, leaf = name.rpartition("/")
        entries[f"xl/drawings/drawing{number}.xml"] = xml.encode()
        entries[f"{folder}/_rels/{leaf}.rels"] = relation(number).encode()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as target:
        for name in sorted(entries, key=lambda n: (n != FIRST, n)):
            target.writestr(_entry(name), entries[name], compress_type=zipfile.ZIP_DEFLATED, compresslevel=6)
    return out.getvalue()


def _types(drawings: int) -> str:
    return "".join(
        f'<Override PartName="/xl/drawings/drawing{n}.xml" ContentType="{TYPE}"/>'
        for n in range(1, drawings + 1)
    )


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, date_time=EPOCH)
    entry.create_system = 3  # the same on every machine
    entry.external_attr = 0o644 << 16
    return entry


def _with_rows(name: str, xml: str, sheet: Laid | None) -> str:
    if sheet is None or len(_NO_ROWS.findall(xml)) != 1 or xml.count(_AFTER_LINKS) != 1:
        raise DefectError.of(
            "BW-BOOK-900",
            f"the workbook's rows have no place in {name}",
            mend="This is a defect of ours; please report it with the layout that shows it.",
        )
    sized = _EXTENT.sub(lambda found: found[1] + sheet.extent, xml, count=1)
    linked = sized.replace(_AFTER_LINKS, sheet.links_xml + _AFTER_LINKS)
    return _NO_ROWS.sub(lambda _: sheet.rows_xml, linked)
