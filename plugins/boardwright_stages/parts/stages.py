"""Parts: what is sawn and drilled for one board.

Claim: every member and the deck become one flat part each, and part and placement together give back the
place of every edge and hole to 1e-6 mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from boardwright import Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardEdging,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    EndPattern,
    Frame,
    FrameSize,
    Hole,
    Joists,
    Leg,
    Member,
    MemberRole,
    Part,
    SkinSeam,
    SupportPoint,
)

from ..edging.parts import edging_parts
from ..framing.settings import FramingSettings
from ..framing.sized import AS_SET, sized
from ..hardware.settings import HardwareSettings
from ..joints.settings import JointSettings
from ..strength.keep_off import NOTHING, KeepOff
from ..strength.levels import AS_ALL, BoardSupports
from ..strength.settings import StrengthSettings, SupportSettings
from .bent import bent_parts
from .butts import Butt, butts
from .deck import deck_parts
from .device_holes import LEAST_WEB_MM, holes_on_wood, holes_too_close, named
from .jigs import Drilled, jigs
from .materials import refuse_unknown
from .members import fixing_holes, length_parts, member_part, wire_holes
from .names import say_what_is_misnamed
from .sandwich import bearing_on, block_spans, taken_apart
from .screws import Bored, drill

NO_EDGING = BoardEdging()
LIMITS, SUPPORTS, HARDWARE = StrengthSettings(), SupportSettings(), HardwareSettings()
ROUNDS = 3  # blocks at legs weigh a little, which may ask for a leg more


@stage(each=True)
def parts(
    board: Board,
    board_plan: BoardPlan,
    frame: Frame,
    joists: Joists,
    fixings: BoardFixings,
    wiring: BoardWiring,
    framing: FramingSettings,
    notes: Notes,
    joints: JointSettings = JointSettings(),
    ends: EndPattern = EndPattern(),
    size: FrameSize = AS_SET,
    limits: StrengthSettings = LIMITS,
    supports: SupportSettings = SUPPORTS,
    screws: HardwareSettings = HARDWARE,
    level: BoardSupports = AS_ALL,
    keep: KeepOff = NOTHING,
    edging: BoardEdging = NO_EDGING,
) -> BoardParts:
    """Parts of one board: the deck, then its members, then its joists, then strips along its edges."""
    from ..hardware.legs import legs_of
    from ..strength.stages import strength

    framing = sized(framing, size)
    members = (*frame.members, *joists.members)
    refuse_unknown(framing, members)
    say_what_is_misnamed(board.id, members, notes)
    bored = {
        m.id: Bored([*fixing_holes(board, m, fixings.fixings), *wire_holes(m, wiring.holes)], [])
        for m in members
    }
    found = butts(members)
    drill(found, bored, board.id, notes)
    held = {(butt.butting.id, butt.at_end) for butt in found}
    across = frame.bed is not None and frame.bed.across
    between = (MemberRole.NOGGIN,) if across else (MemberRole.JOIST, MemberRole.NOGGIN)
    for joist in (m for m in joists.members if m.role in between):
        loose = [
            side for at_end, side in ((False, "left"), (True, "right")) if (joist.id, at_end) not in held
        ]
        if loose:
            notes.caution(
                "BW-PART-004",
                f"The {' and '.join(loose)} end of joist {joist.id} does not stand flat against one strip: "
                "no screw holes are drawn there.",
                Place(board=board.id, item=joist.id),
                "Glue it and add a corner block, or shift the joist by a thickness or two.",
            )
    for device, member in holes_on_wood(board, board_plan, [m for m in members if m.carries_deck]):
        notes.caution(
            "BW-PART-003",
            f"The hole through the deck for {named(device)} comes down on frame member {member.id}.",
            Place(board=board.id, item=device.id, x_mm=device.x_mm, y_mm=device.y_mm),
            f"Move it by {member.thickness_mm:g} mm or more, off the member (a feed: along its rail), or "
            "write a hole of 0 into its row.",
        )
    for first, second, wood in holes_too_close(board, board_plan):
        left = f"leave {wood:.1f} mm of wood between them" if wood > 0 else "run into each other"
        notes.caution(
            "BW-PART-007",
            f"The holes through the deck for {named(first)} and {named(second)} {left}.",
            (
                Place(board=board.id, item=first.id, x_mm=first.x_mm, y_mm=first.y_mm),
                Place(item=second.id, x_mm=second.x_mm, y_mm=second.y_mm),
            ),
            f"Move one by {math.ceil(LEAST_WEB_MM - wood)} mm or more, or write a smaller hole "
            "into its row, or 0 where both share one hole.",
        )
    flat = [
        *deck_parts(
            board,
            board_plan,
            members,
            framing.deck_material,
            framing.deck_thickness_mm,
            frame.deck,
            joists.seams,
            joists.splices,
            joists.long_seams,
            joists.plates,
        ),
        *bent_parts(frame),
    ]

    seams = joists.seams_along
    hollow = any(m.sandwich for m in members)
    leg_mm = level.over(supports).leg_mm if hollow else 0.0

    def whole(bearing: Mapping[str, Sequence[float]]) -> BoardParts:
        wood = (
            length_parts(board.id, m, bored[m.id].holes, seams[m.id])
            if m.id in seams
            else _wood(
                board.id,
                m,
                bored[m.id].holes,
                found,
                members,
                bearing.get(m.id, ()),
                leg_mm,
                [s for s in joists.skins if s.member == m.id],
            )
            for m in members
        )
        made = (*flat, *(p for each in wood for p in each), *edging_parts(edging))
        return BoardParts(board=board.id, parts=made, mass_kg=round(sum(p.mass_kg for p in made), 6))

    made = whole({})
    if hollow and board.id not in supports.battens:
        for _ in range(ROUNDS):
            stood = strength(board, frame, joists, made, limits, supports, Notes(), screws, level, keep=keep)
            legs = legs_of(board, frame, joists, stood, level.over(supports), keep.things)
            held_at: list[SupportPoint | Leg] = [p for p in stood.points if p.on or not legs]
            held_at += legs  # where they stand beside their places, too
            made, before = whole(bearing_on(held_at, members)), made
            if made == before:
                break
    drilled = Drilled(board, frame, joists, fixings, wiring, next(iter(ends.ends), ""))
    tools = tuple(jigs(drilled)) if joints.jigs else ()
    return replace(made, tools=tools)


def _wood(
    board: str,
    member: Member,
    holes: list[Hole],
    found: tuple[Butt, ...],
    members: tuple[Member, ...],
    bearing: Sequence[float],
    leg_mm: float,
    skins: Sequence[SkinSeam],
) -> list[Part]:
    """The part a member is, or the skins and blocks it is made of."""
    part = member_part(board, member, holes)
    if member.sandwich is None:
        return [part]
    spans = block_spans(member, member.sandwich, found, members, holes, bearing, leg_mm, skins)
    return taken_apart(part, member, member.sandwich, spans, skins)
