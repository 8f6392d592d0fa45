"""Side by side: each stage begins as soon as the stages it needs are finished, its items in worker processes.

What is ready first is not what answers first, and nothing may depend on that: answers are kept as they come,
but a stage's answers are made known together and in item order, and what is said is sorted at the end.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from functools import cache
from heapq import heappop, heappush
from itertools import count
from typing import TYPE_CHECKING

from ..stages import Stage
from .work import Work, Worked, do
from .workers import Workers

if TYPE_CHECKING:
    from .run import Batch, Run, Unit


def flow(
    stages: Sequence[Stage], needs: Mapping[str, AbstractSet[str]], run: Run, executor: Executor
) -> None:
    """Run ``stages`` (makers before readers). A stage's only item with nothing beside it is called here.

    ``needs``: by stage, names of those that must be finished before it begins. While calls are under way,
    code of the stages to come is fingerprinted.

    No more is handed out than keeps the workers busy: what becomes ready meanwhile may be more urgent.

    When a worker dies, whatever was under way is lost with it; each of those items is then called again
    alone, so that only the one that kills its worker fails.
    """
    waiting = {s.name: s for s in stages}
    to_come = iter(stages)
    ahead = _ahead(stages, needs)
    under_way: dict[str, Batch] = {}
    todo: list[tuple[Urgency, int, Unit]] = []
    turn = count()
    calls: dict[Future[Worked], Unit] = {}
    again: list[Unit] = []
    most = executor.room if isinstance(executor, Workers) else math.inf
    try:
        while waiting or under_way:
            begun = {s.name: run.begin(s) for s in _ready(waiting, under_way, needs)}
            for name in begun:
                del waiting[name]
            under_way |= begun
            for unit in (unit for b in begun.values() for unit in b.todo):
                heappush(todo, (_urgency(unit, ahead, run), next(turn), unit))
            if len(todo) == 1 and not calls and not again:
                *_, unit = todo[0]
                batch = under_way[unit[0].name]
                if len(batch.todo) == 1:  # the last of several goes to a worker as they did
                    todo.clear()
                    run.take(batch, unit, do(run.work(*unit)))
            while todo and len(calls) < most:
                *_, unit = heappop(todo)
                calls[_submit(executor, run.work(*unit))] = unit
            alone = again.pop() if again and not calls and not todo else None
            if alone:
                calls[_submit(executor, run.work(*alone))] = alone
            finished = [name for name, b in under_way.items() if _is_finished(b)]
            if not finished:
                for call in _answered(calls, to_come, run):
                    unit = calls.pop(call)
                    worked = _result(call, fails=unit == alone)
                    if worked:
                        run.take(under_way[unit[0].name], unit, worked)
                    else:
                        again.append(unit)
            for name in finished:
                run.finish(under_way.pop(name))
    finally:
        for call in calls:
            call.cancel()


def _answered(
    calls: Mapping[Future[Worked], Unit], to_come: Iterator[Stage], run: Run
) -> set[Future[Worked]]:
    """Calls that have answered, of those under way: at least one."""
    while not (done := {call for call in calls if call.done()}) and (s := next(to_come, None)):
        run.look_up(s)
    return done or wait(calls, return_when=FIRST_COMPLETED).done


def _ready(
    waiting: Mapping[str, Stage], under_way: Mapping[str, Batch], needs: Mapping[str, AbstractSet[str]]
) -> list[Stage]:
    unfinished = waiting.keys() | under_way.keys()
    return [s for s in waiting.values() if not needs[s.name] & unfinished]


def _is_finished(batch: Batch) -> bool:
    return len(batch.missing) + len(batch.answers) + len(batch.failed) == len(batch.units)


def _ahead(stages: Sequence[Stage], needs: Mapping[str, AbstractSet[str]]) -> dict[str, int]:
    """How many stages one after the other still wait for each stage, itself counted."""
    readers: dict[str, list[str]] = {s.name: [] for s in stages}
    for s in stages:
        for maker in needs[s.name] & readers.keys():
            readers[maker].append(s.name)

    @cache
    def chain(name: str) -> int:
        return 1 + max(map(chain, readers[name]), default=0)

    return {name: chain(name) for name in readers}


type Urgency = tuple[int, bool, bool, int]


def _urgency(unit: Unit, ahead: dict[str, int], run: Run) -> Urgency:
    """First what the longest row of stages waits for, then what all outputs wait for; then what is made for
    the whole layout, and of the most: it is likely to take longest."""
    s, _ = unit
    return -ahead[s.name], s.name not in run.speaking, s.each, -len(s.inputs)


def _submit(executor: Executor, work: Work) -> Future[Worked]:
    try:
        return executor.submit(do, work)
    except BrokenExecutor as problem:
        call: Future[Worked] = Future()
        call.set_exception(problem)
        return call


def _result(call: Future[Worked], fails: bool) -> Worked | None:
    """What a call gave; when its process died, None or, with ``fails``, the failure."""
    try:
        return call.result()
    except BrokenExecutor as problem:  # memory, or a crash in a library
        return Worked(None, error=f"its process died ({problem})", trace=str(problem)) if fails else None
