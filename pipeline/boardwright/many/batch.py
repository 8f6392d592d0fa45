"""A batch: many projects packed, each by itself, side by side. One that fails does not stop the others.

Claim: every pack is what `boardwright pack` would have written there, whichever process made it. The order
of the answers is that of the projects, not of the finishing.

What this does not know: how many cores another machine has; a cluster's scheduler shares out the work there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import BrokenExecutor, Executor, Future, as_completed

from ..engine import workers
from ..engine.outcome import Progress
from .model import Project
from .one import Done, broken, pack_one
from .projects import Order

COUNTING = "projects"


def batch(
    projects: Mapping[str, Order], tell: Callable[[Progress], None], jobs: int | None = None
) -> Iterator[Done]:
    """Pack every project into its folder; each is answered as it is finished.

    Nothing is told before the processes have begun: a live line is a thread, and then they cannot be forked.
    """
    stood = 0
    for number, done in enumerate(_done(projects, jobs), 1):
        stood += done.how.startswith("nothing changed")
        tell(Progress(COUNTING, number, len(projects), stood))
        yield done


def _done(projects: Mapping[str, Order], jobs: int | None) -> Iterator[Done]:
    pool = workers.start(jobs)
    if pool is None or len(projects) < 2:
        for label, order in projects.items():
            yield pack_one(label, order)
        return
    _load()
    with pool:
        yield from gathered(pool, projects)


def gathered(pool: Executor, projects: Mapping[str, Order]) -> Iterator[Done]:
    """All projects by the pool's processes. When one of them dies, what was lost with it is packed again one
    by one, so that only the project that kills its process fails."""
    calls: dict[Future[Done], str] = {
        pool.submit(pack_one, label, order): label for label, order in projects.items()
    }
    lost = []
    try:
        for call in as_completed(calls):
            try:
                yield call.result()
            except BrokenExecutor:
                lost.append(calls[call])
        for label in sorted(lost):
            try:
                yield pool.submit(pack_one, label, projects[label]).result()
            except BrokenExecutor as problem:
                yield broken(label, problem)
    finally:
        for call in calls:
            call.cancel()


def _load() -> None:
    """Plugins and what they import, before the processes are forked from this one."""
    from ..plugins import make_plugin_manager

    make_plugin_manager()


def in_order(projects: Iterable[str], done: Mapping[str, Done]) -> tuple[Project, ...]:
    return tuple(done[label].project for label in projects)
