"""Pages → PDF: a page is a drawing in millimetres of its paper. The same bytes for the same pages."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from typing import Any

from boardwright import NO_MEMO, Memo

from .drawing import Drawing
from .ink import POINTS_PER_MM, operators, printable


def write_pdf(title: str, pages: Sequence[Drawing], memo: Memo = NO_MEMO) -> bytes:
    """One PDF; a page is as large as its drawing's frame, whose lower left corner is at (0, 0). Bookmarks are
    the pages' titles."""
    kept = io.BytesIO()
    canvas = begun(kept, title)
    for number, page in enumerate(pages):
        canvas.setPageSize((page.frame.width * POINTS_PER_MM, page.frame.height * POINTS_PER_MM))
        canvas.bookmarkPage(f"page-{number}")
        canvas.addOutlineEntry(printable(page.title, 120), f"page-{number}")
        canvas.addLiteral(memo.of(operators, page.items))
        canvas.showPage()
    canvas.save()
    return kept.getvalue()


class Printable:
    """Bytes as letters (ISO 32000-1, 7.4.3). The library's own way, a letter at a time, took a twentieth of a
    cold run."""

    pdfname = "ASCII85Decode"

    def encode(self, data: bytes) -> str:
        return base64.a85encode(data).decode("ascii") + "~>"


def begun(kept: io.BytesIO, title: str) -> Any:
    """A canvas to be written to ``kept``, its pages compressed."""
    from reportlab.pdfbase.pdfdoc import PDFZCompress
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(kept, invariant=1, pageCompression=0)  # else the pages have filters of their own
    canvas._doc.defaultStreamFilters = [Printable(), PDFZCompress]
    canvas.setTitle(printable(title, 120))
    canvas.setCreator("Boardwright")
    return canvas
