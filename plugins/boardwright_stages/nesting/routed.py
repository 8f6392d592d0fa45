"""Sheets cut by router: true shapes side by side, then the order in which the cutter frees them.

The solver's plans compete with the saw's own (rectangles side by side, the gap in place of the kerf), so a
routed sheet never needs more wood than a sawn one with that gap would. The least price wins, then the fewest
sheets, then the plan that leaves most of the last sheet whole.

Claim: each part ``gap_mm`` from the next and ``edge_mm`` from the edges; on each sheet all holes come first,
then slots and openings, then outlines, so that nothing is cut in a part that is already loose.

What this does not know: parts within the openings of others.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from msgspec.structs import replace
from shapely import Polygon
from shapely.geometry.polygon import orient

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.model import (
    CutSheet,
    Grain,
    Offcut,
    Part,
    PlacedPart,
    RouteStep,
    Routing,
)

from .clear import clear
from .packing import SIMPLER_MM, Bed, Laid, Lying, Shape, plans
from .piece import Area, SheetTree, mm
from .router_settings import RouterSettings
from .settings import CuttingSettings, StockSheet
from .shown import shown
from .solver import SolverError
from .toolpath import ORDER, Routed, routed

QUEUES = (1, 4, 16)
EFFORT = 4_000  # corners times queue, beyond which a longer queue is left out: about a second each
TURNS = {Grain.LENGTH: (0, 2), Grain.WIDTH: (1, 3), Grain.FREE: (0, 1, 2, 3)}


def shapes_of(parts: Sequence[Part], grain: bool) -> tuple[list[Shape], list[list[Part]]]:
    """Equal outlines together, and the parts of each, in name order."""
    alike: dict[tuple[tuple[Point, ...], tuple[int, ...]], list[Part]] = {}
    for part in parts:
        turns = _turns(part) if grain else TURNS[Grain.FREE]
        alike.setdefault((tuple(part.ring), turns), []).append(part)
    keys = sorted(alike, key=lambda k: (-Polygon(k[0]).area, k))
    return [Shape(ring, turns, len(alike[ring, turns])) for ring, turns in keys], [alike[k] for k in keys]


def _turns(part: Part) -> tuple[int, ...]:
    turns = TURNS[part.grain]
    plain = len(part.ring) == 4 and abs(part.area_mm2 - part.length_mm * part.width_mm) < 1e-3
    return turns[: max(1, len(turns) // 2)] if plain else turns  # half a turn changes no rectangle


def fewest(shapes: Sequence[Shape], beds: Sequence[Bed], gap_mm: float) -> int:
    """No plan needs fewer: each outline with half a gap round it, over the largest bed with as much."""
    need = sum(Polygon(s.ring).buffer(gap_mm / 2, quad_segs=4).area * s.copies for s in shapes)
    room = max(Polygon(b.outline).buffer(gap_mm / 2, join_style="mitre").area for b in beds)
    return max(1, math.ceil(float(need / room) - 1e-9))


def best_plan(
    shapes: Sequence[Shape],
    beds: Sequence[Bed],
    rectangles: Callable[[], Sequence[Laid]],
    router: RouterSettings,
) -> tuple[list[Laid], list[str]]:
    """The best of the solver's plans and the one of rectangles; and what failed. Rectangles are not asked for
    where there is one kind of sheet and no plan can do with fewer."""
    price = {b.kind: b.price for b in beds}
    found: list[list[Laid]] = []
    failures: list[str] = []
    corners = sum(len(s.ring) * s.copies for s in shapes)
    for queue in QUEUES:
        if queue == 1 or corners * queue <= EFFORT:
            try:
                for plan in plans(shapes, beds, router.gap_mm, queue):
                    found.append(plan)  # one that fails later takes none of the earlier away
            except SolverError as error:
                failures.append(f"true shapes, queue {queue}: {error}")
    if not found or len(beds) > 1 or min(map(len, found)) > fewest(shapes, beds, router.gap_mm):
        found.append(list(rectangles()))

    def worth(plan: list[Laid]) -> tuple[float, int, float]:
        last = min(plan, key=lambda laid: len(laid.lying))
        return (
            round(sum(price[laid.kind] for laid in plan), 6),
            len(plan),
            round(_reach(last, shapes), 3),
        )

    return min(found, key=worth), failures


def _reach(laid: Laid, shapes: Sequence[Shape]) -> float:
    return max(i.x_mm + _size(shapes[i.shape], i.turn)[0] for i in laid.lying)


def _size(shape: Shape, turn: int) -> tuple[float, float]:
    xs, ys = [x for x, _ in shape.ring], [y for _, y in shape.ring]
    length, width = max(xs) - min(xs), max(ys) - min(ys)
    return (width, length) if turn % 2 else (length, width)


def of_rectangles(
    trees: Sequence[SheetTree],
    numbers: Sequence[Sequence[int]],
    shapes: Sequence[Shape],
    stocked: Sequence[StockSheet],
    edge_mm: float,
) -> list[Laid]:
    """The saw's plan as shapes; ``numbers`` gives, blank by blank, the shape of each of its parts."""
    waiting = [iter(of) for of in numbers]
    plan = []
    for tree in trees:
        lying = []
        left, bottom, _, _ = clear(stocked[tree.kind])
        for p in tree.root.blanks():
            assert p.blank is not None
            n = next(waiting[p.blank])
            lies = min(shapes[n].turns, key=lambda t: (_misfit(_size(shapes[n], t), p.length, p.width), t))
            x, y = mm(p.left) + edge_mm + left, mm(p.bottom) + edge_mm + bottom
            lying.append(Lying(n, lies, round(x, 2), round(y, 2)))
        plan.append(Laid(tree.kind, tuple(sorted(lying, key=lambda i: (i.x_mm, i.y_mm, i.shape)))))
    return plan


def _misfit(size: tuple[float, float], length: int, width: int) -> int:
    return int(size[0] > mm(length) + 0.01) + int(size[1] > mm(width) + 0.01)


# -- sheets --------------------------------------------------------------------------------------------------


def cut_sheets(
    plan: Sequence[Laid],
    parts: Sequence[Sequence[Part]],
    stocked: Sequence[StockSheet],
    settings: CuttingSettings,
    router: RouterSettings,
    notes: Notes,
) -> list[CutSheet]:
    """``parts`` by shape. Sheets in a fixed order, the fullest of each kind first."""
    waiting = [iter(of) for of in parts]
    ways: dict[tuple[object, ...], Routed] = {}
    made: list[CutSheet] = []
    for laid in sorted(plan, key=lambda p: (p.kind, -len(p.lying), p.lying)):
        stock = stocked[laid.kind]
        placed = [(next(waiting[i.shape]), i) for i in laid.lying]
        lie = tuple(sorted((_placed(part, i) for part, i in placed), key=lambda p: (p.part, p.x_mm, p.y_mm)))
        area = sum(p.area_mm2 for p, _ in placed) / (stock.length_mm * stock.width_mm)
        steps = tuple(_in_order(placed, stock.real_mm, router, ways))
        rest = () if stock.shape else tuple(_rest(lie, stock, settings, router))
        made.append(
            CutSheet(
                id=f"{len(made) + 1:06d}",
                stock=stock.name,
                material=stock.material,
                thickness_mm=stock.real_mm,
                length_mm=stock.length_mm,
                width_mm=stock.width_mm,
                kerf_mm=router.tool_mm,
                trim_mm=router.edge_mm,
                parts=lie,
                used_fraction=round(area, 6),
                outline=stock.outline if stock.shape or stock.keep_out else (),
                keep_out=stock.keep_out,
                offcuts=(*rest, *_inside(steps, settings, router)),
                routing=Routing(
                    tool_mm=router.tool_mm,
                    gap_mm=router.gap_mm,
                    tab_mm=router.tab_mm,
                    tab_height_mm=router.tab_height_mm,
                    steps=steps,
                ),
            )
        )
    _tell_missed([p for of in parts for p in of], ways, notes)
    return made


def _placed(part: Part, lying: Lying) -> PlacedPart:
    turned = bool(lying.turn % 2)
    return PlacedPart(
        part=part.id,
        x_mm=lying.x_mm,
        y_mm=lying.y_mm,
        length_mm=part.width_mm if turned else part.length_mm,
        width_mm=part.length_mm if turned else part.width_mm,
        turned=turned,
        half_turn=lying.turn >= 2,
    )


def _like(part: Part) -> tuple[object, ...]:
    return (part.ring, part.openings, part.holes)


def _in_order(
    placed: Sequence[tuple[Part, Lying]],
    thickness_mm: float,
    router: RouterSettings,
    ways: dict[tuple[object, ...], Routed],
) -> Iterator[RouteStep]:
    """All steps on a sheet: kind after kind, small drills first, then from left to right."""
    steps = []
    for part, lying in placed:
        way = ways.get(_like(part)) or ways.setdefault(_like(part), routed(part, router))
        steps += [_on_sheet(replace(step, part=part.id), part, lying) for step in way.steps]
    steps.sort(
        key=lambda s: (
            ORDER.index(s.kind),
            s.diameter_mm,
            -1.0 if s.depth_mm is None else s.depth_mm,
            s.at,
            s.part,
        )
    )
    for n, step in enumerate(steps, 1):
        yield replace(step, step=n, says=_says(step, thickness_mm, router))


def _on_sheet(step: RouteStep, part: Part, lying: Lying) -> RouteStep:
    length, width = part.length_mm, part.width_mm

    def at(p: Point) -> Point:
        x, y = [p, (width - p[1], p[0]), (length - p[0], width - p[1]), (p[1], length - p[0])][lying.turn]
        return (round(x + lying.x_mm, 6), round(y + lying.y_mm, 6))

    return replace(
        step,
        at=at(step.at),
        path=tuple(map(at, step.path)),
        lead=None if step.lead is None else at(step.lead),
        tabs=tuple((at(a), at(b)) for a, b in step.tabs),
        relief=tuple(map(at, step.relief)),
    )


def _says(step: RouteStep, thickness_mm: float, router: RouterSettings) -> str:
    deep = "right through" if step.depth_mm is None else f"{shown(step.depth_mm)} mm deep"
    size = f"{shown(step.diameter_mm)} mm"
    if step.kind == "drill":
        return f"Part {step.part}: drill {size}, {deep}."
    if step.kind == "helix":
        return f"Part {step.part}: mill a {size} hole on a helix, {deep}."
    if step.kind == "slot":
        return f"Part {step.part}: mill a slot {size} wide, {deep}."
    where = "inside its opening, anticlockwise" if step.kind == "opening" else "round its outline, clockwise"
    tabs = (
        f"; lift to {shown(min(router.tab_height_mm, thickness_mm))} mm over {len(step.tabs)} bridges"
        if step.tabs
        else ""
    )
    corners = f"; {len(step.relief)} inside corners relieved" if step.relief else ""
    return f"Part {step.part}: {where}, right through{tabs}{corners}."


def _rest(
    placed: Sequence[PlacedPart], stock: StockSheet, settings: CuttingSettings, router: RouterSettings
) -> Iterator[Offcut]:
    """What is left beyond the last part, sawn off square."""
    reach = round(max(p.x_mm + p.length_mm for p in placed) + router.gap_mm, 6)
    left = round(stock.length_mm - reach, 6)
    long, short = max(left, stock.width_mm), min(left, stock.width_mm)
    if left > 0 and long >= settings.keep_length_mm and short >= settings.keep_width_mm:
        yield Offcut(piece="rest", x_mm=reach, y_mm=0.0, length_mm=left, width_mm=stock.width_mm)


def _inside(
    steps: Sequence[RouteStep], settings: CuttingSettings, router: RouterSettings
) -> Iterator[Offcut]:
    """What falls out of openings, as it is: the cutter's way round the inside, less the cutter's half."""
    for step in steps:
        if step.kind != "opening":
            continue
        left = Polygon(step.path).buffer(-router.tool_mm / 2 - SIMPLER_MM, join_style="mitre")
        left = left.simplify(SIMPLER_MM)
        if left.is_empty or not isinstance(left, Polygon):
            continue
        ring = [(round(x, 3), round(y, 3)) for x, y in orient(left).exterior.coords[:-1]]
        x, y = min(p[0] for p in ring), min(p[1] for p in ring)
        shape = tuple((round(a - x, 3), round(b - y, 3)) for a, b in ring)
        length, width = max(p[0] for p in shape), max(p[1] for p in shape)
        if max(length, width) >= settings.keep_length_mm and min(length, width) >= settings.keep_width_mm:
            plain = Polygon(shape).area > length * width - 1.0
            yield Offcut(
                piece=f"inside {step.part}",
                x_mm=x,
                y_mm=y,
                length_mm=length,
                width_mm=width,
                shape=() if plain else shape,
            )


def _tell_missed(parts: Sequence[Part], ways: dict[tuple[object, ...], Routed], notes: Notes) -> None:
    by_words: dict[str, list[Part]] = {}
    for part in dict.fromkeys(parts):
        for words in ways[_like(part)].missed:
            by_words.setdefault(words, []).append(part)
    for words in sorted(by_words):
        which = by_words[words]
        notes.caution(
            "BW-CUT-013",
            f"The router leaves something over in {len(which)} "
            f"{'part' if len(which) == 1 else 'parts'}: {words}.",
            [Place(board=p.board, item=p.id) for p in which],
            "Do it by hand before the part is built in, or take a smaller cutter in router.tool_mm.",
        )


def bed_of(area: Area, stock: StockSheet, price: float, copies: int, edge_mm: float) -> Bed:
    """Where shapes may lie on a sheet; nothing of an offcut so narrow that its edges meet."""
    inside = Polygon(stock.outline).buffer(-edge_mm, join_style="mitre")
    parts = [inside] if isinstance(inside, Polygon) else list(inside.geoms)
    largest = max(parts, key=lambda p: p.area)
    outline = [(round(x, 6), round(y, 6)) for x, y in orient(largest).exterior.coords[:-1]]
    return Bed(
        kind=area.kind,
        outline=tuple(outline) or ((0.0, 0.0), (0.01, 0.0), (0.01, 0.01)),
        keep_out=stock.keep_out,
        copies=copies if area.quantity is None else min(copies, area.quantity),
        price=price,
    )
