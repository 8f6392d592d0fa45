"""Pictures on a worksheet as the format's own shapes: outlines with words, no image and no library.

They stand below the table, one under the other, each as large as ``WIDE_PT`` and ``HIGH_PT`` allow. Positions
are whole units of a 12700th of a point, as the format wants. What this does not know: what the shapes mean.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from boardwright.plan.model import Point

from .inert import escaped, quoted, visible
from .sheet import Picture

EMU_PT = 12700
WIDE_PT, HIGH_PT = 620.0, 430.0  # so that one fits a page of A4 on its side
#: Rows are this high at least in the programs there are; a picture is given room by it.
ROW_PT = 12.75
HEAD_PT = 18.0
TYPE = "application/vnd.openxmlformats-officedocument.drawing+xml"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_XDR = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_A = "http://schemas.openxmlformats.org/drawingml/2006/main"
#: What a worksheet holds to show its drawing, and the file that says which one that is.
SHOWN = f'<drawing xmlns:r="{_OFFICE}" r:id="rId1"/>'


def relation(number: int) -> str:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="{RELATIONS}"><Relationship Id="rId1" '
        f'Type="{_OFFICE}/drawing" Target="/xl/drawings/drawing{number}.xml"/></Relationships>'
    )


def rows_taken(picture: Picture) -> int:
    """Rows of the worksheet that a picture and the gap below it take."""
    return math.ceil((_points_per_mm(picture) * picture.height_mm + HEAD_PT) / ROW_PT) + 2


def drawing_xml(pictures: Sequence[Picture], first_row: int) -> str:
    """The drawing; its first picture starts in ``first_row``, counted from 1."""
    body, row = [], first_row - 1
    for number, picture in enumerate(pictures, 1):
        body.append(_anchored(picture, row, 1000 * number))
        row += rows_taken(picture)
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><xdr:wsDr xmlns:xdr="{_XDR}" xmlns:a="{_A}">'
        f"{''.join(body)}</xdr:wsDr>"
    )


def _points_per_mm(picture: Picture) -> float:
    return min(WIDE_PT / picture.width_mm, HIGH_PT / picture.height_mm)


def _anchored(picture: Picture, row: int, id_: int) -> str:
    wide = round(WIDE_PT * EMU_PT)
    high = round((_points_per_mm(picture) * picture.height_mm + HEAD_PT) * EMU_PT)
    place = f'<a:off x="0" y="0"/><a:ext cx="{wide}" cy="{high}"/>'
    child = f'<a:chOff x="0" y="0"/><a:chExt cx="{wide}" cy="{high}"/>'
    return (
        f"<xdr:oneCellAnchor><xdr:from><xdr:col>0</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>{row}</xdr:row>"
        f'<xdr:rowOff>0</xdr:rowOff></xdr:from><xdr:ext cx="{wide}" cy="{high}"/><xdr:grpSp><xdr:nvGrpSpPr>'
        f'<xdr:cNvPr id="{id_}" name={_quoted(picture.title)} descr={_quoted(picture.says)}/>'
        f"<xdr:cNvGrpSpPr/></xdr:nvGrpSpPr><xdr:grpSpPr><a:xfrm>{place}{child}</a:xfrm></xdr:grpSpPr>"
        f"{''.join(_shapes(picture, id_))}</xdr:grpSp><xdr:clientData/></xdr:oneCellAnchor>"
    )


def _shapes(picture: Picture, id_: int) -> Iterator[str]:
    scale = _points_per_mm(picture) * EMU_PT
    top = HEAD_PT * EMU_PT
    yield _shape(id_ + 1, (0, 0, WIDE_PT * EMU_PT, top), picture.title, None, 1100)
    whole = (0.0, top, picture.width_mm * scale, picture.height_mm * scale)
    if picture.edged:
        yield _shape(id_ + 2, whole, "", "FFFFFF", 700)
    shapes = picture.shapes or ((),) * len(picture.boxes)
    for n, ((x, y, wide, high, says), rings) in enumerate(zip(picture.boxes, shapes, strict=True), 3):
        down = top + (picture.height_mm - y - high) * scale  # the sheet's datum is its lower left corner
        runs = [[((px - x) * scale, (y + high - py) * scale) for px, py in ring] for ring in rings]
        yield _shape(id_ + n, (x * scale, down, wide * scale, high * scale), says, "F6EAD2", 900, runs)
    if picture.lines:
        runs = [[(x * scale, (picture.height_mm - y) * scale) for x, y in line] for line in picture.lines]
        yield _shape(id_ + 3 + len(picture.boxes), whole, "", None, 700, runs)


def _geometry(wide: int, high: int, runs: Sequence[Sequence[Point]], closed: bool) -> str:
    """The outline of a shape in its box: straight from corner to corner, or the box itself."""
    if not runs:
        return '<a:prstGeom prst="rect"><a:avLst/></a:prstGeom>'
    steps = []
    for run in runs:
        first, *rest = (f'<a:pt x="{round(x)}" y="{round(y)}"/>' for x, y in run)
        lines = "".join(f"<a:lnTo>{p}</a:lnTo>" for p in rest)
        steps.append(f"<a:moveTo>{first}</a:moveTo>{lines}{'<a:close/>' if closed else ''}")
    only_line = "" if closed else ' fill="none"'
    return (
        '<a:custGeom><a:avLst/><a:gdLst/><a:ahLst/><a:cxnLst/><a:rect l="0" t="0" r="r" b="b"/><a:pathLst>'
        f'<a:path w="{wide}" h="{high}"{only_line}>{"".join(steps)}</a:path></a:pathLst></a:custGeom>'
    )


def _shape(
    id_: int,
    box: tuple[float, float, float, float],
    says: str,
    fill: str | None,
    size: int,
    runs: Sequence[Sequence[Point]] = (),
) -> str:
    x, y, wide, high = (round(n) for n in box)
    filled = f'<a:solidFill><a:srgbClr val="{fill}"/></a:solidFill>' if fill else "<a:noFill/>"
    stroke = '<a:solidFill><a:srgbClr val="222222"/></a:solidFill>'
    look = filled + (f'<a:ln w="6350">{stroke}</a:ln>' if fill or runs else "<a:ln><a:noFill/></a:ln>")
    turned = ' vert="vert270"' if high > 2 * wide else ""
    align = "ctr" if fill else "l"
    return (
        f'<xdr:sp macro="" textlink=""><xdr:nvSpPr><xdr:cNvPr id="{id_}" name={_quoted(says or "sheet")}/>'
        f'<xdr:cNvSpPr/></xdr:nvSpPr><xdr:spPr><a:xfrm><a:off x="{x}" y="{y}"/><a:ext cx="{wide}" '
        f'cy="{high}"/></a:xfrm>{_geometry(wide, high, runs, closed=bool(fill))}{look}</xdr:spPr><xdr:txBody>'
        f'<a:bodyPr{turned} wrap="none" lIns="0" tIns="0" rIns="0" bIns="0" anchor="ctr"/><a:lstStyle/>'
        f'<a:p><a:pPr algn="{align}"/><a:r><a:rPr lang="en" sz="{size}"><a:solidFill>'
        f'<a:srgbClr val="222222"/></a:solidFill><a:latin typeface="Arial"/></a:rPr>'
        f"<a:t>{escaped(visible(says))}</a:t></a:r></a:p>"
        "</xdr:txBody></xdr:sp>"
    )


def _quoted(text: str) -> str:
    return quoted(" ".join(visible(text).split()))
