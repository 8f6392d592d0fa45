"""The joist stage: cross-members under the deck, clear of everything that hangs below it.

Claim: of all positions tried, the fewest joists that keep the deck's span along the board within the limit
and stand clear of every device's keep-out, set as evenly as that allows. Where it cannot be done the
best arrangement is answered with a fault that names the devices and the millimetres missing.

Where devices leave no place for a joist, it is cut and trimmed with noggins (``trimming``). A deck longer
than a sheet is parted over joists (``seams``), one wider than a sheet along the board too (``long_seams``),
one only under tracks between them (``splices``). A strip of the frame longer than any in the stock is butted
of several (``lengths``).

Joists that stand in no joint's way and can be drilled for wires are taken among equally few; up to two more
where otherwise a hole could not be made at all (``for_holes``).

Numbering: from left to right along the board's own x axis, from below upwards where a strip gives two.

What this does not know: spans across the board, and loads.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import Any

from boardwright import Near, Notes, stage
from boardwright_timber.model import Board, BoardPlan, Frame, FrameSize, Joists, Member, MemberRole

from ..framing.climbing import GAUGE_HALF_MM, H0_RATIO
from ..framing.on_deck import hung
from ..framing.open_settings import OpenTopSettings
from ..framing.settings import FramingSettings
from ..framing.sized import AS_SET, sized
from ..joints.module_ends import AS_CHOSEN, ModuleEndSettings
from ..joints.settings import JointSettings
from ..nesting.settings import CuttingSettings, StockSettings
from ..strength.settings import StrengthSettings
from ..wiring.settings import WiringSettings
from .deck_seams import WHOLE, plates_of, seams_of, sheets_of, splices_of
from .settings import JoistSettings

OPEN_TOP = OpenTopSettings()
STOCK, CUTTING, STRENGTH = StockSettings(), CuttingSettings(), StrengthSettings()
JOINTS, WIRING = JointSettings(), WiringSettings()
NONE_NEAR: Near[Any] = {}


@stage(each=True)
def joists(
    board: Board,
    board_plan: BoardPlan,
    frame: Frame,
    framing: FramingSettings,
    settings: JoistSettings,
    notes: Notes,
    open_top: OpenTopSettings = OPEN_TOP,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
    size: FrameSize = AS_SET,
    limits: StrengthSettings = STRENGTH,
    joints: JointSettings = JOINTS,
    wiring: WiringSettings = WIRING,
    beside: Near[Board] = NONE_NEAR,
    frames: Near[Frame] = NONE_NEAR,
    profiles: ModuleEndSettings = AS_CHOSEN,
) -> Joists:
    """Joists of one board. ``spacing_mm``: the largest span they leave, measured on the finished bays."""
    return placed(
        board,
        board_plan,
        frame,
        framing,
        settings,
        notes,
        open_top,
        stock,
        cutting,
        size,
        limits,
        joints,
        wiring,
        beside,
        frames,
        profiles,
    )


def placed(
    board: Board,
    board_plan: BoardPlan,
    frame: Frame,
    framing: FramingSettings,
    settings: JoistSettings,
    notes: Notes,
    open_top: OpenTopSettings = OPEN_TOP,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
    size: FrameSize = AS_SET,
    limits: StrengthSettings = STRENGTH,
    joints: JointSettings = JOINTS,
    wiring: WiringSettings = WIRING,
    beside: Near[Board] = NONE_NEAR,
    frames: Near[Frame] = NONE_NEAR,
    profiles: ModuleEndSettings = AS_CHOSEN,
    *,
    only_tried: bool = False,
) -> Joists:
    """The same; ``only_tried``: for figures alone, so no reasons are told."""
    from msgspec.structs import replace

    from ..joints.mating import Half
    from .complaints import Complaints
    from .for_holes import choose_for_holes, hampers, taken_by_holes, undrilled
    from .hands import out_of_reach
    from .lengths import Lengths, in_lengths
    from .making_way import carried_with_room
    from .narrow import Narrow
    from .pieces import pieces_at
    from .places import blocked_by_devices, blocked_by_frame, legal, reluctance
    from .reasons import Alone, Limit, told
    from .region import region_of
    from .side_joints import no_joists, side_joints
    from .span import Spacing, row_of, spacing_left
    from .trimmers import Room as WellRoom
    from .trimmers import headers, trimmed
    from .trimming import Limits, Trimmed, trim_bays
    from .wells import side_ties, ties

    framing = sized(framing, size)
    board_plan = replace(board_plan, devices=hung(board, frame, board_plan.devices))
    if frame.deck:
        rule, asked = "open_top.riser_spacing_mm", open_top.riser_spacing_mm
        wide = 2 * open_top.beside_track_mm
        nearer, bears = _by_deck(board, framing, settings, limits, notes, asked, wide)
        open_top = open_top.changed(riser_spacing_mm=nearer)
    else:
        rule, asked, wide = "joists.spacing_mm", settings.spacing_mm, 0.0
        girders = any(m.role is MemberRole.GIRDER for m in frame.members)  # and no side along the board
        nearer, bears = _by_deck(board, framing, settings, limits, notes, asked, open_sides=girders)
        settings = settings.changed(spacing_mm=nearer)
    complaints = Complaints(board, settings, notes)
    complaints.about_devices_in_members(board_plan.devices, frame.members)
    complaints.about_depth(board_plan.devices, board_plan.own_devices, frame.depth_mm or framing.depth_mm)
    region = region_of(frame)
    if region is None or not frame.members:
        complaints.about_settings(framing.joist_wood[1])
        return Joists(board=board.id, spacing_mm=0.0, limit_mm=settings.spacing_mm)

    like = _pattern(frame)
    limit = _limit(board, board_plan, frame, settings, open_top)
    t = like.thickness_mm
    if frame.complete:
        cuts = (
            WHOLE
            if frame.deck
            else seams_of(board, board_plan, frame, (), framing, stock, cutting, complaints)
        )
        joined = in_lengths(
            board, frame.members, (), board_plan.devices, stock, cutting, cuts.seams, plates_of(cuts)
        )
        complaints.about_lengths(joined, rule)
        left = spacing_left(region, [m for m in frame.members if m.role is MemberRole.JOIST], t)
        return Joists(
            board=board.id,
            members=joined.plates,
            spacing_mm=round(left, 6),
            limit_mm=settings.spacing_mm,
            seams=cuts.seams,
            long_seams=cuts.long_seams,
            joined=joined.joined,
            skins=joined.skins,
        )
    sensible = complaints.about_settings(t)
    below = blocked_by_devices(board, region, board_plan.devices, t, like.top_mm)
    beside_frame = blocked_by_frame(region, t, settings.min_gap_mm)
    blocked = below + beside_frame
    steep_deg = min(framing.max_bevel_deg, 90 - framing.max_mitre_deg)
    taken, d = taken_by_holes(board, joints, wiring, t), wiring.hole_diameter_mm
    pieced = cache(lambda x: pieces_at(region, x, t))
    reluctant = cache(lambda x: reluctance(pieced(x), t, steep_deg))
    half = Half(board, frame, no_joists(board.id), board_plan.devices)
    sides = side_joints(half, beside, frames, joints, wiring, t, profiles.chosen)
    free = legal(region.low_x + t / 2, region.high_x - t / 2, blocked)
    spacing = Spacing(t, limit, t + settings.min_gap_mm, settings.step_mm)
    row = row_of(
        region,
        free,
        spacing,
        reluctant,
        lambda x: hampers(pieced(x), x, taken, d),
        lambda x: undrilled(pieced(x), d, settings.shortest_joist_mm) + sum(s.spoilt(x) for s in sides),
    )
    chosen = choose_for_holes(row, sides)

    pieces = [p for i in chosen for p in pieces_at(region, row.positions[i], t)]
    made = [p.member("", like) for p in pieces]
    stubs = [n for n, p in enumerate(pieces) if p.longest_mm < settings.shortest_joist_mm]
    allowed = max(limit, spacing_left(region, made, t))
    for n in reversed(stubs):
        fewer = made[:n] + made[n + 1 :]
        if spacing_left(region, fewer, t) <= allowed + 1e-6:
            made = fewer
    opened: dict[tuple[float, float], Trimmed] = {}
    if settings.trim and sensible and not frame.deck:
        room = Limits(settings.spacing_mm, settings.min_gap_mm, settings.shortest_joist_mm)
        opened = trim_bays(board, region, row, chosen, like, made, board_plan.devices, room)
        made += [m for each in opened.values() for m in each.joists]
    noggins = [m for each in opened.values() for m in each.noggins]
    tied: list[Member] = []
    narrow: tuple[str, ...] = ()
    wells = frame.bed.wells if frame.bed else frame.inner_wells
    on_girders = bool(frame.bed and frame.bed.across)
    if wells and not on_girders:
        clear = legal(region.low_x + t / 2, region.high_x - t / 2, below)
        space = WellRoom(region, clear, free, settings.min_gap_mm, allowed)
        held = trimmed(wells, like, made, noggins, space)
        made, loose = held.joists, [w for w in wells if w not in held.held]
        made += ties(region, loose, like, (*made, *noggins), free, settings.min_gap_mm)
        tied = headers(board, region, held.held, like, (*made, *noggins), board_plan.devices)
        tied += side_ties(board, region, loose, like, (*made, *noggins, *tied), board_plan.devices)
    made.sort(key=lambda m: (round(m.outer_start[0], 3), m.outer_start[1]))
    members = tuple(_named(board.id, "J", n, m) for n, m in enumerate(made, 1))
    held_wells = tuple(_named(board.id, "T", n, m) for n, m in enumerate(tied, 1))
    standing = (*held_wells, *(_named(board.id, "N", n, m) for n, m in enumerate(noggins, 1)))
    if frame.deck:
        tracks = tuple(replace(k, points=tuple(map(board.to_local, k.points))) for k in board_plan.tracks)
        outer, near = (frame.outer, *frame.wells) if on_girders else (), board_plan.devices
        gauge = GAUGE_HALF_MM / (board_plan.scale_ratio or H0_RATIO)
        under = Narrow(board, region, frame.deck, tracks, near, open_top, framing, limits, outer, gauge)
        among = (*members, *held_wells)

        def butted(standing: Sequence[Member], least: float) -> Lengths:
            wood = (*among, *standing)
            joined = (board, frame.members, wood, near, stock, cutting, (), (), least)
            return in_lengths(*joined, tell_room=False)

        carried = carried_with_room(under, like, frame.members, among, butted)
        standing = (*held_wells, *carried.standing)
        missed = under.missed(carried.stood.bare, (*frame.members, *members, *standing))
        complaints.about_risers(carried.stood, missed, open_top.riser_least_mm)
        narrow = tuple(r.id for r in carried.stood.narrow)
    parted = (
        WHOLE
        if frame.deck
        else seams_of(board, board_plan, frame, members, framing, stock, cutting, complaints)
    )
    others = (*members, *standing)
    joined = in_lengths(
        board, frame.members, others, board_plan.devices, stock, cutting, parted.seams, plates_of(parted)
    )
    complaints.about_lengths(joined, rule)
    standing = (*standing, *joined.plates)
    left = spacing_left(region, made, t, [o for each in opened.values() for o in each.openings])
    if sensible:
        complaints.about_trimming(opened.values())
        complaints.about_spacing(row, chosen, blocked, board_plan.devices, left, set(opened))
    if settings.hand_mm:
        wood = (*frame.members, *members, *standing)
        own = board_plan.own_devices
        found = out_of_reach(board, region.shape, wood, board_plan.devices, own, settings.hand_mm)
        complaints.about_hands(found)
    complaints.about_bevels(members, framing.max_bevel_deg)
    if frame.deck and limit >= settings.spacing_mm:
        rule, asked = "joists.spacing_mm", settings.spacing_mm
    deck = f"{framing.deck_thickness_mm:g} mm {framing.deck_material}"
    deck += f", {wide:.0f} mm wide," if wide else ""
    spliced = splices_of(
        board, board_plan, frame, (*members, *standing), sheets_of(framing, stock, cutting), complaints
    )
    return Joists(
        board=board.id,
        members=(*members, *standing),
        spacing_mm=round(left, 6),
        limit_mm=round(limit, 6),
        seams=parted.seams,
        why=()
        if only_tried
        else told(
            Limit(rule, asked, limit, deck, bears),
            Alone(region, beside_frame, spacing, reluctant),
            row,
            chosen,
            members,
            below,
            list(opened.values()),
            parted,
            left,
        ),
        splices=spliced.splices,
        long_seams=(*parted.long_seams, *spliced.long_seams),
        joined=joined.joined,
        skins=joined.skins,
        narrow=narrow,
    )


def _by_deck(
    board: Board,
    framing: FramingSettings,
    settings: JoistSettings,
    limits: StrengthSettings,
    notes: Notes,
    asked_mm: float,
    narrow_mm: float = 0.0,
    *,
    open_sides: bool = False,
) -> tuple[float, float | None]:
    """The spacing that the deck (0: a whole one, else so narrow) bears, where that is less than asked for;
    and what it bears, None where that is not reckoned."""
    from boardwright_timber.reference import STRENGTHS

    from ..strength.needs import span_borne_mm
    from .complaints import Complaints

    if not settings.by_deck or framing.deck_material not in {row.material for row in STRENGTHS}:
        return asked_mm, None  # a material without figures is told where parts are made
    wood = framing.deck_material, framing.deck_thickness_mm
    bears = int(span_borne_mm(*wood, limits, narrow_mm or math.inf, open_sides=open_sides))
    nearest = 2 * framing.joist_wood[1] + settings.min_gap_mm
    if bears >= asked_mm or nearest >= asked_mm:
        return asked_mm, float(bears)
    closer = max(float(bears), nearest)
    Complaints(board, settings, notes).about_deck(framing, asked_mm, closer, narrow_mm)
    return closer, float(bears)


def _limit(
    board: Board, plan: BoardPlan, frame: Frame, settings: JoistSettings, open_top: OpenTopSettings
) -> float:
    """How far apart supports may stand along the board: a narrow deck along tracks is held more closely.

    A track at an angle up to 45° to the board's length covers spacing / cos(angle) between two joists; where
    one is steeper, noggins hold it.
    """
    from itertools import pairwise

    if not frame.deck:
        return settings.spacing_mm
    flattest = 1.0
    for track in plan.tracks:
        points = [board.to_local(p) for p in track.points]
        for (ax, ay), (bx, by) in pairwise(points):
            if abs(bx - ax) >= abs(by - ay) and bx != ax:
                flattest = min(flattest, abs(bx - ax) / math.hypot(bx - ax, by - ay))
    return min(settings.spacing_mm, open_top.riser_spacing_mm * flattest)


def _pattern(frame: Frame) -> Member:
    """A member like which joists are made: the bed's wood, else that of the frame's first member."""
    from msgspec.structs import replace

    first, bed = frame.members[0], frame.bed
    if bed is None:
        return first
    return replace(
        first,
        thickness_mm=bed.thickness_mm,
        depth_mm=bed.depth_mm,
        material=bed.material,
        top_mm=bed.top_mm,
        sandwich=None,
    )


def _named(board: str, letter: str, number: int, member: Member) -> Member:
    import msgspec

    return msgspec.structs.replace(member, id=f"{board}-{letter}{number}")
