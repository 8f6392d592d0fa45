"""One call of one stage, here or in a worker process: arguments in, bytes out, nothing else touched."""

from __future__ import annotations

import traceback
import types
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from .. import canon, stopping
from ..errors import InputError
from ..findings import Finding, Notes
from ..memo import Memo
from ..settings import Section
from .asked import Asked
from .decoding import decoded, lend, unchangeable


class Carried(msgspec.Struct, frozen=True):
    """An artefact on its way to a call: its bytes, decoded where the call is made (``decoding``)."""

    data: bytes
    kind: Any
    digest: str = ""

    def decoded(self, digests: dict[int, str] | None = None) -> Any:
        """The value; where nothing can change it, its digest is noted in ``digests``, by its ``id``."""
        value = decoded(self.data, self.kind)
        if digests is not None and self.digest and unchangeable(self.kind):
            digests[id(value)] = self.digest
        return value


class CarriedByItem(msgspec.Struct, frozen=True):
    """Artefacts of one type, by item."""

    items: dict[str, Carried]

    def decoded(self, digests: dict[int, str] | None = None) -> dict[str, Any]:
        return {item: carried.decoded(digests) for item, carried in self.items.items()}


class Work(msgspec.Struct, frozen=True):
    """A function, its arguments by name, and the type its answer is settled as. Sent to workers by pickle.

    Artefacts are carried as bytes, or given as they are. Sections go as themselves and are wrapped where
    the call is made; the parameter ``notes_name`` (if any) gets a fresh ``Notes``, and ``memo_name`` (if any)
    a ``Memo`` of the pieces ``kept``.
    """

    function: Callable[..., Any]
    arguments: dict[str, Any]
    notes_name: str | None
    answers: Any
    memo_name: str | None = None
    kept: dict[str, bytes] = {}


class Worked(msgspec.Struct, frozen=True):
    """What a call gave: ``data`` is None when it failed, and then ``error`` and ``trace`` say how.

    ``pieces``: what the call used of its memo, made or found, for the next one.
    """

    data: bytes | None
    findings: tuple[Finding, ...] = ()
    reads: dict[str, str] = {}
    error: str = ""
    trace: str = ""
    unusable_input: tuple[Finding, ...] = ()
    pieces: dict[str, bytes] = {}


def do(work: Work) -> Worked:
    """Make the call. Never raises but for Ctrl-C: a failure of one item is told, and the others go on."""
    notes = Notes()
    reads: dict[str, str] = {}
    digests: dict[int, str] = {}
    arguments = {name: _argument(given, reads, digests) for name, given in work.arguments.items()}
    if work.notes_name:
        arguments[work.notes_name] = notes
    memo = Memo(work.kept, digests)
    if work.memo_name:
        arguments[work.memo_name] = memo
    try:
        answer, data = canon.settle(work.function(**arguments), work.answers)
    except InputError as problem:
        return Worked(None, unusable_input=problem.findings)
    except Exception as problem:  # reported as a defect of ours with its traceback
        if stopping.is_asked_for():
            raise KeyboardInterrupt from problem
        return Worked(None, error=_told(problem, work), trace="".join(traceback.format_exception(problem)))
    lend(answer, data, work.answers)
    return Worked(data, tuple(notes.findings), reads, pieces=memo.used)


def _told(problem: Exception, work: Work) -> str:
    """With the line of the stage's own file where it went wrong; none where what it answered did."""
    file = work.function.__code__.co_filename if isinstance(work.function, types.FunctionType) else ""
    own = [line for line in traceback.extract_tb(problem.__traceback__) if line.filename == file]
    if own:
        return f"{type(problem).__name__}: {problem} ({Path(file).name}, line {own[-1].lineno})"
    if file and isinstance(problem, msgspec.ValidationError):
        return f"what it answers is no {getattr(work.answers, '__name__', work.answers)}: {problem}"
    return f"{type(problem).__name__}: {problem}"


def _argument(given: Any, reads: dict[str, str], digests: dict[int, str]) -> Any:
    if isinstance(given, Carried | CarriedByItem):
        return given.decoded(digests)
    return Asked(given, reads) if isinstance(given, Section) else given
