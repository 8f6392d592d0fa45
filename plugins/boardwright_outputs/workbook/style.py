"""How the workbook looks: plain, legible when printed in black and white.

Headings are bold on a light grey band with a rule below; cells the reader may change are boxed on a faint
tint; a fault is bold. Nothing is told by colour alone. Styles are named, so that they can be changed in one
place by the reader too.
"""

from __future__ import annotations

from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

from .formats import KINDS, LEFT, body_style
from .sheet import Show

FONT = "Arial"  # metric-compatible faces exist everywhere, so that widths hold (common practice, no source)
_GREY = "E7E6E0"
_TINT = "F7F4E4"
_INK = "222222"
_thin = Side(style="thin", color="8A8A84")
_hair = Side(style="hair", color="8A8A84")
_thick = Side(style="medium", color=_INK)

FORMATS = {
    Show.TEXT: "General",  # not "@": the cell says itself that it is text, and a formula there must stay one
    Show.WRAPPED: "General",
    Show.COUNT: "0",
    Show.QUANTITY: "General",
    Show.MM: "0.0",
    Show.INCHES: "# ??/??",  # in its lowest terms: the formula rounds to the fraction chosen
    Show.KG: "0.00",
    Show.M2: "0.00",
    Show.DEGREES: "0.0",
    Show.PERCENT: "0%",
    Show.PRICE: "#,##0.00##",  # a screw may cost a fraction of a cent
    Show.MONEY: "#,##0.00",
    Show.RATE: "0.00####",
    Show.SHARE: "0.0%;;",  # nothing where it is nought
    Show.TICK: "General",
}


def named_styles() -> tuple[NamedStyle, ...]:
    """Every style of the workbook, in the order of ``formats.STYLES``."""
    title = NamedStyle("bw-title", font=_font(16, bold=True), alignment=Alignment(vertical="center"))
    purpose = NamedStyle(
        "bw-purpose", font=_font(9, italic=True), alignment=Alignment(vertical="top", wrap_text=True)
    )
    heading = NamedStyle(
        "bw-heading",
        font=_font(9, bold=True),
        fill=PatternFill("solid", fgColor=_GREY),
        border=Border(bottom=_thick, top=_thin),
        alignment=Alignment(horizontal="left", vertical="bottom", wrap_text=True, indent=1),
    )
    heading_right = NamedStyle(
        "bw-heading-right",
        font=_font(9, bold=True),
        fill=PatternFill("solid", fgColor=_GREY),
        border=Border(bottom=_thick, top=_thin),
        alignment=Alignment(horizontal="right", vertical="bottom", wrap_text=True, indent=1),
    )
    block = NamedStyle(
        "bw-block",
        font=_font(11, bold=True),
        border=Border(bottom=_thick),
        alignment=Alignment(vertical="bottom"),
    )
    link = NamedStyle(
        "bw-link",
        font=_font(9, underline="single"),
        alignment=Alignment(horizontal="left", vertical="center", indent=1),
        border=Border(bottom=_hair),
    )
    return (
        title,
        purpose,
        heading,
        heading_right,
        block,
        link,
        *(_body(s, k) for s in Show for k in KINDS),
    )


def _body(show: Show, kind: str) -> NamedStyle:
    border = {
        "plain": Border(bottom=_hair),
        "strong": Border(bottom=_hair),
        "entry": Border(left=_thin, right=_thin, top=_thin, bottom=_thin),
        "closing": Border(top=_thin),
    }[kind]
    if show is Show.TICK and kind == "plain":
        border = Border(left=_thin, right=_thin, top=_thin, bottom=_thin)
    return NamedStyle(
        body_style(show, kind),
        font=_font(9, bold=kind in ("closing", "strong")),
        fill=PatternFill("solid", fgColor=_TINT) if kind == "entry" else PatternFill(),
        border=border,
        number_format=FORMATS[show],
        alignment=Alignment(
            horizontal="left" if show in LEFT else "right",
            vertical="center",
            wrap_text=show is Show.WRAPPED,
            indent=0 if show is Show.TICK else 1,
        ),
    )


def _font(size: float, *, bold: bool = False, italic: bool = False, underline: str | None = None) -> Font:
    return Font(name=FONT, size=size, bold=bold, italic=italic, underline=underline, color=_INK)
