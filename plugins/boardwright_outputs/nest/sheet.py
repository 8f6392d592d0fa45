"""One cut sheet of bare rectangles: plain enough to draw hundreds in a second.

Every label stands in its own rectangle, so no room has to be looked for. Cut numbers stand where the saw
enters, beside its line and in the piece that is kept; those of the trims beside the sheet.
"""

from __future__ import annotations

from boardwright_timber.model import Cut, CutSheet

from ..drawings.drawing import Align, Box, Drawing, Item, Polyline, Role, Text
from ..drawings.views.sheet import saw_line, slanted_words, squared_words


def plain_sheet(sheet: CutSheet, names: dict[str, str], note: str) -> Drawing:
    """``names`` gives the word to write into each part; ``note`` stands above the title."""
    length, width = sheet.length_mm, sheet.width_mm
    h = max(length, width) / 100
    items: list[Item] = [_box(Role.SHEET_EDGE, 0.0, 0.0, length, width)]
    if sheet.trim_mm > 0:
        t = sheet.trim_mm
        low = 0.0 if sheet.bar else t
        items.append(_box(Role.OUTLINE, t, low, length - 2 * t, width - 2 * low))
    for common in dict.fromkeys(p.shares for p in sheet.parts if p.shares):
        items.append(_box(Role.OUTLINE, *common))
    for p in sheet.parts:
        items.append(
            _box(Role.MARK if p.shares else Role.THROUGH_CUT, p.x_mm, p.y_mm, p.length_mm, p.width_mm)
        )
        items.append(_label(names[p.part], p.x_mm, p.y_mm, p.length_mm, p.width_mm, h))
    for cut in sheet.cuts:
        items.append(Polyline(role=Role.SAW_CUT, points=saw_line(cut, sheet)))
        items.append(_number(cut, sheet, h))
    if sheet.outline:
        items.append(Polyline(role=Role.OUTLINE, points=sheet.outline, closed=True))
    items += [Polyline(role=Role.OUTLINE, points=ring, closed=True) for ring in sheet.keep_out]
    lines = (
        *slanted_words(sheet),
        *squared_words(sheet),
        "Numbers: saw cuts in order. Saw lines run in the middle of the kerf.",
        f"Saw kerf {sheet.kerf_mm:g} mm. Edge trim {sheet.trim_mm:g} mm. Sizes in mm, full size.",
        f"{sheet.called} {sheet.id}: {sheet.stock}",
        *([note] if note else []),
    )
    for n, line in enumerate(lines):
        items.append(_text(Role.TEXT, line, 0.0, width + (1.5 + 2 * n) * h, h, Align.LEFT))
    return Drawing(
        title=f"{sheet.called} {sheet.id}: {sheet.material} {sheet.thickness_mm:g} mm",
        frame=Box(-2 * h if sheet.trim_mm > 0 else 0.0, 0.0, length, width + (3 + 2 * len(lines)) * h),
        items=tuple(items),
    )


def _number(cut: Cut, sheet: CutSheet, h: float) -> Text:
    """No higher than the piece it stands in lets it, so that no two lie on each other."""
    (x0, y0), (_, y1) = saw_line(cut, sheet)
    if cut.says.startswith("Trim"):
        high = 0.8 * h
        if cut.along == "length":
            return _text(Role.SAW_CUT, str(cut.step), -0.4 * h, y0 - high / 2, high, Align.RIGHT)
        return _text(Role.SAW_CUT, str(cut.step), x0, max(y1, sheet.width_mm) + 0.3 * h, high, Align.CENTRE)
    high = min(0.5 * h, 0.4 * cut.setting_mm)
    if cut.along == "length":
        return _text(Role.SAW_CUT, str(cut.step), x0 + 0.2 * h, y0 - 1.3 * high, high, Align.LEFT)
    return _text(Role.SAW_CUT, str(cut.step), x0 - 0.2 * h, y0 + 0.3 * high, high, Align.RIGHT)


def _box(role: Role, x: float, y: float, length: float, width: float) -> Polyline:
    right, top = round(x + length, 6), round(y + width, 6)
    return Polyline(role=role, points=((x, y), (right, y), (right, top), (x, top)), closed=True)


def _label(text: str, x: float, y: float, length: float, width: float, h: float) -> Text:
    """In the middle, along the longer side, as high as the rectangle lets it."""
    upright = width > length
    along, across = (width, length) if upright else (length, width)
    high = round(min(h, 0.5 * across, 1.2 * along / max(len(text), 1)), 6)
    shift = high / 2
    at = (x + length / 2 + shift, y + width / 2) if upright else (x + length / 2, y + width / 2 - shift)
    return _text(Role.TEXT, text, *at, high, Align.CENTRE, 90.0 if upright else 0.0)


def _text(
    role: Role, text: str, x: float, y: float, high: float, align: Align, angle_deg: float = 0.0
) -> Text:
    return Text(
        role=role,
        x_mm=round(x, 6),
        y_mm=round(y, 6),
        height_mm=round(high, 6),
        text=text,
        align=align,
        angle_deg=angle_deg,
    )
