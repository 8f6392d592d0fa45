"""Frames, joists, fixings, wire holes and parts of the two boards of ``joined``."""

from __future__ import annotations

import math

from joined_ground import Ground

from boardwright.plan.model import Point
from boardwright_timber.model import (
    BoardParts,
    BoardStrength,
    BoardViews,
    BoardWiring,
    Face,
    Fixing,
    FixingKind,
    Frame,
    Grain,
    Hole,
    HoleKind,
    Joists,
    Mark,
    MarkKind,
    Member,
    MemberRole,
    Part,
    Placement,
    SeenLine,
    SeenName,
    StrengthLine,
    SupportPoint,
    WireHole,
)

T = 12.0  # member thickness
D = 90.0  # member depth
PLY = "birch plywood"


def member(id_: str, role: MemberRole, start: Point, end: Point) -> Member:
    """A square-ended member with its outer face from start to end, ``T`` thick to the left."""
    length = math.dist(start, end)
    dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    left = (-dy * T, dx * T)
    return Member(
        id=id_,
        role=role,
        outer_start=start,
        outer_end=end,
        inner_start=(start[0] + left[0], start[1] + left[1]),
        inner_end=(end[0] + left[0], end[1] + left[1]),
        thickness_mm=T,
        depth_mm=D,
        material=PLY,
    )


def strip(m: Member, board: str, holes: tuple[Hole, ...] = (), bevel: float = 0.0) -> Part:
    length = m.length_mm
    return Part(
        id=m.id,
        board=board,
        role=m.role.value,
        label=m.id,
        material=PLY,
        thickness_mm=T,
        length_mm=length,
        width_mm=D,
        grain=Grain.LENGTH,
        ring=((0.0, 0.0), (length, 0.0), (length, D), (0.0, D)),
        holes=holes,
        left_bevel_deg=bevel,
        area_mm2=length * D,
        mass_kg=round(length * D * T * 680e-9, 3),
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=-D, angle_deg=0.0, stands=True),
    )


def rectangle_members(b: str, length: float, width: float, end_at_right: bool) -> list[Member]:
    right, left = (MemberRole.END, MemberRole.SIDE) if end_at_right else (MemberRole.SIDE, MemberRole.END)
    return [
        member(f"{b}-S1", MemberRole.SIDE, (0.0, 0.0), (length, 0.0)),
        member(f"{b}-{'E1' if end_at_right else 'S2'}", right, (length, T), (length, width - T)),
        member(f"{b}-S3", MemberRole.SIDE, (length, width), (0.0, width)),
        member(f"{b}-{'S2' if end_at_right else 'E1'}", left, (0.0, width - T), (0.0, T)),
    ]


def frames(g: Ground) -> dict[str, Frame]:
    b1, b2 = g.boards.values()
    return {
        "B01": Frame(
            board="B01", outer=b1.ring, inner=(), members=tuple(rectangle_members("B01", 1200.0, 600.0, True))
        ),
        "B02": Frame(
            board="B02", outer=b2.ring, inner=(), members=tuple(rectangle_members("B02", 650.0, 600.0, False))
        ),
    }


def joists() -> dict[str, Joists]:
    return {
        "B01": Joists(
            board="B01",
            members=tuple(
                member(f"B01-K{i}", MemberRole.JOIST, (x + T, T), (x + T, 600.0 - T))
                for i, x in enumerate((340.0, 760.0, 790.0), 1)
            ),
            spacing_mm=414.0,
            limit_mm=450.0,
        ),
        "B02": Joists(
            board="B02",
            members=(member("B02-K1", MemberRole.JOIST, (262.0, T), (262.0, 600.0 - T)),),
            spacing_mm=400.0,
            limit_mm=450.0,
        ),
    }


def fixings() -> tuple[Fixing, ...]:
    return tuple(
        Fixing(
            id=f"J01-{i}",
            joint="J01",
            kind=kind,
            size=size,
            along_mm=y,
            x_mm=1200.0,
            y_mm=y,
            z_mm=-45.0,
            hole_diameter_mm=d,
            grip_mm=2 * T,
        )
        for i, (kind, size, y, d) in enumerate(
            (
                (FixingKind.BOLT, "M8", 90.0, 8.5),
                (FixingKind.DOWEL, "8 mm", 180.0, 8.0),
                (FixingKind.DOWEL, "8 mm", 420.0, 8.0),
                (FixingKind.BOLT, "M8", 510.0, 8.5),
            ),
            1,
        )
    )


def wiring() -> dict[str, BoardWiring]:
    return {
        "B01": BoardWiring(
            board="B01",
            holes=(
                WireHole(
                    member="B01-E1",
                    along_mm=288.0,
                    z_mm=-45.0,
                    x_mm=1200.0,
                    y_mm=300.0,
                    diameter_mm=25,
                    joint="J01",
                ),
                WireHole(member="B01-K1", along_mm=288.0, z_mm=-45.0, x_mm=352.0, y_mm=300.0, diameter_mm=25),
            ),
        ),
        "B02": BoardWiring(
            board="B02",
            holes=(
                WireHole(
                    member="B02-E1",
                    along_mm=288.0,
                    z_mm=-45.0,
                    x_mm=1200.0,
                    y_mm=300.0,
                    diameter_mm=25,
                    joint="J01",
                ),
            ),
        ),
    }


def end_holes() -> tuple[Hole, ...]:
    return (
        *(
            Hole(
                kind=HoleKind.BOLT if f.kind is FixingKind.BOLT else HoleKind.DOWEL,
                x_mm=f.y_mm - T,
                y_mm=D + f.z_mm,
                diameter_mm=f.hole_diameter_mm,
                joint="J01",
                note="clamp both ends together and drill them as one",
            )
            for f in fixings()
        ),
        Hole(kind=HoleKind.WIRE, x_mm=288.0, y_mm=45.0, diameter_mm=25.0, joint="J01"),
    )


PILOTS = (
    Hole(kind=HoleKind.PILOT, x_mm=6.0, y_mm=30.0, diameter_mm=3.0, depth_mm=10.0),
    Hole(kind=HoleKind.PILOT, x_mm=6.0, y_mm=60.0, diameter_mm=3.0, depth_mm=10.0, face=Face.INNER),
)


def parts(g: Ground, part_label: str) -> dict[str, BoardParts]:
    track, motor, framed, held = g.track, g.motor, frames(g), joists()
    parts = {}
    for board in g.boards.values():
        made = []
        for m in (*framed[board.id].members, *held[board.id].members):
            holes = end_holes() if m.role is MemberRole.END else ()
            if m.role is MemberRole.JOIST:
                holes = (
                    Hole(
                        kind=HoleKind.WIRE,
                        x_mm=288.0,
                        y_mm=45.0,
                        diameter_mm=25.0,
                        note="half from each face",
                    ),
                )
            if m.id.endswith("S1"):
                holes = PILOTS
            made.append(strip(m, board.id, holes, bevel=12.5 if m.id == "B02-S2" else 0.0))
        local = tuple(board.to_local(p) for p in board.ring)
        made.append(
            Part(
                id=f"{board.id}-D",
                board=board.id,
                role="deck",
                label=part_label or f"{board.id}-D",
                material=PLY,
                thickness_mm=9.0,
                length_mm=board.length_mm,
                width_mm=board.width_mm,
                grain=Grain.LENGTH,
                ring=local,
                openings=tuple(tuple(board.to_local(p) for p in w) for w in board.wells),
                holes=(
                    Hole(
                        kind=HoleKind.WIRE, x_mm=300.0, y_mm=300.0, diameter_mm=3.0, note="dropper of feed F1"
                    ),
                )
                if board.id == "B01"
                else (),
                marks=(
                    Mark(kind=MarkKind.DEVICE, points=motor.footprint(), closed=True, text="M1"),
                    Mark(kind=MarkKind.TRACK, points=track.points[:61], text="T1"),
                )
                if board.id == "B01"
                else (),
                area_mm2=board.length_mm * board.width_mm,
                mass_kg=4.4,
                placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
            )
        )
        parts[board.id] = BoardParts(
            board=board.id, parts=tuple(made), mass_kg=round(sum(p.mass_kg for p in made), 3)
        )
    return parts


def views() -> dict[str, BoardViews]:
    """One line of the frame in each view of a board."""
    line = (SeenLine(False, (0.0, -90.0), (1200.0, 0.0)),)
    return {
        b: BoardViews(
            board=b, front=line, right_end=line, apart=line, names=(SeenName(f"{b}-S1", ((600.0, -45.0),)),)
        )
        for b in ("B01", "B02")
    }


def strengths() -> dict[str, BoardStrength]:
    return {
        b: BoardStrength(
            board=b,
            support="legs",
            points=(SupportPoint(member=f"{b}-S1", x_mm=220.0, y_mm=6.0, load_n=230.0, uplift_n=0.0),),
            mass_kg=12.5,
            service_class=2,
            lines=(
                StrengthLine(
                    key="frame-sag",
                    says="Frame, lasting sag",
                    measured=0.3,
                    limit=1.0,
                    unit="mm",
                    where="x 500, y 6",
                    rule="members as beams",
                    source="EN 1995-1-1",
                ),
            ),
        )
        for b in ("B01", "B02")
    }
