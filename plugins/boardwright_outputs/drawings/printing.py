"""Drawings laid on pages of paper, each page with a frame and a title block.

Glossary
    shown     a drawing that goes on paper, with the name of the DXF file that holds the same and its digest
    scale     1 : so many; one of a list, so that a scale rule can be laid on
    caption   the line under a drawing that shares its page with others
    key       a stroke of every kind of line on the page, with its name

A view of a board, the general arrangement or a sheet has a page of its own, as large as the paper lets it;
parts share pages, each no larger than its text needs to be read. What is written on the paper can be proved:
the digest is that of the DXF file in ``SHA256SUMS``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence, Set
from textwrap import wrap

import msgspec

from boardwright.display import MM_PER_INCH, DisplaySettings

from .drawing import Align, Box, Drawing, Item, Polyline, Role, Text
from .ink import fitted_text
from .paper import SIZES_MM
from .thinning import thinned

MARGIN_MM = 8.0
BLOCK_MM = 19.0
KEY_MM = 4.5
BAR_MM = 50.0
BAR_IN_INCHES_MM = 2 * MM_PER_INCH
_AIR_MM = 3.0
_CAPTION_MM = 5.0
_LEAST_WIDE_MM = 62.0  # so that a caption can be read
#: Height that the usual text of a drawing should have on paper; its smallest is 0.6 of that. (ISO 3098 begins
#: at 1.8 mm; from memory.)
READABLE_MM = 2.5
#: Scales to be found on rules: ISO 5455 and those of a triangular rule (from memory); for inches those in
#: whole twelfths and binary parts (common practice, no source).
_SCALES = (1.0, 2.0, 2.5, 5.0, 7.5, 10.0, 12.5, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0, 125.0, 200.0)
_INCH_SCALES = (1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 64.0, 96.0, 128.0, 192.0)
#: What needs no name; and where there is nothing, whose lines are too fine for a stroke.
_UNTOLD = frozenset({Role.TEXT, Role.DIMENSION, Role.HATCH})
_KEYS_A_ROW, _STROKE_MM = 8, 9.0
_SAFETY = "Goggles, mask, guards; local codes come before this drawing."


class Shown(msgspec.Struct, frozen=True):
    drawing: Drawing
    path: str
    digest: str
    says: str = ""


class Head(msgspec.Struct, frozen=True):
    """What the title block of every page of a file says. ``about``: ``Board B01``."""

    layout: str
    author: str
    revision: str
    about: str


class _Placed(msgspec.Struct, frozen=True):
    shown: Shown
    left: float
    top: float
    scale: float


def pages(
    head: Head, alone: Sequence[Shown], sharing: Sequence[Shown], show: DisplaySettings
) -> tuple[Drawing, ...]:
    """Pages in millimetres of paper: one for each of ``alone``, then those that the others share."""
    laid = [_alone(s, show) for s in alone]
    laid += list(_sharing(sharing, show))
    return tuple(_page(head, box, placed, (n, len(laid)), show) for n, (box, placed) in enumerate(laid, 1))


def scale_words(scale: float) -> str:
    return f"1:{scale:g}"


def _room(paper: Box) -> Box:
    """What a title block leaves of a page."""
    return Box(
        MARGIN_MM + _AIR_MM,
        MARGIN_MM + BLOCK_MM + KEY_MM + _AIR_MM,
        paper.right - MARGIN_MM - _AIR_MM,
        paper.top - MARGIN_MM - _AIR_MM,
    )


def _papers(show: DisplaySettings) -> tuple[Box, Box]:
    """The paper on its side and upright."""
    short, long = SIZES_MM[show.paper]
    return Box(0.0, 0.0, long, short), Box(0.0, 0.0, short, long)


def _scale(frame: Box, room: Box, show: DisplaySettings) -> float:
    """The largest scale at which the frame fits the room."""
    least = max(frame.width / room.width, frame.height / room.height) - 1e-9
    steps = _INCH_SCALES if show.units == "in" else _SCALES
    return next((s for s in steps if s >= least), math.ceil(least / 100) * 100.0)


def _alone(shown: Shown, show: DisplaySettings) -> tuple[Box, tuple[_Placed, ...]]:
    frame = shown.drawing.frame
    scale, paper = min(((_scale(frame, _room(p), show), p) for p in _papers(show)), key=lambda c: c[0])
    room = _room(paper)
    left = room.centre[0] - frame.width / scale / 2
    top = room.centre[1] + frame.height / scale / 2
    return paper, (_Placed(shown, left, top, scale),)


def _sharing(all_shown: Sequence[Shown], show: DisplaySettings) -> Iterator[tuple[Box, tuple[_Placed, ...]]]:
    """Rows from the top, each filled from the left."""
    paper = _papers(show)[0]
    room = _room(paper)
    placed: list[_Placed] = []
    x, y, low = room.left, room.top, room.top
    for shown in all_shown:
        frame = shown.drawing.frame
        scale = max(_scale(frame, room, show), _readable(shown.drawing, show))
        wide, high = frame.width / scale, frame.height / scale + _caption_mm(shown, scale)
        if high > room.height:  # as large as the page, and no room for a caption
            scale = _scale(frame.grown(_caption_mm(shown, scale) * scale), room, show)
            wide, high = frame.width / scale, frame.height / scale + _caption_mm(shown, scale)
        wide = max(wide, _LEAST_WIDE_MM)
        if x > room.left and x + wide > room.right:
            x, y = room.left, low
        if y - high < room.bottom - 1e-9 and placed:
            yield paper, tuple(placed)
            placed, x, y, low = [], room.left, room.top, room.top
        placed.append(_Placed(shown, x, y, scale))
        x += wide + _AIR_MM
        low = min(low, y - high - _AIR_MM)
    if placed:
        yield paper, tuple(placed)


def _readable(drawing: Drawing, show: DisplaySettings) -> float:
    """The smallest scale at which the usual text of a drawing can be read."""
    usual = max((i.height_mm for i in drawing.items if isinstance(i, Text)), default=READABLE_MM) / 1.2
    steps = _INCH_SCALES if show.units == "in" else _SCALES
    return max((s for s in steps if usual / s >= READABLE_MM), default=1.0)


def _page(
    head: Head, paper: Box, placed: Sequence[_Placed], number: tuple[int, int], show: DisplaySettings
) -> Drawing:
    items: list[Item] = []
    for p in placed:
        items.extend(_on_paper(p))
        if len(placed) > 1 or p.shown.says:
            items.extend(_captions(p))
    items.extend(_key({item.role for item in items}, paper))
    items.extend(_block(head, paper, placed, number, show))
    first = placed[0].shown.drawing.title
    last = placed[-1].shown.drawing.title
    return Drawing(title=first if len(placed) == 1 else f"{first} … {last}", frame=paper, items=tuple(items))


def _on_paper(placed: _Placed) -> Iterator[Item]:
    drawing, share = placed.shown.drawing, 1 / placed.scale
    dx, dy = placed.left - drawing.frame.left * share, placed.top - drawing.frame.top * share
    for item in drawing.items:
        match item:
            case Polyline():
                points = item.points
                kept = thinned(points, 0.02 * placed.scale) if len(points) > 4 else points
                moved = tuple((x * share + dx, y * share + dy) for x, y in kept)
                yield Polyline(role=item.role, points=moved, closed=item.closed)
            case Text():
                yield msgspec.structs.replace(
                    item,
                    x_mm=item.x_mm * share + dx,
                    y_mm=item.y_mm * share + dy,
                    height_mm=item.height_mm * share,
                )
            case _:
                yield msgspec.structs.replace(
                    item,
                    x_mm=item.x_mm * share + dx,
                    y_mm=item.y_mm * share + dy,
                    radius_mm=item.radius_mm * share,
                )


def _captions(p: _Placed) -> Iterator[Text]:
    """Scale, file and digest under a drawing; below them what else is to be said."""
    y = p.top - p.shown.drawing.frame.height / p.scale - 2.6
    room = max(p.shown.drawing.frame.width / p.scale, _LEAST_WIDE_MM)
    yield _fitted(f"{scale_words(p.scale)}   {p.shown.path} {p.shown.digest[:16]}", p.left, y, 1.8, room)
    for n, line in enumerate(_lines(p), 1):
        yield _fitted(line, p.left, y - 3.0 * n, 1.8, room)


def _caption_mm(shown: Shown, scale: float) -> float:
    return _CAPTION_MM + 3.0 * len(_lines(_Placed(shown, 0.0, 0.0, scale)))


def _lines(p: _Placed) -> list[str]:
    """What else is to be said, broken to the width of the drawing."""
    room = max(p.shown.drawing.frame.width / p.scale, _LEAST_WIDE_MM)
    return wrap(p.shown.says, int(room / 1.6), break_on_hyphens=False)


def _block(
    head: Head, paper: Box, placed: Sequence[_Placed], number: tuple[int, int], show: DisplaySettings
) -> Iterator[Item]:
    """Frame and title block."""
    edge = Box(MARGIN_MM, MARGIN_MM, paper.right - MARGIN_MM, paper.top - MARGIN_MM)
    top = edge.bottom + BLOCK_MM
    two, three = (edge.left + share * edge.width for share in (0.38, 0.68))
    yield Polyline(role=Role.OUTLINE, points=_corners(edge), closed=True)
    yield Polyline(role=Role.OUTLINE, points=((edge.left, top), (edge.right, top)))
    for x in (two, three):
        yield Polyline(role=Role.DIMENSION, points=((x, edge.bottom), (x, top)))
    bar = _bar_mm(show)
    one = len(placed) == 1
    scale = placed[0].scale
    title = placed[0].shown.drawing.title if one else head.about
    room = two - edge.left - 3.0
    for text, y, h in (
        (head.layout, 4.9, 3.2),
        (title, 9.2, 2.5),
        (f"Author: {head.author}" if head.author else "", 12.7, 1.8),
        (f"Work to the written sizes; the bar must measure {show.length(bar)}.", 15.6, 1.6),
        (_SAFETY, 17.9, 1.6),
    ):
        if text:
            yield _fitted(text, edge.left + 1.5, top - y, h, room)
    room = three - two - 3.0
    scales = f"Scale {scale_words(scale)} on {show.paper}" if one else f"Scales as written, on {show.paper}"
    yield _fitted(scales, two + 1.5, top - 4.4, 2.5, room)
    yield _fitted(show.sizes, two + 1.5, top - 8.2, 1.8, room)
    says = show.length(bar * scale) if one else f"{show.length(bar)} of paper"
    yield from _bar(two + 1.5, top - 13.6, bar, says, room)
    room = edge.right - three - 3.0
    revision = f"Revision {head.revision}" if head.revision else "No revision given"
    yield _fitted(f"{revision}.   Page {number[0]} of {number[1]}", three + 1.5, top - 4.4, 2.5, room)
    if one:
        lines = [placed[0].shown.path, f"SHA-256 {placed[0].shown.digest[:16]}"]
    else:
        lines = ["Under each drawing its file", "and the file's SHA-256"]
    for n, text in enumerate((*lines, "in full in SHA256SUMS")):
        yield _fitted(text, three + 1.5, top - 8.4 - 3.6 * n, 1.8, room)


def _key(roles: Set[Role], paper: Box) -> Iterator[Item]:
    """Above the title block; narrower where there are many."""
    named = [role for role in Role if role in roles and role not in _UNTOLD]
    y = MARGIN_MM + BLOCK_MM + 1.5
    wide = (paper.width - 2 * MARGIN_MM - 3.0) / max(len(named), _KEYS_A_ROW)
    for n, role in enumerate(named):
        x = MARGIN_MM + 1.5 + n * wide
        yield Polyline(role=role, points=((x, y + 0.9), (x + _STROKE_MM, y + 0.9)))
        yield _fitted(role.value, x + _STROKE_MM + 1.0, y, 1.8, wide - _STROKE_MM - 2.0)


def _bar_mm(show: DisplaySettings) -> float:
    """How long the bar is on paper; where all is in inches, for a ruler in inches."""
    return BAR_IN_INCHES_MM if show.units == "in" else BAR_MM


def _bar(left: float, y: float, bar_mm: float, says: str, room: float) -> Iterator[Item]:
    """A bar in parts of 10 mm, or in quarters of an inch."""
    parts = 8 if bar_mm == BAR_IN_INCHES_MM else 5
    yield Polyline(role=Role.DIMENSION, points=((left, y), (left + bar_mm, y)))
    for n in range(parts + 1):
        x = left + n * bar_mm / parts
        yield Polyline(role=Role.DIMENSION, points=((x, y), (x, y + (1.6 if n % parts == 0 else 1.0))))
    yield _fitted(f"0 to {says}", left, y - 3.0, 1.8, room)


def _fitted(text: str, x: float, y: float, height: float, room: float) -> Text:
    shown, fits = fitted_text(text, height, room)
    return Text(role=Role.TEXT, x_mm=x, y_mm=y, height_mm=fits, text=shown, align=Align.LEFT)


def _corners(box: Box) -> tuple[tuple[float, float], ...]:
    return ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top))
