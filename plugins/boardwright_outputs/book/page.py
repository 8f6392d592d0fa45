"""Book → one HTML page: self-contained, nothing loaded from anywhere, every name escaped.

It reads whole without script. Its one script (``book.js``: ticks, looking closer, finding a part) is named by
its digest in the page's content policy, which forbids every other script and all loads, should anything slip
through.
"""

from __future__ import annotations

import base64
import hashlib
import os
import re
import sys
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from boardwright import NO_MEMO, Memo
from boardwright.display import IN_MM, DisplaySettings
from boardwright_timber.model import BoardParts, StepUse

from ..drawings import names
from ..drawings.drawing import Drawing
from ..drawings.layers import LOOKS, ROUTED, css_class, layer
from ..drawings.svg import style, write_svg
from ..drawings.views.part import bevel_words
from ..workbook.buying import unsheeted
from ..workbook.cautions import CAUTIONS
from ..workbook.cutting import in_hand
from ..workbook.found import sources
from ..workbook.inert import visible
from ..workbook.wires import leg_rows, pin_rows
from .content import BoardChapter, Book, drilling, joining
from .matters import flat_settings, number_of
from .step_pictures import StepPictures

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

#: Tags and what stands between them; the lettering of drawings, scripts and styles go with their tags.
_WORDS = re.compile(r"<(style|script|text)\b.*?</\1>|<[^>]*>|(?P<words>[^<]+)", re.DOTALL)
_FIGURE = re.compile(r"\s*-?\d+\.\d+\s*")


def page(book: Book, show: DisplaySettings = IN_MM, memo: Memo = NO_MEMO) -> bytes:
    """The page as UTF-8, the same bytes for the same book, lengths as ``show`` says."""
    text = (
        _environment()
        .get_template("index.html.j2")
        .render(
            book=book,
            memo=memo,
            script=_resource("book.js"),
            script_digest=_digest(_resource("book.js")),
            cautions=CAUTIONS,
            show=show,
            unit=show.unit,
            sizes="All sizes are in millimetres" if show.units == "mm" else show.sizes,
            style=_resource("style.css").replace("size:A4", f"size:{show.office_paper}") + style(),
            looks=[
                (layer(role), css_class(role), look.says)
                for role, look in LOOKS.items()
                if role not in ROUTED or any(s.routing for s in book.cutting.sheets)
            ],
            run_labels={run.id: run.label for run in book.wires.runs},
            sources=sources().rows,
            settings=list(flat_settings(book.provenance.settings)),
        )
    )
    return sentences(visible(text), show).encode("utf-8", "replace")


def sentences(text: str, show: DisplaySettings) -> str:
    """The page with its sentences, which are written in millimetres, as ``show`` says, and the decimal sign
    of figures that stand alone. Scripts, styles, tags and the lettering of drawings are left as they are."""
    if show.units == "mm" and show.decimal_sign == ".":
        return text

    def said(found: re.Match[str]) -> str:
        words = found["words"]
        if not words:
            return found[0]
        return show.signed(words) if _FIGURE.fullmatch(words) else show.prose(words)

    return _WORDS.sub(said, text)


def board_chapter(chapter: BoardChapter, show: DisplaySettings) -> str:
    """A board's own chapter as HTML."""
    template = _environment().get_template("chapters/board.html.j2")
    return template.render(c=chapter, show=show, unit=show.unit, memo=NO_MEMO)


def board_drilling(board: str, parts: BoardParts, show: DisplaySettings) -> str:
    """A board's table of holes as HTML."""
    template = _environment().get_template("chapters/board-drilling.html.j2")
    return template.render(board=board, parts=parts, show=show, unit=show.unit)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemBytecodeCache, PackageLoader, StrictUndefined, pass_context
    from jinja2.runtime import Context
    from markupsafe import Markup

    @pass_context
    def picture(context: Context, drawing: Drawing, id_: str, says: str) -> Markup:
        return Markup(context["memo"].of(write_svg, drawing, id_, says))  # which escapes every text itself

    @pass_context
    def length(context: Context, mm: float) -> str:
        return str(context["show"].figure(mm))

    @pass_context
    def chapter_of(context: Context, c: BoardChapter) -> Markup:
        show = context["show"]
        return Markup(context["memo"].by((*c.made_of, c.on_paper, show), board_chapter, c, show))

    @pass_context
    def drilling_of(context: Context, c: BoardChapter) -> Markup:
        return Markup(context["memo"].of(board_drilling, c.board.id, c.parts, context["show"]))

    def shapes(pictures: StepPictures) -> Markup:
        return Markup(pictures.shapes)  # as above

    def step_picture(pictures: StepPictures, n: int) -> Markup:
        return Markup(pictures.pictures[n])

    # The compiled page is kept where Python keeps compiled modules, and as little where it may not.
    compiled = Path(__file__).with_name("__pycache__")
    keeps = compiled.is_dir() and os.access(compiled, os.W_OK) and not sys.dont_write_bytecode
    environment = Environment(
        loader=PackageLoader("boardwright_outputs.book", ""),
        bytecode_cache=FileSystemBytecodeCache(str(compiled)) if keeps else None,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(
        mm=length,
        plain_mm=IN_MM.figure,
        kg=lambda kg: f"{kg:.1f}",
        money=money,
        amount=amount,
        anchor=anchor,
        bevel=bevel_words,
        taken=taken,
    )
    environment.globals.update(
        picture=picture,
        shapes=shapes,
        step_picture=step_picture,
        drilling=drilling,
        board_chapter=chapter_of,
        board_drilling=drilling_of,
        number_of=number_of,
        in_hand=in_hand,
        unsheeted=unsheeted,
        leg_rows=leg_rows,
        pin_rows=pin_rows,
        joining=joining,
        board_path=names.board_path,
        part_path=names.part_path,
        sheet_path=names.sheet_path,
        template_path=names.template_path,
        printed_path=names.printed_path,
        general_path=names.GENERAL_ARRANGEMENT,
        splitting_path=names.SPLITTING,
    )
    return environment


def money(value: Decimal) -> str:
    return f"{value:.2f}"


def amount(value: float | Decimal) -> str:
    """A quantity without trailing noughts: 28, 0.4."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def taken(use: StepUse) -> str:
    """What a step takes, in words within a sentence: ``6 wood screws 4 × 50``; glue at least a millilitre."""
    what = use.says[:1].lower() + use.says[1:]
    if use.unit == "piece":
        return f"{amount(use.quantity)} {what if use.quantity == 1 else what.replace('screw ', 'screws ', 1)}"
    quantity = max(1, round(use.quantity)) if use.unit in ("ml", "mm") else use.quantity
    return f"{amount(quantity)} {use.unit} of {what}"


def anchor(id_: str) -> str:
    """A name as an id within the page."""
    return names.safe_name(id_)


def _digest(script: str) -> str:
    """As a content policy names a script (CSP level 3: SHA-256 in base 64)."""
    return f"sha256-{base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()}"


@cache
def _resource(name: str) -> str:
    return files(__package__).joinpath(name).read_text("utf-8")
