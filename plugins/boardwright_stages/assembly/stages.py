"""The steps stage: how one board is put together, from the first strip to the deck."""

from __future__ import annotations

import math
from itertools import groupby, pairwise

from boardwright import stage
from boardwright_timber.model import (
    BoardEdging,
    BoardParts,
    BoardSteps,
    EdgeKind,
    Frame,
    Joists,
    Member,
    MemberRole,
    SeenBody,
    Step,
    StepKind,
    Tie,
)

from ..edging.words import edging_step, held_to
from ..hardware.settings import HardwareSettings
from ..parts.butts import butts
from ..viewing.slabs import ON_TOP
from ..viewing.solids import edge_prisms, in_place, prisms
from .holding import holding
from .order import Kinds, blocked, kinds_of, placing_order
from .painting import Body, painted
from .words import TITLES, checks_of, deck_lines, edge_lines, part_lines

#: So many parts one picture can name well.
MOST_IN_STEP = {StepKind.FRAME: 4}
MOST_OF_OTHERS = 8
LIFT_SHARE = 0.2  # of length plus width: clear of the frame, and still near it

NO_EDGING = BoardEdging()


@stage(each=True)
def steps(
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: HardwareSettings,
    edging: BoardEdging = NO_EDGING,
) -> BoardSteps:
    """Steps in order of work, and the board's wood ready to be painted."""
    members = (*frame.members, *joists.members)
    found = butts(members)
    kinds = kinds_of(members, joists)
    order = placing_order(members, found, kinds)
    hold = holding(frame, joists, parts, settings, found, order)
    cramped = {hold.later(b.through.id, b.butting.id) for b in blocked(order, found)}
    groups = _groups(order, kinds)
    on_girders = any(m.role is MemberRole.GIRDER for m in members)
    squared = _when_square([kind for kind, _ in groups], on_girders)
    made = [
        Step(
            number=n + 1,
            kind=kind,
            title=_title(kind, n, [k for k, _ in groups]),
            adds=tuple(m.id for m in group),
            do=part_lines(hold, group, kind, any(k is kind for k, _ in groups[:n])),
            uses=hold.uses(group),
            checks=checks_of(kind, frame, n == squared),
            short_drill=tuple(m.id for m in group if m.id in cramped),
        )
        for n, (kind, group) in enumerate(groups)
    ]
    if frame.bent:
        made.append(
            Step(
                number=len(made) + 1,
                kind=StepKind.EDGES,
                title=TITLES[StepKind.EDGES],
                adds=tuple(b.id for b in frame.bent),
                do=edge_lines(frame),
                uses=hold.edge_uses(),
            )
        )
    decks = tuple(p.id for p in parts.parts if p.role in ON_TOP)
    if decks:
        made.append(
            Step(
                number=len(made) + 1,
                kind=StepKind.DECK,
                title=TITLES[StepKind.DECK],
                adds=decks,
                do=deck_lines(parts, settings, frame),
                uses=hold.deck_uses(),
                checks=checks_of(StepKind.DECK, frame, False),
            )
        )
    deck_mm = max((p.thickness_mm for p in parts.parts if p.id in decks), default=0.0)
    for kind in (k for k in EdgeKind if edging.of(k).strips):
        own = edging.of(kind)
        made.append(
            Step(
                number=len(made) + 1,
                kind=StepKind(kind.value),
                title=TITLES[StepKind(kind.value)],
                adds=tuple(s.id for s in own.strips),
                do=edging_step(edging, deck_mm, kind),
                uses=hold.edging_uses(own),
            )
        )
    along = [s for kind in EdgeKind for s in edging.of(kind).strips]
    lift = _lift_mm(frame)
    return BoardSteps(
        board=frame.board,
        steps=tuple(made),
        bodies=_bodies(frame, joists, parts, edging, lift),
        ties=(*hold.ties(order), *(Tie(part=s.id, to=held_to(s)) for s in along)),
        lift_mm=lift,
    )


def _groups(order: list[Member], kinds: Kinds) -> list[tuple[StepKind, list[Member]]]:
    """Members of one kind that follow each other, in groups of nearly one size that a picture can name."""
    found = []
    for kind, together in groupby(order, key=lambda m: kinds[m.id]):
        members = list(together)
        number = math.ceil(len(members) / MOST_IN_STEP.get(kind, MOST_OF_OTHERS))
        starts = [round(n * len(members) / number) for n in range(number + 1)]
        found += [(kind, members[a:b]) for a, b in pairwise(starts)]
    return found


def _title(kind: StepKind, n: int, kinds: list[StepKind]) -> str:
    several = kinds.count(kind)
    return TITLES[kind] + (f", {kinds[:n].count(kind) + 1} of {several}" if several > 1 else "")


def _when_square(kinds: list[StepKind], on_girders: bool) -> int:
    """The step at whose end diagonals are measured: when the frame closes, on girders when joists lie."""
    for kind in (StepKind.FRAME, StepKind.JOISTS):
        if kind in kinds and not (kind is StepKind.FRAME and on_girders):
            return max(n for n, k in enumerate(kinds) if k is kind)
    return len(kinds) - 1


def _lift_mm(frame: Frame) -> float:
    xs, ys = [p[0] for p in frame.outer], [p[1] for p in frame.outer]
    return round(LIFT_SHARE * (max(xs) - min(xs) + max(ys) - min(ys)), -1)


def _bodies(
    frame: Frame, joists: Joists, parts: BoardParts, edging: BoardEdging, lift_mm: float
) -> tuple[SeenBody, ...]:
    names = [
        *((m.id, of) for m, of in in_place(frame, joists)),
        *((b.id, "") for b in frame.bent),
        *((p.id, "") for p in parts.parts if p.role in ON_TOP),
        *((p.id, "" if p.id == s.id else s.id) for s in edging.strips for p in s.pieces),
    ]
    found = [*prisms(frame, joists, parts.parts, lift_mm), *edge_prisms(edging)]
    return painted([Body(name, prism, of) for (name, of), prism in zip(names, found, strict=True)])
