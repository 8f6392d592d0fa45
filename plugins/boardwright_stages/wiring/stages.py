"""Wiring: wire holes of a board's joists and joints, and the check that every device can be wired.

Claim: from every own device a wire can be led through drilled holes to a joint of its board, or, on a layout
of one board, to every other device; otherwise there is a finding.
"""

from __future__ import annotations

from boardwright import Near, Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardDemand,
    BoardFixings,
    BoardPlan,
    BoardWiring,
    EndPattern,
    Frame,
    Joists,
    Member,
    MemberRole,
    WireHole,
)

from ..joints.ends import places_of
from ..joints.mating import Half
from ..joints.stages import halves_of
from .bays import LEAVE_ROOM, Bays, Passage
from .holes import ACROSS, end_depth, joint_hole, joint_points, joist_holes, lines_along
from .measuring import Wanted, in_joist, wanted
from .mends import at_joint, diameter
from .network_settings import WireSettings
from .settings import WiringSettings


@stage(each=True)
def wiring(
    board: Board,
    beside: Near[Board],
    board_plan: BoardPlan,
    plans_beside: Near[BoardPlan],
    frame: Frame,
    frames: Near[Frame],
    joists: Joists,
    joists_beside: Near[Joists],
    fixings: BoardFixings,
    settings: WiringSettings,
    notes: Notes,
    demand: BoardDemand = BoardDemand(board=""),
    wires: WireSettings = WireSettings(),
    ends: EndPattern = EndPattern(),
) -> BoardWiring:
    """Wire holes of one board: its joints' first, then its joists', each from left to right."""
    own = Half(board, frame, joists, board_plan.devices)
    holes: list[WireHole] = []
    passages: list[Passage] = []
    measures: list[Wanted] = []
    for joint in board.joints:
        halves = halves_of(joint, own, beside, plans_beside, frames, joists_beside)
        depth = min(end_depth(joint, half) for half in halves)
        measure = wanted(demand.at(joint.id), depth, wires.plug_body_mm, settings)
        points = joint_points(joint, *halves, fixings.fixings, settings, measure)
        measures.append(measure)
        for t, z in points:
            hole, member = joint_hole(joint, own, t, z, measure.diameter_mm)
            holes.append(hole)
            passages.append(Passage(member, hole.along_mm, joint.id))
        if len(points) < measure.count and board.id == joint.boards[0]:
            _too_few(
                joint.id,
                board.id,
                len(points),
                measure,
                at_joint(demand.at(joint.id), depth, wires.plug_body_mm, settings, measure, len(points)),
                notes,
            )
    for end in (e for e in board.ends if e.id in ends.ends):
        for t, z in places_of(end, ends.wires):
            hole, member = joint_hole(end, own, t, z, ends.wires_diameter_mm)
            holes.append(hole)
            passages.append(Passage(member, hole.along_mm, end.id))
    measured = bool(demand.board) and settings.made_to_measure
    drilled = [m for m in own.members if m.role in (MemberRole.JOIST, MemberRole.NOGGIN)]
    asked = [in_joist(bool(demand.board), demand.across(_middle(j)), j.depth_mm, settings) for j in drilled]
    largest = Wanted(
        max((w.count for w in asked), default=2), max((w.diameter_mm for w in asked), default=0.0)
    )
    held = frame.bed is None or not frame.bed.across
    lines = lines_along(board, drilled, settings, largest.diameter_mm, largest.count, held)
    for joist, measure in zip(drilled, asked, strict=True):
        joins = abs(joist.direction[1]) <= ACROSS  # a noggin lies along the board: any of its wires may pass
        d = largest.diameter_mm if joins else measure.diameter_mm
        row = joist_holes(board, joist, settings, d, lines, measure.count, held)
        holes += row
        passages += [Passage(joist, hole.along_mm, None) for hole in row]
        if not row:
            notes.caution(
                "BW-WIRE-002",
                f"Joist {joist.id} is too short for a wire hole.",
                Place(board=board.id, item=joist.id),
                f"Lead wires round it, or set {diameter(measured)} lower.",
            )
    _check_size(own, max((largest.diameter_mm, *(w.diameter_mm for w in measures))), measured, notes)
    unreached = _unreached(own, board_plan, passages, measured, settings, notes)
    return BoardWiring(board=board.id, holes=tuple(holes), unreached=unreached)


def _middle(member: Member) -> float:
    """Where along the board a member stands, in the middle of it."""
    return sum(x for x, _ in member.outline) / len(member.outline)


def _too_few(joint: str, board: str, got: int, measure: Wanted, mend: str, notes: Notes) -> None:
    says = (
        f"Joint {joint} has room for {got} of {measure.count} wire holes of {measure.diameter_mm:g} mm, one "
        "of them spare."
    )
    if got:
        notes.note("BW-WIRE-003", says, Place(board=board, item=joint), mend)
    else:
        notes.caution("BW-WIRE-003", says, Place(board=board, item=joint), mend)


def _check_size(own: Half, diameter_mm: float, measured: bool, notes: Notes) -> None:
    drilled = [m for m in own.members if m.role not in LEAVE_ROOM]
    depth = min((m.depth_mm for m in drilled), default=0.0)
    if depth and diameter_mm > depth / 4:
        notes.caution(
            "BW-WIRE-001",
            f"Wire holes of {diameter_mm:g} mm are more than a quarter of the frame's depth "
            f"({depth:g} mm) on board {own.board.id}.",
            Place(board=own.board.id, key="wiring.hole_diameter_mm"),
            f"Set {diameter(measured)} to {depth / 4:g} or less, or make the frame deeper.",
        )


def _more_holes(no_way_out: bool, measured: bool, settings: WiringSettings) -> str:
    """What would make holes lead to a bay: through a board's joints where it has no way out at all, else
    along its joists."""
    smaller = f"smaller ones ({diameter(measured)})"
    if no_way_out and not settings.holes_per_joint:
        return "allow holes through the joints (wiring.holes_per_joint)"
    if no_way_out:
        return f"make room for a hole through a joint of its board: a longer joint, or {smaller}"
    whole = 'wiring.hole_zone = "whole" and ' if settings.hole_zone != "whole" else ""
    return f"allow more holes in the joists beside it ({whole}a smaller wiring.end_margin_mm), or {smaller}"


def _unreached(
    own: Half,
    board_plan: BoardPlan,
    passages: list[Passage],
    measured: bool,
    settings: WiringSettings,
    notes: Notes,
) -> tuple[str, ...]:
    """Ids of own devices that no wire can get to; raises the findings too."""
    board = own.board
    bays = Bays(own.frame, own.members)
    rooms = bays.joined_by(passages)
    doors = [j.id for j in (*board.joints, *board.ends) if rooms.knows(j.id)]
    reached = rooms.reach(doors[0]) if doors else frozenset()
    more = _more_holes(bool(board.joints) and not doors, measured, settings)
    unreached = []
    for device in board_plan.devices:
        if device.id not in board_plan.own_devices:
            continue
        bay = bays.under(tuple(board.to_local(p) for p in device.keepout()))
        if bay is not None and not reached and not board.joints:
            reached = rooms.reach(bay)  # one board alone: the first device stands for the panel
        if bay is None or bay not in reached:
            unreached.append(device.id)
            notes.fault(
                "BW-WIRE-004",
                f"No wire can get to {device.kind} {device.id}: "
                + ("it sits over a frame member." if bay is None else "no row of holes leads to its bay."),
                Place(board=board.id, item=device.id, x_mm=device.x_mm, y_mm=device.y_mm),
                f"Move {device.id} off the frame."
                if bay is None
                else f"Move {device.id} to where holes lead, or {more}.",
            )
    for lost in (d for d in doors if d not in reached):
        notes.fault(
            "BW-WIRE-005",
            f"On board {board.id} no row of holes leads from joint {doors[0]} to joint {lost}.",
            Place(board=board.id, item=lost),
            "Make room for wire holes in the joists between them.",
        )
    return tuple(unreached)
