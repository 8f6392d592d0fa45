"""A study: every construction walked over the project's own store, so that only differences are computed.

A walk stops where the figures and the findings are known; nothing is drawn or written. The project as it
stands comes first, then the others side by side.

What this does not know: what the figures mean, and what is varied.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, as_completed
from functools import lru_cache
from pathlib import Path
from typing import Any

from ..engine import workers
from ..engine.known import KnownCode
from ..engine.outcome import LAYOUT, Progress
from ..engine.run import Run
from ..errors import InputError, PluginError
from ..figures import Figures
from ..findings import Severity
from ..packing import KEEP_BYTES, open_store, prepare, shown
from .choosing import counts, marked, steps
from .model import Construction, Study, Varied
from .varying import constructions

COUNTING = "constructions"

type Numbered = tuple[int, tuple[tuple[str, Any], ...]]


def study(
    project_file: Path, varied: Sequence[Varied], tell: Callable[[Progress], None], jobs: int | None = 1
) -> Study:
    """Walk and compare every construction. Raises InputError when the project itself cannot be used."""
    wanted = list(enumerate([(), *constructions(varied)]))
    mark = secrets.token_hex(8)
    name, first = walk(project_file, 0, {}, _known(mark))
    done: dict[int, Construction] = {0: first}
    for construction in _walked(project_file, wanted[1:], jobs, mark):
        done[construction.number] = construction
        tell(Progress(COUNTING, len(done), len(wanted), 0))
    store = open_store(project_file)
    try:
        if store.size_bytes() > 2 * KEEP_BYTES:
            store.tidy(KEEP_BYTES)
    finally:
        store.close()
    every = [done[number] for number in sorted(done)]
    keys = counts(every)
    return Study(
        name=name,
        varied=tuple(varied),
        counts=keys,
        constructions=marked(every, keys),
        steps=steps(varied, every, keys),
    )


def _walked(
    project_file: Path, wanted: Sequence[Numbered], jobs: int | None, mark: str
) -> Iterator[Construction]:
    pool: Executor | None = workers.start(jobs)
    if pool is None or len(wanted) < 2:
        for number, settings in wanted:
            yield construction(project_file, number, settings, mark)
        return
    with pool:
        calls = [pool.submit(construction, project_file, number, s, mark) for number, s in apart(wanted)]
        for call in as_completed(calls):
            yield call.result()


def apart(wanted: Sequence[Numbered]) -> list[Numbered]:
    """The same constructions in an order in which neighbours have as little in common as can be.

    Neighbours are walked at the same moment, and what both need would be computed twice; what was computed a
    while ago is in the store.
    """
    left = list(wanted)
    order = [left.pop(0)] if left else []
    while left:
        before = order[-2:]
        alike = [sum(_common(other, one) for other in before) for one in left]
        order.append(left.pop(alike.index(min(alike))))
    return order


def _common(one: Numbered, other: Numbered) -> int:
    return sum(a == b for a, b in zip(one[1], other[1], strict=True))


def construction(
    project_file: Path, number: int, settings: tuple[tuple[str, Any], ...], mark: str
) -> Construction:
    """One construction; one that is refused says why."""
    try:
        return walk(project_file, number, dict(settings), _known(mark))[1]
    except (InputError, PluginError) as error:
        return Construction(
            number=number,
            settings=settings,
            refused="; ".join(f.says for f in error.findings if f.severity is Severity.FAULT),
            findings=tuple(shown(f) for f in error.findings),
        )


@lru_cache(1)
def _known(mark: str) -> KnownCode:
    """The code that this process walks one study with."""
    return KnownCode()


def walk(
    project_file: Path, number: int, changes: Mapping[str, Any], known: KnownCode | None = None
) -> tuple[str, Construction]:
    """The layout's name and what it comes to with these changes. Raises InputError, PluginError."""
    store = open_store(project_file)
    try:
        ready = prepare(project_file, store, lambda _: None, Run, changes=changes, known=known)
        maker = ready.catalogue.maker(Figures)
        wanted = ready.catalogue.speaking()
        if maker is not None:
            wanted |= ready.catalogue.needs(maker.name)
        outcome = ready.run.go(wanted)
        value = outcome.values.get((Figures, LAYOUT))
    finally:
        store.close()
    found: Figures = value.get() if value else Figures()
    return ready.name, Construction(
        number=number,
        settings=tuple(changes.items()),
        figures=found.figures,
        findings=tuple(shown(f, ready.display) for f in outcome.findings),
    )
