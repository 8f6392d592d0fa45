"""A layout made by hand: two boards, one joint, parts with holes, one sheet, a bill and nasty names.

The wood is not meant to be a good frame; it is small enough to add up on paper. Money, by hand:
    2 sheets × 31.50 = 63.00, 1 sheet × 42.10 = 42.10           wood      105.10
    24 screws × 0.035 = 0.84, 0.15 kg glue × 9.99 = 1.4985 → 1.50   hardware  2.34
    1 tin of =varnish without a price                             finish    0.00
    total 107.44; area 1.0 × 0.5 + 0.8 × 0.5 = 0.90 m²; 107.44 / 0.90 = 119.3777… → 119.38
"""

from __future__ import annotations

from typing import Any

from two_bills import COST, SCREWED, hardware, stand, strength
from two_wires import wires

from boardwright import Finding, FindingList, Place, Provenance, Severity
from boardwright.plan.model import Device, Outline, Track, TrackPlan, Turnout
from boardwright.stages import SourceDigest
from boardwright_timber.model import (
    Board,
    BoardEdging,
    BoardFastening,
    BoardFixings,
    BoardMovement,
    BoardParts,
    BoardPlan,
    BoardSpace,
    BoardWiring,
    Crossing,
    Cut,
    CutSheet,
    CuttingPlan,
    EdgeHold,
    EdgeKind,
    EdgePiece,
    EdgeStrip,
    EndRoom,
    Face,
    Fixing,
    FixingKind,
    Frame,
    Grain,
    HoldKind,
    Hole,
    HoleKind,
    Joint,
    Joists,
    LayoutMovement,
    LayoutSpace,
    Mark,
    MarkKind,
    Member,
    MemberRole,
    Part,
    PlacedPart,
    Placement,
    Splitting,
    Standing,
    StandingGroup,
    Unplaced,
    WireHole,
)
from boardwright_timber.model.checks import CheckLine, CheckReport

FASCIA = EdgeStrip(
    id="A-FA1",
    kind=EdgeKind.FASCIA,
    material="birch ply",
    thickness_mm=4.0,
    top_mm=14.0,
    depth_mm=114.0,
    pieces=(EdgePiece(id="A-FA1", inner=((0.0, 0.0), (900.0, 0.0)), outer=((0.0, -4.0), (900.0, -4.0))),),
    holds=(
        EdgeHold(kind=HoldKind.FACE, at_mm=20.0, heights_mm=(-15.0, -75.0), screw=(3.5, 12.0), on="side-1"),
    ),
)
NASTY = '=HYPERLINK("x","y")'
CONTROL = "bell\x07 null\x00 end\uffff"

_joint = Joint(
    id="J1",
    boards=("A", "B"),
    start=(1000.0, 0.0),
    end=(1000.0, 500.0),
    drawn=True,
    crossings=(Crossing(track="T1", x_mm=1000.0, y_mm=250.0, off_square_deg=3.5),),
    nearest_turnout_mm=212.0,
)


def _ring(x0: float, y0: float, x1: float, y1: float) -> tuple[tuple[float, float], ...]:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _board(name: str, x0: float, x1: float) -> Board:
    return Board(
        id=name,
        outline="upper",
        level_mm=900.0,
        ring=_ring(x0, 0.0, x1, 500.0),
        origin=(x0, 0.0),
        angle_deg=0.0,
        length_mm=x1 - x0,
        width_mm=500.0,
        joints=(_joint,),
        lift_out=name == "B",
    )


def _member(name: str, length: float, role: MemberRole) -> Member:
    return Member(
        id=name,
        role=role,
        outer_start=(0.0, 0.0),
        outer_end=(length, 0.0),
        inner_start=(0.0, 9.0),
        inner_end=(length, 9.0),
        thickness_mm=9.0,
        depth_mm=90.0,
        material="birch ply",
    )


_track_mark = Mark(kind=MarkKind.TRACK, points=((0.0, 250.0), (1000.0, 250.0)))


def _part(
    board: str, name: str, role: str, length: float, width: float, holes: tuple[Hole, ...] = ()
) -> Part:
    return Part(
        id=f"{board}-{name}",
        board=board,
        role=role,
        label=f"{board} {role} & co",
        material="birch ply",
        thickness_mm=9.0,
        length_mm=length,
        width_mm=width,
        grain=Grain.LENGTH,
        ring=_ring(0.0, 0.0, length, width),
        holes=holes,
        marks=(_track_mark,) if role == "deck" else (),
        area_mm2=length * width,
        mass_kg=length * width * 9 * 710e-9,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=-90.0, angle_deg=0.0, stands=role != "deck"),
    )


_bolt = Hole(kind=HoleKind.BOLT, x_mm=100.0, y_mm=45.0, diameter_mm=9.0, joint="J1")
_wire = Hole(kind=HoleKind.WIRE, x_mm=250.0, y_mm=45.0, diameter_mm=30.0, note="half from each face")
_pilot = Hole(kind=HoleKind.PILOT, x_mm=30.0, y_mm=4.5, diameter_mm=3.0, depth_mm=25.0, face=Face.INNER)


def _parts(board: str, length: float) -> BoardParts:
    parts = (
        _part(board, "deck", "deck", length, 500.0),
        _part(board, "end", "end", 500.0, 90.0, (_bolt, _wire)),
        _part(board, "=side", "side", length, 90.0, (_pilot,)),
    )
    return BoardParts(board=board, parts=parts, mass_kg=sum(p.mass_kg for p in parts))


_bolts = (
    Fixing(
        id="J1-bolt-1",
        joint="J1",
        kind=FixingKind.BOLT,
        size="M8",
        along_mm=100.0,
        x_mm=1000.0,
        y_mm=100.0,
        z_mm=-45.0,
        hole_diameter_mm=9.0,
        grip_mm=18.0,
    ),
)

_sheet = CutSheet(
    id="S1",
    stock="ply 9",
    material="birch ply",
    thickness_mm=9.0,
    length_mm=2440.0,
    width_mm=1220.0,
    kerf_mm=3.0,
    trim_mm=5.0,
    parts=tuple(
        PlacedPart(part=f"{b}-{n}", x_mm=5.0, y_mm=5.0, length_mm=500.0, width_mm=90.0)
        for b in "AB"
        for n in ("deck", "end", "=side")
    ),
    cuts=(
        Cut(
            step=1,
            piece="S1",
            along="length",
            at_mm=505.0,
            from_mm=0.0,
            to_mm=2440.0,
            setting_mm=500.0,
            from_edge="bottom",
            says="rip a strip 500 wide",
        ),
        Cut(
            step=2,
            piece="S1.1",
            along="width",
            at_mm=1005.0,
            from_mm=5.0,
            to_mm=505.0,
            setting_mm=1000.0,
            from_edge="left",
            says="cross-cut A deck",
        ),
    ),
    used_fraction=0.43,
)


def nouns() -> dict[str, Any]:
    """Every noun an output can ask for, by the name of the outputs' parameters."""
    boards = {"A": _board("A", 0.0, 1000.0), "B": _board("B", 1000.0, 1800.0)}
    return {
        "plan": TrackPlan(
            name="Two & a half boards",
            drawing_file="plan.dxf",
            scale_ratio=87.0,
            outlines=(Outline(id="upper", ring=_ring(0.0, 0.0, 1800.0, 500.0), level_mm=900.0),),
            tracks=(Track(id="T1", points=((0.0, 250.0), (1800.0, 250.0))),),
            turnouts=(Turnout(id="W1", x_mm=400.0, y_mm=250.0, ring=_ring(350.0, 230.0, 450.0, 270.0)),),
            devices=(
                Device(
                    id="M1",
                    kind="point motor",
                    x_mm=400.0,
                    y_mm=250.0,
                    length_mm=60.0,
                    width_mm=40.0,
                    depth_mm=50.0,
                    clearance_mm=10.0,
                ),
            ),
        ),
        "splitting": Splitting(boards=tuple(boards.values()), joints=(_joint,)),
        "boards": boards,
        "plans": {"A": BoardPlan(board="A", own_devices=("M1",)), "B": BoardPlan(board="B")},
        "frames": {
            b: Frame(
                board=b,
                outer=board.ring,
                inner=board.ring,
                members=(_member("side-1", board.length_mm, MemberRole.SIDE),),
            )
            for b, board in boards.items()
        },
        "joists": {
            b: Joists(
                board=b,
                members=(_member("joist-1", 482.0, MemberRole.JOIST),),
                spacing_mm=395.0,
                limit_mm=400.0,
            )
            for b in boards
        },
        "fixings": {b: BoardFixings(board=b, fixings=_bolts) for b in boards},
        "wiring": {
            b: BoardWiring(
                board=b,
                holes=(
                    WireHole(
                        member="joist-1", along_mm=241.0, z_mm=-45.0, x_mm=500.0, y_mm=250.0, diameter_mm=30.0
                    ),
                ),
            )
            for b in boards
        },
        "parts": {"A": _parts("A", 1000.0), "B": _parts("B", 800.0)},
        "strengths": {"A": strength("A"), "B": strength("B")},
        "cutting": CuttingPlan(
            sheets=(_sheet,),
            unplaced=(Unplaced(part="B-long", why="longer than every sheet"),),
            lower_bounds=(("birch ply", 9.0, 1),),
        ),
        "hardware": {"A": hardware("A", 14.0), "B": hardware("B", 10.0)},
        "fastening": {b: BoardFastening(board=b, lines=(SCREWED,)) for b in "AB"},
        "stands": {b: stand(b) for b in "AB"},
        "edging": {"A": BoardEdging(board="A", strips=(FASCIA,)), "B": BoardEdging(board="B")},
        "cost": COST,
        "wires": wires(),
        "space": LayoutSpace(
            boards=(
                BoardSpace(
                    board="A",
                    style="box",
                    deck_mm=9.0,
                    rise_mm=0.0,
                    frame_mm=90.0,
                    devices_mm=60.0,
                    takes_mm=99.0,
                    below="B",
                    free_mm=160.5,
                ),
            )
        ),
        "movement": LayoutMovement(
            boards=(
                BoardMovement(
                    board="A",
                    material="birch ply",
                    along_mm=1.5,
                    across_mm=0.8,
                    rails_mm=2.1,
                    rule="size × change",
                    source="a table",
                ),
            )
        ),
        "end_room": EndRoom(ends=("E01",), deck_mm=9.0, bolts_z_mm=(-45.0,), bolts_mm=((-150.0, 150.0),)),
        "standing": Standing(
            groups=(
                StandingGroup(boards=("A", "B"), mass_kg=12.0, height_mm=1000.0, push_n=40.0, edge_n=None),
            )
        ),
        "checks": CheckReport(
            lines=(
                CheckLine(
                    code="BW-CHECK-001",
                    says="mating holes coincide",
                    measured=0.0,
                    limit=0.01,
                    unit="mm",
                    counted=1,
                    passed=True,
                ),
                CheckLine(
                    code="BW-CHECK-002",
                    says="parts lie in their sheet",
                    measured=3.0,
                    limit=0.0,
                    unit="mm",
                    counted=6,
                    passed=False,
                    where="B-long",
                ),
            )
        ),
        "findings": FindingList(
            findings=(
                Finding(
                    code="BW-NEST-001",
                    severity=Severity.FAULT,
                    says="Part B-long is longer than every sheet you have.",
                    where=(Place(board="B", item="B-long"),),
                    mend="Buy a longer sheet, or let the side be made of two.",
                ),
                Finding(
                    code="BW-READ-001",
                    severity=Severity.CAUTION,
                    says=NASTY,
                    where=(Place(file="+plan.dxf", handle="1F"), Place(layer="@layer")),
                    mend="-1+1",
                ),
                Finding(code="BW-READ-002", severity=Severity.NOTE, says=CONTROL),
            )
        ),
        "provenance": Provenance(
            sources=(SourceDigest(file="plan.dxf", sha256="ab" * 32),),
            versions=(("boardwright", "0.1.0"), ("openpyxl", "3.1.5")),
            settings={"joists": {"spacing_mm": 400.0}, "cutting": {"kerf_mm": 3.0}},
        ),
    }
