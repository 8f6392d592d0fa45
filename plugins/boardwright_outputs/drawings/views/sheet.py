"""One cut sheet: the sheet as bought, every part's real profile where it lies, and the saw cuts in order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from boardwright import NO_MEMO, Memo
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import Point
from boardwright_timber.model import BoardParts, Cut, CutSheet, CuttingPlan, Face, Part

from .. import placing
from ..dimension import Way, overall
from ..drawing import Align, Box, Drawing, Role, Text, no_wider
from ..pen import Pen
from .part import text_size
from .profile import draw_profile
from .routed import draw_paths, number_paths, router_words

SMALL_PART = 4.0  # a part shorter than so many letters are high may be written on smaller
LARGE, TINY = (0.8, 0.5), (0.3, 0.2)  # of a cut's number, as shares of the usual text
ALONG = (0.5, 0.3, 0.7, 0.15, 0.85, 0.05, 0.95)  # where along a cut its number is tried
STEPS_OFF = 8  # so far from its cut a number is still found
NAMED = 12  # so many cuts without a number are named


def parts_by_id(boards: Mapping[str, BoardParts]) -> dict[str, Part]:
    return {part.id: part for board in boards.values() for part in board.cut}


def sheet_drawings(
    cutting: CuttingPlan,
    boards: Mapping[str, BoardParts],
    warning: str = "",
    show: DisplaySettings = IN_MM,
    memo: Memo = NO_MEMO,
) -> dict[str, Drawing]:
    parts = parts_by_id(boards)
    return {
        sheet.id: memo.of(sheet_drawing, sheet, {p.part: parts[p.part] for p in sheet.parts}, warning, show)
        for sheet in cutting.sheets
    }


def sheet_drawing(
    sheet: CutSheet, parts: Mapping[str, Part], warning: str = "", show: DisplaySettings = IN_MM
) -> Drawing:
    """One sheet. ``warning`` is written above its title.

    The sheet's datum corner is at (0, 0), its length along x. Saw lines run in the middle of the kerf.
    """
    pen = Pen(text_size(sheet.length_mm), show)
    h = pen.text_mm
    pen.ring(Role.SHEET_EDGE, _rectangle(Box(0.0, 0.0, sheet.length_mm, sheet.width_mm)))
    if sheet.trim_mm > 0:
        low = 0.0 if sheet.bar else sheet.trim_mm
        inside = Box(sheet.trim_mm, low, sheet.length_mm - sheet.trim_mm, sheet.width_mm - low)
        pen.ring(Role.OUTLINE, _rectangle(inside))
    routing = sheet.routing
    milled = frozenset(s.at for s in routing.steps if s.kind == "helix") if routing else frozenset()
    for placed in sheet.parts:
        part = parts[placed.part]
        seen = from_the_back(part) if placed.rolled else part
        draw_profile(pen, seen, placing.on_sheet(part, placed), marks=False, milled=milled)
    if routing:
        draw_paths(pen, routing)
    pen.ring(Role.OUTLINE, sheet.outline)
    for ring in sheet.keep_out:
        pen.ring(Role.OUTLINE, ring)
        pen.label_beside("keep out", placing.middle(ring), height_mm=0.6 * h)
    for cut in sheet.cuts:
        pen.line(Role.SAW_CUT, *saw_line(cut, sheet))
    overall(pen, Way.LYING, 0.0, sheet.length_mm, 0.0, -4.0 * h)
    overall(pen, Way.UPRIGHT, 0.0, sheet.width_mm, 0.0, 4.0 * h)
    for placed in sheet.parts:
        part = parts[placed.part]
        place = placing.on_sheet(part, placed)
        small = max(part.length_mm, part.width_mm) < SMALL_PART * h
        pen.label_inside(
            part.id,
            placing.moved(part.ring, place),
            wells=[placing.moved(w, place) for w in part.openings],
            smallest=0.25 if small else 0.5,
            in_any_size=small,
        )
    unnumbered = [str(cut.step) for cut in sheet.cuts if not _numbered(pen, cut, sheet)]
    if routing:
        number_paths(pen, routing)
    top = pen.extent.top + 1.5 * h
    for line in (
        *_without_room(unnumbered),
        *(router_words(routing, sheet.trim_mm, show) if routing else _saw_words(sheet, show)),
        *slanted_words(sheet),
        *squared_words(sheet, show),
        f"{sheet.called} {sheet.id}: {sheet.stock}"
        + (f". Cut {sheet.times} like this." if sheet.times > 1 else ""),
        *([warning] if warning else []),
    ):
        for piece in reversed(no_wider(line, sheet.length_mm + 4.0 * h, h)):
            pen.write(piece, (0.0, top))
            top += 1.7 * h
    return pen.drawing(f"{sheet.called} {sheet.id}: {sheet.material} {show.length(sheet.thickness_mm)}")


def from_the_back(part: Part) -> Part:
    """A part that lies with its drawn face below: its holes as they are seen."""
    other = {Face.OUTER: Face.INNER, Face.INNER: Face.OUTER}
    return replace(part, holes=tuple(replace(h, face=other[h.face]) for h in part.holes))


def squared_words(sheet: CutSheet, show: DisplaySettings = IN_MM) -> tuple[str, ...]:
    """How an offcut that is no rectangle is begun; nothing for a whole sheet."""
    if sheet.squared is None:
        return ()
    size = f"{show.length(sheet.length_mm)} × {show.length(sheet.width_mm)}"
    at = f"{show.length(sheet.squared[0])}, {show.length(sheet.squared[1])}"
    return (f"First saw the offcut square: {size}, its lower left corner at {at} of the offcut.",)


def slanted_words(sheet: CutSheet) -> tuple[str, ...]:
    """How cuts with a tilted blade are drawn; nothing where there is none."""
    if all(cut.slant != "bevel" for cut in sheet.cuts):
        return ()
    return ("Tilted cuts: drawn where they meet the upper face; pieces from long point to long point.",)


def _saw_words(sheet: CutSheet, show: DisplaySettings) -> tuple[str, ...]:
    return (
        "Numbers: saw cuts in order. Saw lines run in the middle of the kerf.",
        f"Saw kerf {show.length(sheet.kerf_mm)}. Edge trim {show.length(sheet.trim_mm)}. {show.sizes}.",
    )


def saw_line(cut: Cut, sheet: CutSheet) -> tuple[Point, Point]:
    """The saw's path on the sheet, in the middle of the kerf (a cut's ``at_mm`` is the near side of it)."""
    middle = cut.at_mm + sheet.kerf_along_mm(cut) / 2
    if cut.along == "length":
        return (cut.from_mm, middle), (cut.to_mm, middle)
    lean = cut.lean_mm if cut.slant == "mitre" else 0.0
    return (middle, cut.from_mm), (middle + lean, cut.to_mm)


def _rectangle(box: Box) -> tuple[Point, ...]:
    return (
        (box.left, box.bottom),
        (box.right, box.bottom),
        (box.right, box.top),
        (box.left, box.top),
    )


def _numbered(pen: Pen, cut: Cut, sheet: CutSheet) -> bool:
    """Number a cut off the sheet where it reaches an edge, else beside its line, else not at all."""
    text, small = str(cut.step), 0.6 * pen.text_mm
    places = [*_off_the_edge(pen, cut, sheet, text), *_along(pen, cut, sheet, text, LARGE)]
    if pen.label_at(places, soft_too=False):
        return True
    along = _points(cut, sheet)  # a leader may begin where no text lies over the cut
    begins = next((p for p in along if pen.room.clear_of_text(p)), along[0])
    return pen.written_beside(text, begins, 0.0, small, Role.SAW_CUT, rings=STEPS_OFF) or pen.label_at(
        _along(pen, cut, sheet, text, TINY), soft_too=False
    )


def _without_room(steps: list[str]) -> tuple[str, ...]:
    """Where to look for cuts that no number tells of; nothing when all are numbered."""
    if not steps:
        return ()
    named = steps if len(steps) <= NAMED else [*steps[: NAMED - 1], f"{len(steps) - NAMED + 1} more"]
    which = f"s of cuts {', '.join(named[:-1])} and {named[-1]}" if named[1:] else f" of cut {named[0]}"
    return (f"No room here for the number{which}: see the list of cuts in the build book or the workbook.",)


def _off_the_edge(pen: Pen, cut: Cut, sheet: CutSheet, text: str) -> Iterator[Text]:
    h = 0.8 * pen.text_mm
    (x0, y0), (x1, y1) = saw_line(cut, sheet)
    if cut.along == "length":
        if x1 >= sheet.length_mm - sheet.trim_mm - 1:
            yield _text(text, sheet.length_mm + h, y1 - h / 2, h, Align.LEFT)
        if x0 <= sheet.trim_mm + 1:
            yield _text(text, -h, y0 - h / 2, h, Align.RIGHT)
    else:
        if y1 >= sheet.width_mm - sheet.trim_mm - 1:
            yield _text(text, x1, sheet.width_mm + h, h, Align.CENTRE)
        if y0 <= sheet.trim_mm + 1:
            yield _text(text, x0, -2 * h, h, Align.CENTRE)


def _points(cut: Cut, sheet: CutSheet) -> tuple[Point, ...]:
    (x0, y0), (x1, y1) = saw_line(cut, sheet)
    return tuple((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share) for share in ALONG)


def _along(pen: Pen, cut: Cut, sheet: CutSheet, text: str, sizes: tuple[float, ...]) -> Iterator[Text]:
    for h in (size * pen.text_mm for size in sizes):
        for x, y in _points(cut, sheet):
            if cut.along == "length":
                yield _text(text, x, y + 0.6 * h, h, Align.CENTRE)
                yield _text(text, x, y - 1.6 * h, h, Align.CENTRE)
            else:
                yield _text(text, x + 0.5 * h, y - h / 2, h, Align.LEFT)
                yield _text(text, x - 0.5 * h, y - h / 2, h, Align.RIGHT)


def _text(text: str, x: float, y: float, h: float, align: Align) -> Text:
    return Text(role=Role.SAW_CUT, x_mm=x, y_mm=y, height_mm=h, text=text, align=align)
