"""Ends of the modules of a series, face to face: every pair that may meet, either way round.

Claim: of two ends that mate, every hole of one lies on a hole of the other of its kind and size, both seen
from the middle of the end and from the upper face of the deck, where the rails lie. Read from what is cut:
the holes of the finished packs' parts, put in their places.

    t    along an end from its start, from its middle; two ends face to face run opposite ways
    h    down from the upper face of the deck

With ``joints.pattern = "symmetric"`` every end may meet every other and itself, a module either way round;
where all are ``"handed"``, ends that face right meet those that face left.

What this does not know: how true the saw cuts, and which way round a module will stand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fnmatch import fnmatchcase
from itertools import combinations_with_replacement

from boardwright import Notes, Place
from boardwright_timber.model import Board, Joint, JointPlug
from boardwright_timber.model.together import EndsMet

from ..checks.reassembly import drilled
from ..joints.ends import RAILS_MEET_MM
from ..joints.facing import hand_of
from .packs import Bought
from .proposing import End, Hole, propose

APART_MM = 0.01
NO_MATE_MM = 1000.0
COUNTERPART = {"plug": "socket", "socket": "plug", "connector": "connector"}
MENDS = (
    "Give all modules one pattern: write the profile proposed (BW-MANY-027) under [settings] of the series, "
    "or make ends, frames and [joints] the same."
)


def ends_of(module: Bought) -> Iterator[End]:
    """The ends of a module, by the names of its pack."""
    for name, board in module.boards.items():
        decks = [p.thickness_mm for p in module.parts[name].parts if p.role == "deck"]
        top = max(decks, default=0.0)
        for end in board.ends:
            yield End(
                name=f"{module.label}/{end.id}",
                hand=hand_of(end),
                length_mm=round(end.length_mm, 6),
                deck_above_floor_mm=round(module.floor_mm + board.level_mm + top, 6),
                holes=tuple(_holes(module, board, end, top)),
                rails_mm=tuple(
                    sorted(s.along_mm - end.length_mm / 2 for s in module.rails[name] if s.joint == end.id)
                ),
                plugs=tuple(p for p in module.plugs if p.joint == end.id),
            )


def _holes(module: Bought, board: Board, end: Joint, top_mm: float) -> Iterator[Hole]:
    ux, uy = ((end.end[k] - end.start[k]) / end.length_mm for k in (0, 1))
    mx, my = ((end.end[k] + end.start[k]) / 2 for k in (0, 1))
    for part in module.parts[board.id].parts:
        for hole in drilled(board, part):
            if hole.hole.joint == end.id:
                x, y, z = hole.at
                t = ux * (x - mx) + uy * (y - my)
                yield hole.hole.kind.value, hole.hole.diameter_mm, t, z - board.level_mm - top_mm


def proved(modules: Sequence[Bought], groups: Sequence[Sequence[str]], notes: Notes) -> tuple[EndsMet, ...]:
    """Every pair of ends that may meet, in the order of the modules; a fault for each that does not mate."""
    ends = [end for module in modules for end in ends_of(module)]
    handed = all(m.joints.pattern == "handed" for m in modules)
    for module in modules:
        if not any(e.name.startswith(f"{module.label}/") for e in ends):
            notes.fault(
                "BW-MANY-021",
                f"{module.label} has no end that mates with another module",
                Place(file=module.label),
                "Draw a joint along the edge of its plan where the next module comes.",
            )
    found = []
    for one, other in combinations_with_replacement(ends, 2):
        turned = one.hand == other.hand
        if (turned and handed) or not _meant(one, other, groups):
            continue
        met = meeting(one, other)
        found.append(met)
        _say(one, other, met, notes)
    apart = {name for met in found if met.apart_mm > APART_MM for name in (met.one, met.other)}
    if apart:
        propose([m for m in modules if any(e.startswith(f"{m.label}/") for e in apart)], ends, notes)
    if any(met.turned and met.connectors for met in found):
        notes.note(
            "BW-MANY-026",
            "Some modules may stand turned round: what is the front rail on one is then the back rail of "
            "the other",
            mend="Cross the two cores that feed the rails at both ends of a module that stands turned round, "
            "by a short lead marked so; else the rails meet as a short circuit. Common practice, no source.",
        )
    return tuple(found)


def _meant(one: End, other: End, groups: Sequence[Sequence[str]]) -> bool:
    def among(end: End, group: Sequence[str]) -> bool:
        return any(fnmatchcase(end.name.casefold(), pattern.casefold()) for pattern in group)

    return not groups or any(among(one, g) and among(other, g) for g in groups)


def meeting(one: End, other: End) -> EndsMet:
    """Two ends face to face."""
    apart = max(_farthest(one.holes, other.holes), _farthest(other.holes, one.holes))
    rails = None
    if len(one.rails_mm) == len(other.rails_mm):
        facing = sorted(-t for t in other.rails_mm)
        rails = max((abs(a - b) for a, b in zip(sorted(one.rails_mm), facing, strict=True)), default=0.0)
    amiss = plugged(one.plugs, other.plugs)
    return EndsMet(
        one=one.name,
        other=other.name,
        turned=one.hand == other.hand,
        holes=len(one.holes),
        apart_mm=round(apart, 6),
        rails_mm=None if rails is None else round(rails, 6),
        mates=bool(one.holes)
        and apart <= APART_MM
        and rails is not None
        and rails <= RAILS_MEET_MM
        and not amiss,
        connectors=len(one.plugs),
        amiss=amiss,
    )


def plugged(one: Sequence[JointPlug], other: Sequence[JointPlug]) -> str:
    """What is amiss when the connectors of two ends are put together, in words; empty: nothing is. Each half
    wants its counterpart, of as many ways, with the same name on every pin."""
    names = sorted({p.name for p in (*one, *other)})
    for name in names:
        mine, theirs = ([p for p in plugs if p.name == name] for plugs in (one, other))
        if not mine or not theirs:
            return f"{name} is at one of them alone"
        if sorted(COUNTERPART[p.half] for p in mine) != sorted(p.half for p in theirs):
            halves = [" and ".join(p.half for p in plugs) for plugs in (mine, theirs)]
            return f"{name}: {halves[0]} comes to {halves[1]}"
        pins = [
            [(p.ways, [(pin.number, pin.carries) for pin in p.pins]) for p in plugs]
            for plugs in (mine, theirs)
        ]
        if pins[0] != pins[1]:
            return f"{name}: its pins do not carry the same"
    return ""


def _farthest(mine: Sequence[Hole], theirs: Sequence[Hole]) -> float:
    """The farthest of my holes from its mate."""
    worst = 0.0
    for kind, wide, t, h in mine:
        mates = [math.hypot(t + u, h - v) for k, w, u, v in theirs if (k, w) == (kind, wide)]
        worst = max(worst, min(mates, default=NO_MATE_MM))
    return min(worst, NO_MATE_MM)


def _say(one: End, other: End, met: EndsMet, notes: Notes) -> None:
    where = [Place(item=one.name), Place(item=other.name)]
    if not one.holes or not other.holes:
        bare = one if not one.holes else other
        notes.fault("BW-MANY-022", f"The end {bare.name} has no holes to bolt a module to", where, MENDS)
    elif met.apart_mm > APART_MM:
        how = (
            "a hole of one has none of its kind and size on the other"
            if met.apart_mm >= NO_MATE_MM
            else f"a hole lies {met.apart_mm:.2f} mm from its mate"
        )
        notes.fault("BW-MANY-022", f"The ends {one.name} and {other.name} do not mate: {how}", where, MENDS)
    if met.amiss:
        notes.fault(
            "BW-MANY-025",
            f"What is plugged together where {one.name} comes to {other.name} does not fit: {met.amiss}",
            where,
            "Give all modules the same connectors in one profile of [module_ends]; ends that meet either way "
            'round want halves = "both" or "alike".',
        )
    if met.rails_mm is None or met.rails_mm > RAILS_MEET_MM:
        notes.caution(
            "BW-MANY-023",
            f"Rails do not meet where {one.name} comes to {other.name}: tracks cross them at "
            f"{_places(one.rails_mm)} and {_places(sorted(-t for t in other.rails_mm))} mm from the middle",
            where,
            "Lay the tracks alike, or say under [[mate]] which ends are to meet.",
        )
    if one.deck_above_floor_mm != other.deck_above_floor_mm or one.length_mm != other.length_mm:
        notes.note(
            "BW-MANY-024",
            f"{one.name} is {one.length_mm:g} mm wide with its deck {one.deck_above_floor_mm:g} mm above the "
            f"floor, {other.name} {other.length_mm:g} and {other.deck_above_floor_mm:g}",
            where,
            "Nothing, if that is meant: feet and a step in the edge take it up.",
        )


def _places(places: Sequence[float]) -> str:
    return ", ".join(f"{p:.1f}" for p in places) or "no place"
