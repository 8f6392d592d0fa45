"""Pages → PDF: a page is a drawing in millimetres of its paper. The same bytes for the same pages."""

from __future__ import annotations

import io
from collections.abc import Sequence

from boardwright import NO_MEMO, Memo

from .drawing import Drawing
from .ink import POINTS_PER_MM, operators, printable


def write_pdf(title: str, pages: Sequence[Drawing], memo: Memo = NO_MEMO) -> bytes:
    """One PDF; a page is as large as its drawing's frame, whose lower left corner is at (0, 0). Bookmarks are
    the pages' titles."""
    from reportlab.pdfgen.canvas import Canvas

    kept = io.BytesIO()
    canvas = Canvas(kept, invariant=1, pageCompression=1)
    canvas.setTitle(printable(title, 120))
    canvas.setCreator("Boardwright")
    for number, page in enumerate(pages):
        canvas.setPageSize((page.frame.width * POINTS_PER_MM, page.frame.height * POINTS_PER_MM))
        canvas.bookmarkPage(f"page-{number}")
        canvas.addOutlineEntry(printable(page.title, 120), f"page-{number}")
        canvas.addLiteral(memo.of(operators, page.items))
        canvas.showPage()
    canvas.save()
    return kept.getvalue()
