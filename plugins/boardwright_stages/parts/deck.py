"""The deck as a part: the board's shape with its wells cut out, and on it what the builder needs to see.

Marks: outlines of devices with their ids, track centrelines, turnouts, and the centrelines of the members
below, which are the screw lines. Devices get the hole or slot that they want through the deck.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from msgspec import UNSET
from msgspec.structs import replace

from boardwright.plan.model import Device, Point, Ring, Turnout
from boardwright_timber.geometry import lower_left_first, snap_point
from boardwright_timber.model import (
    Board,
    BoardPlan,
    DeckPlate,
    Grain,
    LongSeam,
    Mark,
    MarkKind,
    Member,
    Panel,
    Part,
    Placement,
    Splice,
)
from boardwright_timber.reference import density_kg_m3
from boardwright_timber.rising import underside_mm

from ..framing.on_deck import bearers, nearest_panel
from .device_holes import device_holes
from .members import KG_PER_MM3
from .parting import parted

if TYPE_CHECKING:
    from shapely import Polygon

PLATE = "splice plate"


def deck_parts(
    board: Board,
    plan: BoardPlan,
    members: Iterable[Member],
    material: str,
    thickness_mm: float,
    panels: Sequence[Panel] = (),
    seams: Sequence[float] = (),
    splices: Sequence[Splice] = (),
    long_seams: Sequence[LongSeam] = (),
    plates: Sequence[DeckPlate] = (),
) -> tuple[Part, ...]:
    """The deck in its panels, parted at their splices; without any, one part that covers the board, or one
    from seam to seam. The plates under seams come last."""
    below = [m for m in members if m.carries_deck]
    if not panels:
        whole = Panel(
            ring=tuple(board.to_local(p) for p in board.ring),
            wells=tuple(tuple(board.to_local(p) for p in well) for well in board.wells),
        )
        if not seams and not long_seams:
            name = f"{board.id}-D"
            return (_panel_part(board, plan, below, material, thickness_mm, whole, name, whole=True),)
        pieces = [(0, piece, tuple(below), plan) for piece in parted(whole, seams, board, long_seams)]
    else:
        pieces = [
            (n, replace(piece, ways=panel.ways), bearers(below, panels, panel), own)
            for n, panel in enumerate(panels)
            for own in [_on_panel(board, plan, panels, n)]
            for piece in parted(
                panel,
                [s.x_mm for s in splices if s.panel == n],
                board,
                [s for s in long_seams if s.panel == n],
            )
        ]
    return (
        *(
            _panel_part(
                board,
                own,
                wood,
                material,
                thickness_mm,
                piece,
                f"{board.id}-D{n}",
                [p for p in plates if p.along and p.of == of],
                whole=False,
            )
            for n, (of, piece, wood, own) in enumerate(pieces, 1)
        ),
        *(
            _plate(board, plate, material, thickness_mm, panels[plate.of] if panels else whole)
            for plate in plates
        ),
    )


def _on_panel(board: Board, plan: BoardPlan, panels: Sequence[Panel], n: int) -> BoardPlan:
    """What of a board's plan is on one panel: where decks climb, one may pass over another."""
    ways = panels[n].ways
    if ways is UNSET:
        return plan
    mine = {tuple(p[:2] for p in way) for way in ways}

    def here(thing: Device | Turnout) -> bool:
        return nearest_panel(panels, board.to_local((thing.x_mm, thing.y_mm))) == n

    return replace(
        plan,
        devices=tuple(d for d in plan.devices if here(d)),
        turnouts=tuple(t for t in plan.turnouts if here(t)),
        tracks=tuple(
            t for t in plan.tracks if tuple(snap_point(board.to_local(p)) for p in t.points) in mine
        ),
    )


def _plate(board: Board, plate: DeckPlate, material: str, thickness_mm: float, deck: Panel) -> Part:
    """A plate under a seam: bare wood right below the deck, its length across the seam."""
    nothing, panel = BoardPlan(board=board.id), plate.panel
    corner = (max(x for x, _ in panel.ring), min(y for _, y in panel.ring))
    if plate.along:
        panel = Panel(
            ring=lower_left_first(tuple(snap_point((y - corner[1], corner[0] - x)) for x, y in panel.ring))
        )
    made = _panel_part(board, nothing, [], material, thickness_mm, panel, plate.id, whole=False)
    low = _low_mm(replace(plate.panel, ways=deck.ways)) - thickness_mm
    place = replace(made.placement, z_mm=round(low, 6))
    if plate.along:
        place = replace(place, x_mm=round(corner[0], 6), y_mm=round(corner[1], 6), angle_deg=90.0)
    return replace(made, role=PLATE, placement=place, circles=())


def _panel_part(
    board: Board,
    plan: BoardPlan,
    members: Sequence[Member],
    material: str,
    thickness_mm: float,
    panel: Panel,
    part_id: str,
    plates: Sequence[DeckPlate] = (),
    *,
    whole: bool,
) -> Part:
    import shapely

    corners = panel.ring
    x0, y0 = min(x for x, _ in corners), min(y for _, y in corners)

    def flat(p: Point) -> Point:
        return (round(p[0] - x0, 6), round(p[1] - y0, 6))

    def laid(ring: Iterable[Point]) -> Ring:
        return tuple(flat(board.to_local(p)) for p in ring)

    ring, openings = tuple(map(flat, corners)), tuple(tuple(map(flat, well)) for well in panel.wells)
    wood = shapely.Polygon(ring, openings)
    own = [d for d in plan.devices if d.id in plan.own_devices]
    holes = tuple(
        replace(hole, x_mm=x, y_mm=y)
        for device in own
        for hole in device_holes(board, device)
        for x, y in (flat((hole.x_mm, hole.y_mm)),)
        if whole or wood.contains(shapely.Point(x, y).buffer(max(hole.diameter_mm, hole.slot_mm)))
    )
    lines = [
        *((MarkKind.TRACK, laid(t.points), t.id) for t in plan.tracks),
        *((MarkKind.MEMBER, tuple(map(flat, centreline(m))), m.id) for m in members),
    ]
    marks = [
        *(
            m
            for d in plan.devices
            for m in _shape(MarkKind.DEVICE, d.id, laid(d.footprint()), ring, openings)
        ),
        *(m for t in plan.turnouts for m in _shape(MarkKind.TURNOUT, t.id, laid(t.ring), ring, openings)),
        *(
            Mark(kind=kind, points=points, text=text)
            for kind, along, text in lines
            for points in ((along,) if whole else _on(wood, along))
        ),
        *(
            m
            for p in plates
            for m in _shape(MarkKind.MEMBER, p.id, tuple(map(flat, p.panel.ring)), ring, openings)
        ),
    ]
    lost = sum(h.area_mm2 for h in holes)
    area = ring_area(ring) - sum(ring_area(o) for o in openings) - lost
    return Part(
        id=part_id,
        board=board.id,
        role="deck",
        label=part_id,
        material=material,
        thickness_mm=thickness_mm,
        length_mm=round(max(x for x, _ in ring), 6),
        width_mm=round(max(y for _, y in ring), 6),
        grain=Grain.LENGTH,
        ring=ring,
        openings=openings,
        circles=tuple(
            replace(c, x_mm=x, y_mm=y)
            for c in board.circles
            for x, y in [flat(board.to_local((c.x_mm, c.y_mm)))]
        ),
        holes=holes,
        marks=tuple(marks),
        area_mm2=round(area, 3),
        mass_kg=round(area * thickness_mm * density_kg_m3(material, thickness_mm) * KG_PER_MM3, 6),
        placement=Placement(
            x_mm=round(x0, 6), y_mm=round(y0, 6), z_mm=_low_mm(panel), angle_deg=0.0, stands=False
        ),
    )


def _low_mm(panel: Panel) -> float:
    """Height of the lowest place of a panel's underside."""
    return round(min(underside_mm(panel, p) for p in panel.ring), 6) + 0.0


def centreline(member: Member) -> tuple[Point, Point]:
    """From the middle of one end to the middle of the other, local coordinates."""
    (a, b), (c, d) = (member.outer_start, member.inner_start), (member.outer_end, member.inner_end)
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), ((c[0] + d[0]) / 2, (c[1] + d[1]) / 2)


def ring_area(ring: Ring) -> float:
    """Area of a ring, whichever way round it runs."""
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) / 2)


def _on(wood: Polygon, points: Ring) -> Iterator[Ring]:
    """The stretches of a line that lie on a panel."""
    import shapely

    for piece in shapely.get_parts(wood.intersection(shapely.LineString(points))):
        if piece.geom_type == "LineString" and piece.length > 1.0:
            yield tuple((round(x, 6), round(y, 6)) for x, y in piece.coords)


def _shape(kind: MarkKind, text: str, shape: Ring, ring: Ring, openings: tuple[Ring, ...]) -> Iterator[Mark]:
    """The part of a closed shape that lies on the deck; nothing when it lies beside it."""
    import shapely

    deck = shapely.Polygon(ring, openings)
    drawn = shapely.Polygon(shape)
    if deck.contains(drawn):
        yield Mark(kind=kind, points=shape, closed=True, text=text)
        return
    for piece in shapely.get_parts(deck.intersection(drawn)):
        if piece.geom_type == "Polygon" and not piece.is_empty:
            points = shapely.normalize(piece).exterior.coords[:-1]
            yield Mark(
                kind=kind, points=tuple((round(x, 6), round(y, 6)) for x, y in points), closed=True, text=text
            )
