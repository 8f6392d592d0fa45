"""A small layout made by hand for output tests: two boards joined at x = 1200, the second with a round end.

B01 is a plain rectangle 1200 × 600; B02 is 900 × 600 with a half round on its far end and a well. Numbers are
chosen so that a test can say where everything must be.
"""

from __future__ import annotations

import math
from decimal import Decimal
from types import SimpleNamespace

import pytest

from boardwright import Finding, FindingList, Place, Provenance, Severity
from boardwright.plan.model import Device, Outline, Point, Track, TrackPlan, Turnout
from boardwright.stages import SourceDigest
from boardwright_outputs.drawings.drawing import Drawing
from boardwright_outputs.drawings.views.board import board_drawing
from boardwright_outputs.drawings.views.general import general_arrangement
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_outputs.drawings.views.sheet import sheet_drawings
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardHardware,
    BoardParts,
    BoardPlan,
    BoardWiring,
    Cost,
    CostLine,
    Crossing,
    Cut,
    CutSheet,
    CuttingPlan,
    Face,
    Fixing,
    FixingKind,
    Frame,
    Grain,
    HardwareLine,
    Hole,
    HoleKind,
    Joint,
    Joists,
    Mark,
    MarkKind,
    Member,
    MemberRole,
    Part,
    PlacedPart,
    Placement,
    Splitting,
    WireHole,
)
from boardwright_timber.model.checks import CheckLine, CheckReport

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


def make_layout(name: str = "Two board test", part_label: str = "") -> SimpleNamespace:
    joint = Joint(
        id="J01",
        boards=("B01", "B02"),
        start=(1200.0, 0.0),
        end=(1200.0, 600.0),
        crossings=(Crossing(track="T1", x_mm=1200.0, y_mm=300.0, off_square_deg=0.0),),
        nearest_turnout_mm=420.0,
    )
    arc = [
        (1800.0 + 300 * math.sin(a), 300.0 - 300 * math.cos(a)) for a in [math.pi * i / 60 for i in range(61)]
    ]
    ring2 = ((1200.0, 0.0), *((round(x, 6), round(y, 6)) for x, y in arc), (1200.0, 600.0))
    well = ((1500.0, 250.0), (1500.0, 350.0), (1700.0, 350.0), (1700.0, 250.0))
    b1 = Board(
        id="B01",
        outline="O1",
        level_mm=1000.0,
        ring=((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0)),
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=1200.0,
        width_mm=600.0,
        joints=(joint,),
    )
    b2 = Board(
        id="B02",
        outline="O1",
        level_mm=1000.0,
        ring=ring2,
        wells=(well,),
        origin=(1200.0, 0.0),
        angle_deg=0.0,
        length_mm=900.0,
        width_mm=600.0,
        joints=(joint,),
    )
    track = Track(id="T1", points=tuple((x * 20.0, 300.0 + 40 * math.sin(x / 5)) for x in range(76)))
    turnout = Turnout(id="W1", x_mm=700.0, y_mm=300.0, ring=((600, 250), (850, 250), (850, 350), (600, 350)))
    motor = Device(
        id="M1",
        kind="point motor",
        x_mm=650.0,
        y_mm=360.0,
        length_mm=80,
        width_mm=40,
        depth_mm=60,
        clearance_mm=15,
    )
    feed = Device(
        id="F1", kind="feed", x_mm=300.0, y_mm=300.0, length_mm=6, width_mm=6, depth_mm=20, clearance_mm=10
    )
    plan = TrackPlan(
        name=name,
        drawing_file="plan.dxf",
        scale_ratio=76.2,
        outlines=(
            Outline(
                id="O1",
                ring=((0.0, 0.0), (1200.0, 0.0), *ring2[1:], (0.0, 600.0)),
                wells=(well,),
                level_mm=1000.0,
            ),
        ),
        tracks=(track,),
        turnouts=(turnout,),
        devices=(motor, feed),
    )
    plans = {
        "B01": BoardPlan(
            board="B01",
            devices=(motor, feed),
            own_devices=("M1", "F1"),
            turnouts=(turnout,),
            tracks=(Track(id="T1", points=track.points[:61]),),
        ),
        "B02": BoardPlan(board="B02", tracks=(Track(id="T1", points=track.points[60:]),)),
    }
    frames = {
        "B01": Frame(
            board="B01", outer=b1.ring, inner=(), members=tuple(rectangle_members("B01", 1200.0, 600.0, True))
        ),
        "B02": Frame(
            board="B02", outer=b2.ring, inner=(), members=tuple(rectangle_members("B02", 650.0, 600.0, False))
        ),
    }
    joists = {
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
    fixings = tuple(
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
    wire = {
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
    end_holes = (
        *(
            Hole(
                kind=HoleKind.BOLT if f.kind is FixingKind.BOLT else HoleKind.DOWEL,
                x_mm=f.y_mm - T,
                y_mm=D + f.z_mm,
                diameter_mm=f.hole_diameter_mm,
                joint="J01",
                note="clamp both ends together and drill them as one",
            )
            for f in fixings
        ),
        Hole(kind=HoleKind.WIRE, x_mm=288.0, y_mm=45.0, diameter_mm=25.0, joint="J01"),
    )
    pilots = (
        Hole(kind=HoleKind.PILOT, x_mm=6.0, y_mm=30.0, diameter_mm=3.0, depth_mm=10.0),
        Hole(kind=HoleKind.PILOT, x_mm=6.0, y_mm=60.0, diameter_mm=3.0, depth_mm=10.0, face=Face.INNER),
    )
    parts = {}
    for board in (b1, b2):
        made = []
        for m in (*frames[board.id].members, *joists[board.id].members):
            holes = end_holes if m.role is MemberRole.END else ()
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
                holes = pilots
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
    return SimpleNamespace(
        plan=plan,
        splitting=Splitting(boards=(b1, b2), joints=(joint,)),
        boards={"B01": b1, "B02": b2},
        plans=plans,
        frames=frames,
        joists=joists,
        fixings={b: BoardFixings(board=b, fixings=fixings) for b in ("B01", "B02")},
        wiring=wire,
        parts=parts,
        cutting=make_cutting(),
        hardware={
            b: BoardHardware(
                board=b,
                lines=(
                    HardwareLine(
                        item="screw-4x50",
                        says="screw 4 × 50 mm",
                        quantity=28,
                        unit="piece",
                        why="14 butts of 2",
                    ),
                ),
            )
            for b in ("B01", "B02")
        },
        cost=Cost(
            currency="EUR",
            lines=(
                CostLine(
                    group="sheets",
                    item="ply-9",
                    says="birch plywood 9 mm",
                    quantity=Decimal(1),
                    unit="sheet",
                    price=Decimal("31.50"),
                    total=Decimal("31.50"),
                ),
                CostLine(
                    group="hardware",
                    item="glue",
                    says="wood glue",
                    quantity=Decimal("0.4"),
                    unit="litre",
                    price=None,
                    total=Decimal(0),
                ),
            ),
            total=Decimal("31.50"),
            complete=False,
            per_square_metre=Decimal("25.20"),
            area_m2=Decimal("1.25"),
        ),
        checks=CheckReport(
            lines=(
                CheckLine(
                    code="BW-CHECK-001",
                    says="mating holes coincide",
                    measured=0.0,
                    limit=0.01,
                    unit="mm",
                    counted=5,
                    passed=True,
                    where="J01",
                ),
            )
        ),
        findings=FindingList(
            findings=(
                Finding(
                    code="BW-TEST-001",
                    severity=Severity.FAULT,
                    says="device M1 stands in the way of joist B01-K2",
                    where=(Place(file="devices.csv", row=3, board="B01"),),
                    mend="Move M1 or let the joist move.",
                ),
                Finding(code="BW-TEST-002", severity=Severity.NOTE, says="board B02 is light"),
            )
        ),
        provenance=Provenance(
            sources=(SourceDigest(file="plan.dxf", sha256="ab" * 32),),
            versions=(("boardwright", "0.1.0"),),
            settings={"joists": {"spacing_mm": 400.0}},
        ),
    )


def make_cutting() -> CuttingPlan:
    """One deck and a side on the first sheet, the side turned; strips on the second."""
    deck = CutSheet(
        id="S01",
        stock="plywood 9 mm 2440 × 1220",
        material=PLY,
        thickness_mm=9.0,
        length_mm=2440.0,
        width_mm=1220.0,
        kerf_mm=3.0,
        trim_mm=10.0,
        parts=(
            PlacedPart(part="B01-D", x_mm=10.0, y_mm=10.0, length_mm=1200.0, width_mm=600.0),
            PlacedPart(part="B02-D", x_mm=1213.0, y_mm=10.0, length_mm=600.0, width_mm=900.0, turned=True),
        ),
        cuts=(
            Cut(
                step=1,
                piece="sheet",
                along="width",
                at_mm=1210.0,
                from_mm=0.0,
                to_mm=1220.0,
                setting_mm=1200.0,
                from_edge="left",
                says="Cut across at 1200 mm",
            ),
            Cut(
                step=2,
                piece="left piece",
                along="length",
                at_mm=610.0,
                from_mm=0.0,
                to_mm=1210.0,
                setting_mm=600.0,
                from_edge="bottom",
                says="Rip at 600 mm, B01-D is free",
            ),
        ),
        used_fraction=0.42,
    )
    return CuttingPlan(sheets=(deck,), lower_bounds=((PLY, 9.0, 1),))


@pytest.fixture
def layout() -> SimpleNamespace:
    return make_layout()


@pytest.fixture
def hostile() -> SimpleNamespace:
    """The same layout with names nobody should trust."""
    return make_layout(
        name="<script>alert(1)</script>\n=cmd|'x'!A1", part_label='"><img src=x onerror=alert(2)> ../../x'
    )


@pytest.fixture
def drawings(layout: SimpleNamespace) -> dict[str, Drawing]:
    """Every drawing of the layout, by file name."""
    return all_drawings(layout)


@pytest.fixture
def hostile_drawings(hostile: SimpleNamespace) -> dict[str, Drawing]:
    return all_drawings(hostile)


def all_drawings(layout: SimpleNamespace) -> dict[str, Drawing]:
    found = {
        "general": general_arrangement(
            layout.plan, layout.splitting, layout.plans, layout.frames, layout.joists
        )
    }
    for b, board in layout.boards.items():
        found[b] = board_drawing(
            board,
            layout.plans[b],
            layout.frames[b],
            layout.joists[b],
            layout.fixings[b],
            layout.wiring[b],
            layout.parts[b],
        )
        found |= {part.id: part_drawing(part) for part in layout.parts[b].parts}
    return found | sheet_drawings(layout.cutting, layout.parts)
