"""Which of the plan's parts each made part serves as.

Claim: a part stays where it stood, as it is built in, if it can; else it serves in its own board; else in
another, but for those of a board all of whose parts are made: it may be put together.
"""

from __future__ import annotations

from collections.abc import Mapping

from boardwright_timber.likeness import Work, work_on
from boardwright_timber.model import Part
from boardwright_timber.model.made import MadePlace, MadeRecord

from ..changes.matching import matched
from .places import apart_mm, in_line, is_turned

MOVED_MM = 1.0  # nearer to where it stood a part is where it was: common practice, no source


def paired(
    record: MadeRecord, planned: Mapping[str, Part], stands: Mapping[str, MadePlace]
) -> dict[str, Part]:
    """By number of a made part, what it serves as: where it stood, else in its board, else in another."""
    made, plan = {p.id: p for p in record.parts}, dict(planned)
    stood = {name: place for b in record.boards for name, place in b.places.items()}
    pairs: dict[str, Part] = {}

    def keep(one: str, other: str) -> None:
        pairs[one] = plan.pop(other)
        del made[one]

    for name in sorted(made.keys() & stood.keys()):
        here = [
            (work, other)
            for other, new in plan.items()
            if new.board == made[name].board
            and (work := as_built_in(made[name], new, stood[name], stands[other])) is not None
        ]
        if here:
            keep(name, min(here)[1])
    for board in sorted({p.board for p in made.values()}):
        own = [p for p in made.values() if p.board == board]
        for a, b in matched(own, [p for p in plan.values() if p.board == board]):
            keep(a.id, b.id)
    built = {b.id for b in record.boards if b.complete}
    loose = [p for p in made.values() if p.board not in built]
    for a, b in matched(loose, list(plan.values())):
        keep(a.id, b.id)
    return pairs


def work_of(
    made: Part, new: Part, stood: Mapping[str, MadePlace], stands: Mapping[str, MadePlace]
) -> Work | None:
    """What makes a made part another; turned end for end only where it cannot stay as it is built in."""
    if made.board == new.board and made.id in stood:
        work = as_built_in(made, new, stood[made.id], stands[new.id])
        if work is not None:
            return work
    return work_on(made, new)


def as_built_in(made: Part, new: Part, was: MadePlace, is_: MadePlace) -> Work | None:
    """What makes a made part the one at its place, without taking it out; None: it must come out."""
    if apart_mm(was, is_) > MOVED_MM or not in_line(was, is_):
        return None
    return work_on(made, new, is_turned(was, is_))
