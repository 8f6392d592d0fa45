"""True shapes side by side on sheets: packingsolver's irregular tree search, with short queues.

Claim: every shape once, ``gap`` apart at least, inside its sheet, turned only as it may be. Work is bounded
by the queue's length and by how many shapes there are, never by a clock.

Chosen by measurement (see docs/router.md) over a strip packer of the same class, which knows one endless
strip only and stops by the clock.

What this does not know: shapes within the openings of others; turns other than quarter turns.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import msgspec
from shapely import Polygon, box
from shapely.affinity import rotate, translate
from shapely.geometry.polygon import orient

from boardwright.plan.model import Point

from .solver import SolverError

SLACK_MM = 0.05  # the solver's arithmetic, and places rounded to hundredths
SIMPLER_MM = 0.5  # how far a curved outline may be taken outward to have fewer corners
MOST_CORNERS = 8  # up to which it is taken as it is


class Shape(msgspec.Struct, frozen=True):
    """Equal outlines, ``copies`` of them; ``turns``: quarter turns anticlockwise it may be laid at."""

    ring: tuple[Point, ...]
    turns: tuple[int, ...]
    copies: int


class Bed(msgspec.Struct, frozen=True):
    """Where shapes may lie on a kind of sheet, in sheet axes. ``copies``: how many there are at most."""

    kind: int
    outline: tuple[Point, ...]
    copies: int
    price: float
    keep_out: tuple[tuple[Point, ...], ...] = ()


class Lying(msgspec.Struct, frozen=True, order=True):
    """The lower left corner of the shape's upright rectangle, as it lies."""

    shape: int
    turn: int
    x_mm: float
    y_mm: float


class Laid(msgspec.Struct, frozen=True):
    kind: int
    lying: tuple[Lying, ...]


def turned(ring: Sequence[Point], turn: int) -> Polygon:
    """Turned by quarter turns, its upright rectangle's lower left corner at nought."""
    shape = rotate(Polygon(ring), 90 * turn, origin=(0, 0))
    left, bottom, _, _ = shape.bounds
    return translate(shape, -left, -bottom)


def lies_at(ring: Sequence[Point], lying: Lying) -> Polygon:
    return translate(turned(ring, lying.turn), lying.x_mm, lying.y_mm)


def plans(shapes: Sequence[Shape], beds: Sequence[Bed], gap_mm: float, queue: int) -> Iterator[list[Laid]]:
    """Every plan the search offers: from all kinds of sheet together, from each endless kind alone, and from
    that after the limited ones are filled, the cheapest first. Raises SolverError where one of them fails."""
    if len(beds) == 1:
        yield pack(shapes, beds, gap_mm, queue)
        return
    yield pack(shapes, beds, gap_mm, queue)
    many = sum(s.copies for s in shapes)
    limited = sorted((b for b in beds if b.copies < many), key=lambda b: (b.price / _area(b), b.kind))
    for main in (b for b in beds if b.copies >= many):
        yield pack(shapes, [main], gap_mm, queue)
        if limited:
            first, left = _filled(shapes, limited, gap_mm, queue)
            numbers = [n for n, copies in enumerate(left) if copies]
            some = [msgspec.structs.replace(shapes[n], copies=left[n]) for n in numbers]
            rest = pack(some, [main], gap_mm, queue) if some else []
            named = [
                Laid(r.kind, tuple(msgspec.structs.replace(i, shape=numbers[i.shape]) for i in r.lying))
                for r in rest
            ]
            check([*first, *named], shapes, beds, gap_mm)
            yield [*first, *named]


def _filled(
    shapes: Sequence[Shape], limited: Sequence[Bed], gap_mm: float, queue: int
) -> tuple[list[Laid], list[int]]:
    """Limited sheets, each with as much area as is found, and how many of each shape are left."""
    left = [s.copies for s in shapes]
    made: list[Laid] = []
    for bed in limited:
        for _ in range(bed.copies):
            numbers = [n for n, copies in enumerate(left) if copies]
            if not numbers:
                return made, left
            some = [msgspec.structs.replace(shapes[n], copies=left[n]) for n in numbers]
            one = msgspec.structs.replace(bed, copies=1)
            sheets, _ = _solved(some, [one], gap_mm, queue, "Knapsack")
            if not sheets:
                break
            laid = Laid(
                bed.kind, tuple(msgspec.structs.replace(i, shape=numbers[i.shape]) for i in sheets[0].lying)
            )
            for i in laid.lying:
                left[i.shape] -= 1
            made.append(laid)
    return made, left


def pack(shapes: Sequence[Shape], beds: Sequence[Bed], gap_mm: float, queue: int) -> list[Laid]:
    """Sheets for all shapes. Raises SolverError where the search places not all, or a check of ours fails."""
    objective = "BinPacking" if len(beds) == 1 else "VariableSizedBinPacking"
    sheets, full = _solved(shapes, beds, gap_mm, queue, objective)
    if not full:
        raise SolverError("not every shape was placed")
    check(sheets, shapes, beds, gap_mm)
    return sheets


def _solved(
    shapes: Sequence[Shape], beds: Sequence[Bed], gap_mm: float, queue: int, objective: str
) -> tuple[list[Laid], bool]:
    """What the search finds, and whether it placed all. Raises SolverError where it fails."""
    from packingsolver import irregular as ir

    grow = gap_mm / 2 + SLACK_MM
    grown = [_grown(s.ring, grow) for s in shapes]
    try:
        builder = ir.InstanceBuilder()
        builder.set_objective(getattr(ir.Objective, objective))
        for bed in beds:
            outline = Polygon(bed.outline).buffer(gap_mm / 2, join_style="mitre")
            number = builder.add_bin_type(
                ir.build_shape(_corners(outline)), copies=bed.copies, cost=max(bed.price, 1e-3)
            )
            for ring in bed.keep_out:
                place = ir.ShapeWithHoles(ir.build_shape(_corners(Polygon(ring))))
                builder.add_defect(number, 0, place)
        for shape, outline in zip(shapes, grown, strict=True):
            builder.add_item_type(
                ir.build_shape(_corners(outline)),
                copies=shape.copies,
                allowed_rotations=[(90 * t, 90 * t, False) for t in shape.turns],
            )
        solution = ir.optimize(builder.build(), _parameters(ir, queue)).solution
    except (RuntimeError, ValueError, MemoryError) as error:  # what its C++ exceptions arrive as
        raise SolverError(str(error).splitlines()[-1]) from error
    sheets = []
    for n in range(solution.number_of_different_bins()):
        one = solution.bin(n)
        lying = tuple(sorted((_lying(i, shapes, grown) for i in one.items), key=_in_order))
        if lying:
            sheets += [Laid(beds[one.bin_type_id].kind, lying)] * one.copies
    return sheets, bool(solution.full())


def _area(bed: Bed) -> float:
    return float(Polygon(bed.outline).area)


def check(sheets: Sequence[Laid], shapes: Sequence[Shape], beds: Sequence[Bed], gap_mm: float) -> None:
    """Raises SolverError unless every shape lies once, inside its bed, far enough from every other."""
    from shapely import STRtree

    placed = [0] * len(shapes)
    bed_of = {bed.kind: bed for bed in beds}
    for laid in set(sheets):
        bed = bed_of[laid.kind]
        there = Polygon(bed.outline).buffer(1e-6)
        out = [Polygon(ring) for ring in bed.keep_out]
        real = [lies_at(shapes[i.shape].ring, i) for i in laid.lying]
        for i in laid.lying:
            placed[i.shape] += sheets.count(laid)
        if not all(there.contains(box(*r.bounds)) or there.contains(r) for r in real):
            raise SolverError("a shape lies outside its sheet")
        if any(r.intersects(o) for r in real for o in out):
            raise SolverError("a shape lies on a place that is kept out")
        one, two = STRtree(real).query(real, predicate="dwithin", distance=gap_mm - 1e-6)
        if any(a != b for a, b in zip(one, two, strict=True)):
            raise SolverError("two shapes lie too near")
    if placed != [s.copies for s in shapes]:
        raise SolverError("not every shape lies on the sheets once")


def _grown(ring: Sequence[Point], by_mm: float) -> Polygon:
    """The outline with room round it, with few corners; sharp ones are cut, never nearer than ``by_mm``."""
    plain = Polygon(ring)
    if len(ring) > MOST_CORNERS:
        plain = plain.buffer(SIMPLER_MM, join_style="mitre").simplify(SIMPLER_MM)
    grown = orient(plain.buffer(by_mm, join_style="mitre", mitre_limit=2.0))
    if grown.geom_type != "Polygon":
        raise SolverError("an outline falls apart")
    return Polygon(grown.exterior)


def _corners(shape: Polygon) -> list[list[float]]:
    return [[round(x, 6), round(y, 6)] for x, y in orient(shape).exterior.coords[:-1]]


def _lying(item: Any, shapes: Sequence[Shape], grown: Sequence[Polygon]) -> Lying:
    """Where the shape itself lies, whose grown outline the solver placed."""
    n, turn = item.item_type_id, round(item.angle / 90) % 4
    lies = rotate(Polygon(shapes[n].ring), 90 * turn, origin=(0, 0))
    left, bottom, _, _ = lies.bounds
    return Lying(n, turn, round(left + item.bl_corner.x, 2), round(bottom + item.bl_corner.y, 2))


def _in_order(lying: Lying) -> tuple[float, float, int]:
    return lying.x_mm, lying.y_mm, lying.shape


def _parameters(ir: Any, queue: int) -> Any:
    parameters = ir.OptimizeParameters()
    parameters.optimization_mode = ir.OptimizationMode.NotAnytimeDeterministic
    parameters.verbosity_level = 0
    parameters.messages_to_stdout = False
    parameters.use_tree_search = True
    parameters.not_anytime_tree_search_queue_size = queue
    return parameters
