"""One call of one stage, here or in a worker process: arguments in, bytes out, nothing else touched."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, as_completed
from dataclasses import dataclass, field
from typing import Any

from .. import canon
from ..errors import InputError
from ..findings import Finding, Notes
from ..settings import Section
from .asked import Asked


@dataclass(frozen=True)
class Work:
    """A function, its arguments by name, and the type its answer is settled as. Sent to workers by pickle.

    Sections go as themselves and are wrapped where the call is made; the parameter ``notes_name`` (if any)
    gets a fresh ``Notes``.
    """

    function: Callable[..., Any]
    arguments: dict[str, Any]
    notes_name: str | None
    answers: Any


@dataclass(frozen=True)
class Worked:
    """What a call gave: ``data`` is None when it failed, and then ``error`` and ``trace`` say how."""

    data: bytes | None
    findings: tuple[Finding, ...] = ()
    reads: dict[str, str] = field(default_factory=dict)
    error: str = ""
    trace: str = ""
    unusable_input: tuple[Finding, ...] = ()


def do(work: Work) -> Worked:
    """Make the call. Never raises: a failure of one item is told, and the others go on."""
    notes = Notes()
    reads: dict[str, str] = {}
    arguments = {n: Asked(a, reads) if isinstance(a, Section) else a for n, a in work.arguments.items()}
    if work.notes_name:
        arguments[work.notes_name] = notes
    try:
        _, data = canon.settle(work.function(**arguments), work.answers)
    except InputError as problem:
        return Worked(None, unusable_input=problem.findings)
    except Exception as problem:  # reported as a defect of ours with its traceback
        text = f"{type(problem).__name__}: {problem}"
        return Worked(None, error=text, trace="".join(traceback.format_exception(problem)))
    return Worked(data, tuple(notes.findings), reads)


def do_all[T](works: dict[T, Work], executor: Executor | None) -> Iterator[tuple[T, Worked]]:
    """Make every call, in worker processes when there are any; answers come as they are finished."""
    if executor is None or len(works) < 2:
        for name, work in works.items():
            yield name, do(work)
        return
    futures = {executor.submit(do, work): name for name, work in works.items()}
    try:
        for future in as_completed(futures):
            try:
                worked = future.result()
            except BrokenExecutor as problem:  # the process died under it: memory, or a crash in a library
                worked = Worked(None, error=f"a worker process died ({problem})", trace=str(problem))
            yield futures[future], worked
    finally:
        for future in futures:
            future.cancel()
