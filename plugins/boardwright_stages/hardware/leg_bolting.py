"""Legs bolted on beside their members: their bolts, and what is said of those that have no room.

Claim: one bolt a leg, through it and its member, with a washer and a wing nut inside. Where the next board
comes against the member's outer face the bolt has a countersunk head, so that the two still meet: a cup head
would stand out by up to 4.88 mm (DIN 603, M8).

Source: one M8 bolt a leg, and a countersunk one where the head must not stand out: common practice, no
source. A countersunk M8 head is 4.4 to 5 mm deep (ISO 10642, memory), so the member must be thicker; its
length counts from the head's top, as the wood's does.

What this does not know: that one bolt lets a leg swing (the page says to brace it).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

from boardwright import Notes, Place
from boardwright_timber.geometry import line_through
from boardwright_timber.model import Board, HardwareLine, Leg, Member

from ..joints.mating import ON_LINE_MM
from .lengths import bought_mm
from .settings import HardwareSettings

LEG_BOLT = "M8"  # common practice, no source


def leg_bolts(board: Board, legs: Sequence[Leg], members: Sequence[Member]) -> Iterator[HardwareLine]:
    """Bolts by length, cup heads first."""
    by_id = {m.id: m for m in members}
    wanted = Counter(
        (meets_next(board, by_id[leg.member], leg), leg.side_mm + by_id[leg.member].thickness_mm)
        for leg in legs
        if leg.lap_mm
    )
    for (sunk, grip), number in sorted(wanted.items()):
        long = bought_mm("cup bolt", "wing nut", LEG_BOLT, grip, HardwareSettings())
        head = "Countersunk" if sunk else "Cup-head"
        why = f"one a leg: {grip:g} wood, washer, wing nut and one pitch"
        yield HardwareLine(
            item=f"leg-bolt-{'sunk-' if sunk else ''}{LEG_BOLT}x{long:g}",
            priced_as=f"leg-bolt-{LEG_BOLT}",
            says=f"{head} bolt {LEG_BOLT} × {long:g} with washer and wing nut, through leg and frame",
            quantity=number,
            unit="piece",
            why=f"{why}; its head flush, as the next board comes against that face" if sunk else why,
        )


def meets_next(board: Board, member: Member, leg: Leg) -> bool:
    """Whether another board, or the next module, comes against the member's outer face where the leg is."""
    for joint in (*board.joints, *board.ends):
        a, b = (board.to_local(p) for p in board.face(joint))
        line = line_through(a, b)
        off = max(abs(line.left(p)) for p in (member.outer_start, member.outer_end))
        if off <= ON_LINE_MM and 0 <= line.along((leg.x_mm, leg.y_mm)) <= joint.length_mm:
            return True
    return False


def tell_cramped(board: Board, legs: Sequence[Leg], wood: Collection[str], notes: Notes) -> None:
    """Legs beside whose member other wood stands."""
    cramped = [leg.id for leg in legs if any(name in wood for name in leg.meets)]
    if cramped:
        notes.caution(
            "BW-HARD-008",
            f"{' and '.join(cramped)} of board {board.id} would run up where other wood stands beside the "
            "member, and there is no room near by.",
            [Place(board=board.id, item=name) for name in cramped],
            "Cut a notch into the leg's top round it, bolt the leg on outside, or give places of your own in "
            "[supports] points.",
        )


def tell_meeting(board: Board, legs: Sequence[Leg], wood: Collection[str], notes: Notes) -> None:
    """Legs that run up where a device, a bolt, a dowel, a wire hole or another leg is."""
    found = ((leg, [name for name in leg.meets if name not in wood]) for leg in legs)
    meeting = [(leg, names) for leg, names in found if names]
    if not meeting:
        return
    said = "; ".join(f"{leg.id} where room is wanted for {' and '.join(names)}" for leg, names in meeting)
    places = []
    for leg, _ in meeting:
        x, y = board.to_plan((leg.x_mm, leg.y_mm))
        places.append(Place(board=board.id, item=leg.id, x_mm=round(x, 1), y_mm=round(y, 1)))
    notes.caution(
        "BW-HARD-009",
        f"{'Legs' if len(meeting) > 1 else 'A leg'} of board {board.id} would run up where something is, and "
        f"no place near by is clear: {said}.",
        places,
        "Hold the leg there before you drill for it. Bolt it on outside where that face is free, move the "
        "device, set supports.leg_mm or supports.leg_lap_mm smaller, or give places of your own in "
        "[supports] points.",
    )
