"""A member as a part: its strip, the holes through it, and where it stands.

The drawn face is the outer one, seen from outside the board with the top up; x runs to the right, which is
the member's direction of travel. Example: the near side of a board travels along +u with its inside on the
left; looking at it from outside (from -v), +u is to the right.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from msgspec import UNSET
from msgspec.structs import replace

from boardwright.plan.model import Point
from boardwright_timber.model import (
    Board,
    Fixing,
    FixingKind,
    Grain,
    Hole,
    HoleKind,
    Member,
    Part,
    Placement,
    WireHole,
)
from boardwright_timber.reference import TEE_NUTS, density_kg_m3

from ..joints.mating import ON_LINE_MM

KG_PER_MM3 = 1e-9  # kg/m³ → kg/mm³
TOUCH_MM = 0.05
LEAST_TILT_DEG = 0.05  # nearer to square than this is square (docs/drawings.md)
type Span = tuple[float, float]


def fixing_holes(board: Board, member: Member, fixings: Iterable[Fixing]) -> list[Hole]:
    """Bolt and dowel holes of the fixings whose points lie on this member's outer face.

    A lift-out's face stands back from them by its working clearance.
    """
    holes = []
    dx, dy = member.direction
    low, high = member.along(member.outer_start), member.along(member.outer_end)
    for fixing in fixings:
        x, y = board.to_local((fixing.x_mm, fixing.y_mm))
        off = dx * (y - member.outer_start[1]) - dy * (x - member.outer_start[0])
        at = member.along((x, y))
        if fixing.kind is FixingKind.CATCH or abs(abs(off) - board.clear_mm) > ON_LINE_MM:
            continue
        if not low < at < high:
            continue
        joint = next((j for j in (*board.joints, *board.ends) if j.id == fixing.joint), None)
        drop = joint.drop_to(board.id) if joint else 0.0
        second = joint is not None and joint.boards[1] == board.id != joint.boards[0]
        opened = fixing.nut == "tee nut" and second
        holes.append(
            Hole(
                kind=HoleKind.BOLT if fixing.kind is FixingKind.BOLT else HoleKind.DOWEL,
                x_mm=round(at, 6),
                y_mm=round(fixing.z_mm + drop - member.bottom_mm, 6),
                diameter_mm=fixing.hole_diameter_mm,
                depth_mm=None,
                joint=fixing.joint,
                note=f"{fixing.id}: clamp both ends together and drill them as one"
                + (
                    f", then open this one to {TEE_NUTS[fixing.size].hole_mm:g} for the tee nut"
                    if opened
                    else ""
                ),
                opened_mm=TEE_NUTS[fixing.size].hole_mm if opened else 0.0,
            )
        )
    return holes


def wire_holes(member: Member, holes: Iterable[WireHole]) -> list[Hole]:
    return [
        Hole(
            kind=HoleKind.WIRE,
            x_mm=hole.along_mm,
            y_mm=round(hole.z_mm - member.bottom_mm, 6),
            diameter_mm=hole.diameter_mm,
            depth_mm=None,
            joint=hole.joint,
            note="half from each face"
            if hole.joint is None
            else "clamp both ends together and drill them as one",
        )
        for hole in holes
        if hole.member == member.id
    ]


def member_part(board: str, member: Member, holes: Iterable[Hole]) -> Part:
    if member.flat:
        return _lying_part(board, member)
    length, depth = round(member.length_mm, 6), member.depth_mm
    left, right = _drawn_heights(member)
    drilled = tuple(sorted(holes, key=lambda h: (h.x_mm, h.y_mm, h.kind)))
    lost = sum(math.pi * h.diameter_mm**2 / 4 for h in drilled)
    area = length * (left + right) / 2 - lost
    low = sum(member.top_mm - z for z in member.corner_tops) / 4
    wood = _plan_area(member) * (depth - low) - lost * member.thickness_mm
    tilt = round(member.top_bevel_deg, 9)
    dx, dy = member.direction
    return Part(
        id=member.id,
        board=board,
        role=member.role.value,
        label=member.id,
        material=member.material,
        thickness_mm=member.thickness_mm,
        length_mm=length,
        width_mm=depth,
        grain=Grain.LENGTH,
        ring=((0.0, 0.0), (length, 0.0), (length, right), (0.0, left)),
        holes=drilled,
        left_bevel_deg=round(member.left_bevel_deg, 9) + 0.0,  # never -0.0
        right_bevel_deg=round(member.right_bevel_deg, 9),
        area_mm2=round(area, 3),
        mass_kg=round(wood * density_kg_m3(member.material, member.thickness_mm) * KG_PER_MM3, 6),
        placement=Placement(
            x_mm=round(member.datum[0], 6),
            y_mm=round(member.datum[1], 6),
            z_mm=round(member.bottom_mm, 6),
            angle_deg=round(math.degrees(math.atan2(dy, dx)), 9),
            stands=True,
        ),
        top_bevel_deg=tilt if abs(tilt) >= LEAST_TILT_DEG else UNSET,
    )


def _drawn_heights(member: Member) -> tuple[float, float]:
    """Height of a strip's left and right end, measured on whichever face is the higher there."""
    a, b, c, d = member.corner_tops
    high = (max(a, d), max(b, c))
    return (round(high[0] - member.bottom_mm, 6), round(high[1] - member.bottom_mm, 6))


def stretch(core: Member, member: Member, span: Span, name: str) -> Member:
    """A layer of a member (or all of it) from one place along it to another; at the member's own ends it
    keeps their cut."""
    (dx, dy), (ox, oy) = member.direction, member.datum
    low, high = span

    def at(p: Point, to: float) -> Point:
        by = to - ((p[0] - ox) * dx + (p[1] - oy) * dy)
        return (p[0] + by * dx, p[1] + by * dy)

    left, right = low > TOUCH_MM, high < member.length_mm - TOUCH_MM
    return replace(
        core,
        id=name,
        outer_start=at(core.outer_start, low) if left else core.outer_start,
        inner_start=at(core.inner_start, low) if left else core.inner_start,
        outer_end=at(core.outer_end, high) if right else core.outer_end,
        inner_end=at(core.inner_end, high) if right else core.inner_end,
    )


def lengths_of(member: Member, seams: Iterable[float]) -> list[tuple[float, Member]]:
    """A member that is butted together of several lengths, each with where it begins along it; ``seams``:
    from the member's datum. The first keeps the member's name."""
    stops = [0.0, *sorted(seams), round(member.length_mm, 6)]
    return [
        (low, stretch(member, member, (low, high), member.id if n == 1 else f"{member.id}-{n}"))
        for n, (low, high) in enumerate(pairwise(stops), 1)
    ]


def length_parts(board: str, member: Member, holes: Sequence[Hole], seams: Iterable[float]) -> Iterator[Part]:
    """The parts of a member of several lengths; holes measured from its datum."""
    for low, piece in lengths_of(member, seams):
        high = low + piece.length_mm
        mine = [replace(h, x_mm=round(h.x_mm - low, 6)) for h in holes if low <= h.x_mm < high]
        part = member_part(board, piece, mine)
        yield replace(part, of=member.id, from_mm=low) if low else part


def _lying_part(board: str, member: Member) -> Part:
    """A strip that lies flat: what is seen from above, bevels in its outline."""
    (dx, dy), (ox, oy) = member.direction, member.datum
    corners = [(x - ox, y - oy) for x, y in member.outline]
    ring = tuple((round(x * dx + y * dy, 6), round(y * dx - x * dy, 6)) for x, y in corners)
    area = _plan_area(member)
    thick = member.depth_mm
    return Part(
        id=member.id,
        board=board,
        role=member.role.value,
        label=member.id,
        material=member.material,
        thickness_mm=thick,
        length_mm=round(member.length_mm, 6),
        width_mm=member.thickness_mm,
        grain=Grain.LENGTH,
        ring=ring,
        area_mm2=round(area, 3),
        mass_kg=round(area * thick * density_kg_m3(member.material, thick) * KG_PER_MM3, 6),
        placement=Placement(
            x_mm=round(ox, 6),
            y_mm=round(oy, 6),
            z_mm=round(member.bottom_mm, 6),
            angle_deg=round(math.degrees(math.atan2(dy, dx)), 9),
            stands=False,
        ),
    )


def _plan_area(member: Member) -> float:
    outer = math.dist(member.outer_start, member.outer_end)
    inner = math.dist(member.inner_start, member.inner_end)
    return (outer + inner) / 2 * member.thickness_mm
