"""What holds each member: butt joints with their pilot holes, mitres, and what these use up.

Claim: each pilot hole belongs to one butt joint, each joint and mitre to the step in which the later of its
two members is placed; so the steps together use just what the board's list of hardware has.

What this does not know: bolts and dowels of joints (they come when boards are joined), rails, wires.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

import msgspec

from boardwright_timber.model import (
    BoardEdging,
    BoardParts,
    Face,
    Frame,
    HardwareLine,
    Hole,
    HoleKind,
    Joists,
    Member,
    MemberRole,
    StepUse,
    Tie,
)

from ..edging.screws import edging_lines, edging_mm2
from ..hardware.blocking import BEHIND_BENT, SAME_HOLE_MM, block_strip, blocks, mitres
from ..hardware.glueing import bent_mm2, cores_mm2, end_mm2, laid_mm2, lapped_mm2, plates_mm2, tops_mm2
from ..hardware.screwing import (
    bent_screws,
    deck_screws,
    fishplate_screws,
    fishplates,
    flange_screws,
    pilot_screws,
    riser_screws,
    splice_screws,
)
from ..hardware.settings import HardwareSettings
from ..parts.butts import Butt
from .order import rests_on

PLATE = "splice plate"


class Held(msgspec.Struct, frozen=True):
    """A butt joint and the pilot holes of its screws."""

    butt: Butt
    pilots: tuple[Hole, ...]

    @property
    def pair(self) -> tuple[str, str]:
        return self.butt.through.id, self.butt.butting.id


class Holding(msgspec.Struct, frozen=True, kw_only=True):
    """All that holds one board together. ``at`` is each member's place in the order of placing."""

    frame: Frame
    joists: Joists
    parts: BoardParts
    settings: HardwareSettings
    held: tuple[Held, ...]
    mitres: tuple[tuple[Member, Member], ...]
    at: Mapping[str, int]

    @property
    def every(self) -> tuple[Member, ...]:
        return (*self.frame.members, *self.joists.members)

    def later(self, *ids: str) -> str:
        """The member placed last of some."""
        return max(ids, key=lambda id_: self.at[id_])

    def completed(self, ids: set[str]) -> list[Held]:
        """Butt joints that are made when these members are placed."""
        return [h for h in self.held if self.later(*h.pair) in ids]

    def ties(self, order: Sequence[Member]) -> tuple[Tie, ...]:
        """What each member is fixed to, then the same of the deck: everything whose top carries it."""
        pairs = [h.pair for h in self.held] + [(a.id, b.id) for a, b in self.mitres]
        pairs += [(a.id, b.id) for n, a in enumerate(order) for b in order[:n] if rests_on(a, b)]
        to: dict[str, set[str]] = {m.id: set() for m in order}
        for a, b in pairs:
            to[a].add(b)
            to[b].add(a)
        below = tuple(m.id for m in order if m.carries_deck)
        decks = tuple(p.id for p in self.parts.parts if p.role == "deck")
        return (
            *(Tie(part=m.id, to=tuple(sorted(to[m.id], key=lambda id_: self.at[id_]))) for m in order),
            *(Tie(part=b.id, to=()) for b in self.frame.bent),
            *(Tie(part=p.id, to=below) for p in self.parts.parts if p.role == "deck"),
            *(Tie(part=p.id, to=decks) for p in self.parts.parts if p.role == PLATE),
        )

    def uses(self, members: Sequence[Member]) -> tuple[StepUse, ...]:
        """What placing these members uses up."""
        ids = {m.id for m in members}
        made = self.completed(ids)
        flanges = [m for m in self.frame.members if m.role is MemberRole.FLANGE]
        laid = [m for m in members if m.role is MemberRole.FLANGE]
        plates = [p for p in fishplates(self.parts) if p.id in ids]
        lines: list[HardwareLine] = [
            *pilot_screws(p for h in made for p in h.pilots),
            *riser_screws(members, self.joists, self.settings),
            *fishplate_screws(plates, self.settings),
            *flange_screws(flanges, laid, [m for m in members if m.role is MemberRole.JOIST], self.settings),
        ]
        blocked = [
            b
            for b in blocks(self.frame, self.joists, self.parts)
            if b.why != BEHIND_BENT and self.later(*b.members) in ids
        ]
        if blocked:
            lines.append(block_strip([b.length_mm for b in blocked], ""))
        area = sum(end_mm2(h.butt) for h in made) + sum(laid_mm2(m, self.frame) for m in laid)
        area += cores_mm2(self.parts, ids) + lapped_mm2(plates)
        return (*_merged(lines), *self._glue(area))

    def edge_uses(self) -> tuple[StepUse, ...]:
        """What the curved edges use up."""
        behind = [b for b in blocks(self.frame, self.joists, self.parts) if b.why == BEHIND_BENT]
        lines = [
            *bent_screws(self.frame, self.joists, self.parts, self.settings),
            block_strip([b.length_mm for b in behind], ""),
        ]
        return (*_merged(lines), *self._glue(bent_mm2(self.frame)))

    def deck_uses(self) -> tuple[StepUse, ...]:
        """What the deck uses up."""
        lines = deck_screws(self.frame, self.joists, self.parts, self.settings)
        area = tops_mm2((*self.frame.members, *self.joists.members)) + plates_mm2(self.parts)
        return (*_merged([*lines, *splice_screws(self.parts, self.settings)]), *self._glue(area))

    def edging_uses(self, edging: BoardEdging) -> tuple[StepUse, ...]:
        """What strips along the edges use up."""
        return (*_merged(list(edging_lines(edging))), *self._glue(edging_mm2(edging)))

    def _glue(self, area_mm2: float) -> Iterator[StepUse]:
        needed = round(area_mm2 / 1e6 * self.settings.glue_ml_per_m2, 3)
        if needed:
            yield StepUse(item="wood-glue", says="Wood glue", quantity=needed, unit="ml")


def held_by(found: Sequence[Butt], parts: BoardParts) -> tuple[Held, ...]:
    """Butt joints with their pilot holes, each hole given to one joint."""
    left = {p.id: [h for h in p.holes if h.kind is HoleKind.PILOT] for p in parts.by_member.values()}
    answer = []
    for butt in found:
        mine = [h for h in left.get(butt.through.id, ()) if _is_of(h, butt)]
        for hole in mine:
            left[butt.through.id].remove(hole)
        answer.append(Held(butt, tuple(mine)))
    return tuple(answer)


def _is_of(hole: Hole, butt: Butt) -> bool:
    z = butt.through.bottom_mm + hole.y_mm
    return (
        abs(hole.x_mm - butt.through_mm) <= SAME_HOLE_MM
        and (hole.face is Face.OUTER) == butt.head_outer
        and butt.top_mm - butt.depth_mm <= z <= butt.top_mm
    )


def holding(
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: HardwareSettings,
    found: Sequence[Butt],
    order: Sequence[Member],
) -> Holding:
    return Holding(
        frame=frame,
        joists=joists,
        parts=parts,
        settings=settings,
        held=held_by(found, parts),
        mitres=tuple(mitres(frame)),
        at={m.id: n for n, m in enumerate(order)},
    )


def _merged(lines: Iterator[HardwareLine] | Sequence[HardwareLine]) -> list[StepUse]:
    """Lines of one item together, in the order of their names."""
    ordered = sorted(lines, key=lambda line: line.item)
    answer = []
    for item, group in groupby(ordered, key=lambda line: line.item):
        same = list(group)
        answer.append(
            StepUse(item=item, says=same[0].says, quantity=sum(x.quantity for x in same), unit=same[0].unit)
        )
    return answer
