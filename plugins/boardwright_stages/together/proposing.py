"""A profile for the ends of a series that do not mate: where all of them have room, if there is such a place.

Claim: a profile told as one that all have room for lies, hole by hole, in what the pack of every module says
is free on all its ends (``EndRoom``); no pack need be made to know. Where the rooms cannot be laid over one
another, the narrowest end's own holes are proposed, and said to be no more than that.

What this does not know: rooms of packs made by an earlier build.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import reduce

import msgspec
from msgspec.structs import replace

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.model import EndPattern, EndRoom, JointPlug

from ..joints.shared_room import alike, in_common, placed
from ..joints.spans import Spans
from .packs import Bought

WRITE = (
    'Write it under [settings] of the series, with "module_ends.profile" = "ours", and run the series again'
)

type Hole = tuple[str, float, float, float]  # kind, diameter, t, h


class End(msgspec.Struct, frozen=True, kw_only=True):
    """One end of one kind of module, read back from its pack."""

    name: str
    hand: int
    length_mm: float
    deck_above_floor_mm: float
    holes: tuple[Hole, ...]
    rails_mm: tuple[float, ...]
    plugs: tuple[JointPlug, ...] = ()


def propose(modules: Sequence[Bought], ends: Sequence[End], notes: Notes) -> None:
    """One profile for all of these modules, or why there is none."""
    why = unlike(modules)
    if why:
        notes.note(
            "BW-MANY-027",
            f"A profile that all may be able to take, from the narrowest end: {of_the_narrowest(ends)}. "
            f"Whether all have room for it is not known: {why}",
            mend=f"{WRITE}; a place that is not clear in some module is told then.",
        )
        return
    pattern = in_all(modules)
    if pattern.bolts_mm:
        notes.note(
            "BW-MANY-027",
            f"A profile that has room on every end of every module{_too_few(pattern, modules)}: "
            f"{written(pattern, modules[0].room.deck_mm)}",
            mend=f"{WRITE}.",
        )
        return
    others = [m.label for m in modules if in_all([n for n in modules if n is not m]).bolts_mm]
    without = f"; all others have one where {' or '.join(others)} is left out" if others else ""
    notes.note(
        "BW-MANY-027",
        "No profile can serve all these modules: their ends have no place for a bolt in common" + without,
        [Place(file=m.label) for m in modules],
        "Move what stands behind these ends, or say under [[mate]] which ends are to meet.",
    )


def _too_few(pattern: EndPattern, modules: Sequence[Bought]) -> str:
    """What there is not room for, in words."""
    counts = (
        (len(pattern.bolts_mm), max(m.room.bolts_wanted for m in modules), "bolts in a row"),
        (len(pattern.dowels_mm), modules[0].joints.dowels_per_joint, "dowels"),
        (len(pattern.wires_mm), modules[0].wiring.holes_per_joint, "wire holes"),
    )
    few = [f"{got} of {wanted} {what}" for got, wanted, what in counts if got < wanted]
    return f", though for {' and '.join(few)} only" if few else ""


def unlike(modules: Sequence[Bought]) -> str:
    """In words, why the rooms of these modules cannot be laid over one another; empty: they can."""
    first = modules[0]
    for other in modules:
        if not other.room.ends:
            return f"the pack of {other.label} does not tell where its ends have room."
        if not alike(first.room, other.room):
            return f"decks, depths or heights of holes of {first.label} and {other.label} differ."
        if (first.joints, first.wiring) != (other.joints, other.wiring):
            return f"[joints] or [wiring] of {first.label} and {other.label} differ."
    return ""


def in_all(modules: Sequence[Bought]) -> EndPattern:
    """The pattern that is put where the ends of all these modules have room; nothing of no modules.

    Rooms are drawn in to whole hundredths of a millimetre: a place to a hundredth is in them still.
    """
    if not modules:
        return EndPattern()
    room: EndRoom = reduce(in_common, (m.room for m in modules))
    drawn_in = replace(
        room,
        bolts_mm=_to_hundredths(room.bolts_mm),
        handy_mm=_to_hundredths(room.handy_mm),
        dowels_mm=_to_hundredths(room.dowels_mm),
        wires_mm=_to_hundredths(room.wires_mm),
    )
    return placed(drawn_in, modules[0].joints, modules[0].wiring)


def _to_hundredths(spans: Spans) -> Spans:
    drawn_in = ((math.ceil(a * 100 - 1e-6) / 100, math.floor(b * 100 + 1e-6) / 100) for a, b in spans)
    return tuple((a, b) for a, b in drawn_in if a <= b)


def written(pattern: EndPattern, deck_mm: float) -> str:
    """A pattern as a profile of the project file: from the middle, below the deck's upper face."""
    every = {"bolts": pattern.bolts, "dowels": pattern.dowels, "wires": pattern.wires}
    return _written({kind: [(t, deck_mm - z) for t, z in places] for kind, places in every.items()})


def of_the_narrowest(ends: Sequence[End]) -> str:
    """The holes of the narrowest end as a profile."""
    end = min((e for e in ends if e.holes), key=lambda e: (e.length_mm, len(e.holes), e.name))
    every = {
        f"{kind}s": [(end.hand * t, -h) for k, _, t, h in end.holes if k == kind]
        for kind in ("bolt", "dowel", "wire")
    }
    return _written(every)


def _written(every: Mapping[str, Sequence[Point]]) -> str:
    """Kinds of which there is none are written too: else each module would put its own."""
    found = []
    for kind, places in every.items():
        told = sorted((round(t, 2) + 0.0, round(below, 2)) for t, below in places)
        found.append(f"{kind} = [{', '.join(f'[{t:g}, {below:g}]' for t, below in told)}]")
    return f'"module_ends.profiles" = {{ ours = {{ {", ".join(found)} }} }}'
