"""Cut sheets: what lies on them, where, how often; and their drawings.

Claim: every part is cut as often as the copies of the layout need it, lies inside the trim, a kerf from
every other, along its grain, on stock of its material and thickness; every sheet's drawing shows just that.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterator
from itertools import combinations
from typing import Any

import msgspec
from shapely import Polygon, box
from shapely.affinity import affine_transform

from ..drawings import names
from . import bars, shapes
from .opened import Opened, many
from .profiles import AREA_MM2, CUT, SIZE_MM, is_named, is_slot, layer_of, opened_circle, slot_shape
from .record import Hole, Part, Placed, Point, Sheet

NEAR_MM = 1e-5


def check_placing(opened: Opened) -> Iterator[str]:
    cutting = opened.pack.cutting
    cut: Counter[str] = Counter()
    for sheet in cutting.sheets:
        _stock(opened, sheet)
        for placed in sheet.parts:
            cut[placed.part] += sheet.times
        _lying(opened, sheet)
    tools = {p.id for board in opened.pack.boards for p in board.tools}
    for id_ in sorted(opened.parts.keys() | cut.keys()):
        wanted = cutting.copies if id_ in opened.parts else 0
        wanted += cutting.spare.count(id_)
        if id_ in cutting.made:
            wanted = 0
        if id_ in tools:
            wanted = 1  # one set of jigs drills every copy
        if cut[id_] != wanted:
            left = any(u.part == id_ for u in cutting.unplaced)
            opened.fault(
                "BW-VERIFY-050",
                f"part {id_} is cut {cut[id_]} times and needed {wanted} times"
                + (": it fits on no sheet" if left else ""),
                item=id_,
                why=opened.own_fault(id_, "CUT") if left else "",
            )
    if int(opened.pack.settings.get("series", {}).get("copies", cutting.copies)) != cutting.copies:
        opened.fault(
            "BW-VERIFY-050",
            f"the sheets are for {cutting.copies} copies, the project file asks for another number",
        )
    sheets = sum(s.times for s in cutting.sheets)
    each = opened.parts.keys() - tools - set(cutting.made)
    besides = (
        (len(tools & cut.keys()), "drill jig", "once"),
        (len(cutting.spare), "spare end", "besides"),
        (len(cutting.made), "part", "made already"),
    )
    yield (
        f"{many(len(each), 'part')} cut {many(cutting.copies, 'time')} each, "
        + "".join(f"{many(n, what)} {how}, " for n, what, how in besides if n)
        + "from "
        f"{many(sheets, 'sheet')}, inside the trim, a kerf apart"
        + (", along the grain." if _grained(opened) else ".")
    )


def _grained(opened: Opened) -> bool:
    """Whether the project file keeps the grain along the sheet."""
    return bool(opened.pack.settings.get("cutting", {}).get("grain", True))


def _stock(opened: Opened, sheet: Sheet) -> None:
    settings = opened.pack.settings
    known = {s["name"]: s for s in settings.get("stock", {}).get("sheets", [])}
    stock = known.get(sheet.stock)
    if stock is None:
        opened.fault(
            "BW-VERIFY-055",
            f"sheet {sheet.id} is of the stock {sheet.stock!r}, which is not listed",
            item=sheet.id,
        )
    else:
        if stock.get("shape") or stock.get("keep_out"):
            _on_the_offcut(opened, sheet, stock)
        told_size = (sheet.length_mm, sheet.width_mm)
        size = (stock["length_mm"], stock["width_mm"]) if sheet.squared else told_size
        told = (*size, sheet.thickness_mm, sheet.material)
        thick = stock.get("actual_mm") or stock["thickness_mm"]
        listed = (stock["length_mm"], stock["width_mm"], thick, stock["material"])
        if told != listed:
            opened.fault(
                "BW-VERIFY-055",
                f"sheet {sheet.id} is told to be {_words(told)}, its stock {sheet.stock!r} is "
                f"{_words(listed)}",
                item=sheet.id,
            )
    section, kerf, trim = ("router", "tool", "edge") if sheet.routing else ("cutting", "kerf", "trim")
    for what, value in ((kerf, sheet.kerf_mm), (trim, sheet.trim_mm)):
        asked = settings.get(section, {}).get(f"{what}_mm", value)
        if asked != value:
            opened.fault(
                "BW-VERIFY-056",
                f"sheet {sheet.id} is laid out for a {what} of {value:g} mm, the project file has "
                f"{asked:g} mm",
                item=sheet.id,
            )
    area = sheet.length_mm * sheet.width_mm
    used = math.fsum(p.length_mm * p.width_mm for p in sheet.parts) / area
    if sheet.used_fraction > used + 1e-5:
        opened.fault(
            "BW-VERIFY-056",
            f"sheet {sheet.id} is told to be used to {sheet.used_fraction:.1%}, its blanks fill {used:.1%}",
            item=sheet.id,
        )


def _on_the_offcut(opened: Opened, sheet: Sheet, stock: dict[str, Any]) -> None:
    """Everything cut lies within the offcut as it is, and off the places kept out."""
    length, width = stock["length_mm"], stock["width_mm"]
    outline = Polygon(stock.get("shape") or [(0, 0), (length, 0), (length, width), (0, width)])
    x, y = sheet.squared or (0.0, 0.0)
    cut = [box(x, y, x + sheet.length_mm, y + sheet.width_mm)]
    if sheet.routing:
        cut = [outline_on_sheet(opened.parts[p.part], p) for p in sheet.parts if p.part in opened.parts]
    bad = [Polygon(ring) for ring in stock.get("keep_out", [])]
    for shape in cut:
        beyond = not outline.buffer(NEAR_MM).contains(shape)
        if beyond or any(shape.intersection(b).area > NEAR_MM for b in bad):
            opened.fault(
                "BW-VERIFY-051",
                f"sheet {sheet.id} reaches beyond its offcut {sheet.stock!r}, or into a place kept out",
                item=sheet.id,
            )


def _words(stock: tuple[object, ...]) -> str:
    length, width, thick, material = stock
    return f"{length} × {width} mm of {material} {thick} mm"


def _lying(opened: Opened, sheet: Sheet) -> None:
    trim, low = sheet.trim_mm, 0.0 if sheet.bar else sheet.trim_mm
    usable = (trim, low, sheet.length_mm - trim, sheet.width_mm - low)
    grained = _grained(opened)
    blanks: list[tuple[Placed, Polygon]] = []
    for placed in sheet.parts:
        part = opened.parts.get(placed.part)
        if part is None:
            continue  # told with how often it is cut

        def fault(code: str, says: str, placed: Placed = placed) -> None:
            opened.fault(
                code, f"sheet {sheet.id}: part {placed.part} {says}", item=f"{sheet.id}, {placed.part}"
            )

        size = (part.width_mm, part.length_mm) if placed.turned else (part.length_mm, part.width_mm)
        if math.dist(size, (placed.length_mm, placed.width_mm)) > NEAR_MM:
            fault(
                "BW-VERIFY-054",
                f"lies as a blank of {placed.length_mm:.1f} × {placed.width_mm:.1f} mm and is to be "
                f"{size[0]:.1f} × {size[1]:.1f} mm",
            )
        if grained and part.grain == ("length" if placed.turned else "width"):
            fault("BW-VERIFY-053", "lies across its grain")
        if (part.material, part.thickness_mm) != (sheet.material, sheet.thickness_mm):
            fault(
                "BW-VERIFY-054",
                f"is of {part.material} {part.thickness_mm:g} mm, the sheet of {sheet.material} "
                f"{sheet.thickness_mm:g} mm",
            )
        right, top = placed.x_mm + placed.length_mm, placed.y_mm + placed.width_mm
        beyond = max(usable[0] - placed.x_mm, usable[1] - placed.y_mm, right - usable[2], top - usable[3])
        if beyond > NEAR_MM:
            fault("BW-VERIFY-051", f"reaches {beyond:.2f} mm into the edge that is trimmed off")
        x, y, length, width = placed.shares or (
            placed.x_mm,
            placed.y_mm,
            right - placed.x_mm,
            top - placed.y_mm,
        )
        blanks.append((placed, box(x, y, x + length, y + width)))
    if any(cut.slant for cut in sheet.cuts):
        _nose_to_tail(opened, sheet, [placed for placed, _ in blanks])
        return
    gap = sheet.routing.gap_mm if sheet.routing else sheet.kerf_mm
    if sheet.routing:
        blanks = [(p, outline_on_sheet(opened.parts[p.part], p)) for p, _ in blanks]
    jigsaw = float(opened.pack.settings.get("cutting", {}).get("jigsaw_mm", 0.0))
    for (one, a), (two, b) in combinations(blanks, 2):
        if one.shares and one.shares == two.shares:
            _from_one_blank(opened, sheet, one, two, jigsaw)
            continue
        if (apart := a.distance(b)) < gap - NEAR_MM:
            what = "router's gap" if sheet.routing else "saw's kerf"
            opened.fault(
                "BW-VERIFY-052",
                f"sheet {sheet.id}: {one.part} and {two.part} lie {apart:.2f} mm apart, less than the {what} "
                f"of {gap:g} mm",
                item=f"{sheet.id}, {one.part}, {two.part}",
            )


def _from_one_blank(opened: Opened, sheet: Sheet, one: Placed, two: Placed, jigsaw_mm: float) -> None:
    """Two parts in their common blank, by their outlines."""
    assert one.shares
    x, y, length, width = one.shares
    blank = box(x, y, x + length, y + width).buffer(NEAR_MM)
    shapes_ = [outline_on_sheet(opened.parts[p.part], p) for p in (one, two)]
    apart = shapes_[0].distance(shapes_[1])
    if apart < jigsaw_mm - NEAR_MM or not all(blank.contains(s) for s in shapes_):
        opened.fault(
            "BW-VERIFY-052",
            f"sheet {sheet.id}: {one.part} and {two.part} lie {apart:.2f} mm apart in their common blank, or "
            f"reach beyond it; a jigsaw is to have {jigsaw_mm:g} mm",
            item=f"{sheet.id}, {one.part}, {two.part}",
        )


def _nose_to_tail(opened: Opened, sheet: Sheet, pieces: list[Placed]) -> None:
    """Pieces of a bar that share slanted cuts: their blanks reach into each other, they do not."""
    for one, two in combinations(pieces, 2):
        solids = [bars.ends(opened.parts[p.part], p) for p in (one, two)]
        if (apart := bars.apart(*solids)) < sheet.kerf_mm - NEAR_MM:
            opened.fault(
                "BW-VERIFY-052",
                f"bar {sheet.id}: {one.part} and {two.part} lie {apart:.2f} mm apart, less than the saw's "
                f"kerf of {sheet.kerf_mm:g} mm",
                item=f"{sheet.id}, {one.part}, {two.part}",
            )


def check_sheet_drawings(opened: Opened) -> Iterator[str]:
    for sheet in opened.pack.cutting.sheets:
        _drawn_sheet(opened, sheet)
    drawings = many(len(opened.pack.cutting.sheets), "sheet drawing")
    yield f"{drawings} with those parts, holes and cuts, and no other."


def _drawn_sheet(opened: Opened, sheet: Sheet) -> None:
    path = names.sheet_path(sheet.id, sheet.bar)
    drawn = opened.drawing(path, f"sheet {sheet.id}")
    if drawn is None:
        return

    def fault(code: str, says: str, item: str = "") -> None:
        opened.fault(
            code, f"sheet {sheet.id}: {says}", file=path, item=f"{sheet.id}, {item}" if item else sheet.id
        )

    texts = [t.text for t in drawn.texts]
    if not any(t.startswith(f"{sheet.called} {sheet.id}:") for t in texts):
        fault("BW-VERIFY-029", "its drawing does not say its name: it may be another sheet's")
    edges = [_bounds(r.corners) for r in drawn.runs if r.layer == "SHEET_EDGE"]
    if len(edges) != 1 or _far(edges[0], (0.0, 0.0, sheet.length_mm, sheet.width_mm)) > SIZE_MM:
        fault("BW-VERIFY-060", f"its edge is not drawn {sheet.length_mm:g} × {sheet.width_mm:g} mm")
    contours: list[Polygon] = []
    for run in drawn.runs:
        if run.layer != CUT:
            continue
        try:
            if not run.closed:
                raise ValueError("it is open")
            contours.append(shapes.area(shapes.bulged(run)))
        except ValueError as problem:
            fault("BW-VERIFY-020", f"a cut contour on it cannot be followed: {problem}")
    circles = [c for c in drawn.circles if c.layer in ("HOLE", "POCKET", "BACK_HOLE", "MARK", "HELIX")]
    milled = (
        {(s.at, s.diameter_mm) for s in sheet.routing.steps if s.kind == "helix"} if sheet.routing else ()
    )
    for placed in sheet.parts:
        part = opened.parts.get(placed.part)
        if part is None:
            continue
        try:
            wanted = _contours(part)
        except ValueError:
            continue  # told with the part's drawing
        for shape in (_on_sheet(w, part, placed) for w in wanted):
            same = [c for c in contours if _far(c.bounds, shape.bounds) < SIZE_MM]
            off, best = min(
                ((shapes.off(c, shape), c) for c in same),
                key=lambda found: found[0],
                default=(math.inf, None),
            )
            if best is None or off > AREA_MM2:
                fault("BW-VERIFY-060", f"{part.id} is not drawn as it lies", part.id)
            else:
                contours.remove(best)
        for hole in (h for h in part.holes if not is_slot(h)):
            x, y = _point(part, placed, hole.x_mm, hole.y_mm)
            fits = [
                c
                for c in circles
                if math.dist((c.x_mm, c.y_mm), (x, y)) <= SIZE_MM
                and abs(c.diameter_mm - hole.diameter_mm) < 1e-3
                and c.layer == _layer(_seen(hole, placed), (x, y), milled)
            ]
            if fits:
                circles.remove(fits[0])
            else:
                fault(
                    "BW-VERIFY-060",
                    f"a {hole.kind} hole of {part.id} is not drawn at ({x:.1f}, {y:.1f}) mm",
                    part.id,
                )
            if hole.opened_mm and (ring := opened_circle(hole, (x, y), circles)) is not None:
                circles.remove(ring)
        if not is_named(
            part.id,
            texts,
            (*_point(part, placed, 0, 0), *_point(part, placed, part.length_mm, part.width_mm)),
        ):
            fault(
                "BW-VERIFY-029", f"part {part.id} has no label: once cut it could not be told apart", part.id
            )
    if contours or circles:
        fault(
            "BW-VERIFY-060", f"{len(contours)} contours and {len(circles)} holes are drawn that no part has"
        )
    _saw_lines(fault, sheet, [r.corners for r in drawn.runs if r.layer == "SAW_CUT"])


def _saw_lines(fault: object, sheet: Sheet, lines: list[tuple[tuple[float, float, float], ...]]) -> None:
    assert callable(fault)
    left = [_bounds(line) for line in lines]
    for cut in sheet.cuts:
        middle = cut.at_mm + bars.kerf_along(cut, sheet) / 2
        far = middle + (cut.lean_mm if cut.slant == "mitre" else 0.0)
        wanted = (
            (cut.from_mm, middle, cut.to_mm, middle)
            if cut.along == "length"
            else (min(middle, far), cut.from_mm, max(middle, far), cut.to_mm)
        )
        fits = [line for line in left if _far(line, wanted) <= SIZE_MM]
        if fits:
            left.remove(fits[0])
        else:
            fault(
                "BW-VERIFY-061",
                f"cut {cut.step} of the list is not drawn where it is made",
                f"cut {cut.step}",
            )
    if left:
        fault("BW-VERIFY-061", f"{len(left)} saw cuts are drawn that the list does not have")


def _seen(hole: Hole, placed: Placed) -> Hole:
    """The hole of a part that lies with its drawn face below."""
    other = "outer" if hole.face == "inner" else "inner"
    return msgspec.structs.replace(hole, face=other) if placed.rolled else hole


def _layer(hole: Hole, at: Point, milled: Collection[tuple[Point, float]]) -> str:
    helix = any(math.dist(at, m) <= SIZE_MM and abs(d - hole.diameter_mm) < 1e-3 for m, d in milled)
    return "HELIX" if helix else layer_of(hole)


def outline_on_sheet(part: Part, placed: Placed) -> Polygon:
    return _on_sheet(shapes.area(part.ring), part, placed)


def _contours(part: Part) -> list[Polygon]:
    rings = [shapes.area(shapes.rounded(r, part.circles)) for r in (part.ring, *part.openings)]
    return [*rings, *(slot_shape(h) for h in part.holes if is_slot(h))]


def _point(part: Part, placed: Placed, x: float, y: float) -> tuple[float, float]:
    """A turned part goes a quarter anticlockwise, its blank's lower left corner where it is placed; half a
    turn more goes about its blank's middle."""
    if placed.turned:
        x, y = part.width_mm - y, x
    if placed.rolled:
        y = part.width_mm - y
    if placed.half_turn:
        x, y = placed.length_mm - x, placed.width_mm - y
    return placed.x_mm + x, placed.y_mm + y


def _on_sheet(shape: Polygon, part: Part, placed: Placed) -> Polygon:
    x, y = _point(part, placed, 0.0, 0.0)
    turn = [0, -1, 1, 0] if placed.turned else [1, 0, 0, -1 if placed.rolled else 1]
    moved = affine_transform(shape, [(-t if placed.half_turn else t) for t in turn] + [x, y])
    assert isinstance(moved, Polygon)
    return moved


def _bounds(corners: tuple[tuple[float, float, float], ...]) -> tuple[float, float, float, float]:
    xs, ys = [c[0] for c in corners], [c[1] for c in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _far(one: tuple[float, ...], two: tuple[float, ...]) -> float:
    return max(abs(a - b) for a, b in zip(one, two, strict=True))
