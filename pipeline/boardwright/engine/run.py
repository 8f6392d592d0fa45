"""The walk: every stage in order, every board in turn, reusing what is stored and running what is not.

Stage bodies are called in ``work``, here or in worker processes. A stage that raises is reported as a fault
of ours; what depends on it is *not built*; everything else finishes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor
from typing import Any

import msgspec

from .. import canon
from ..catalogue import Catalogue
from ..errors import InputError, PluginError
from ..findings import Finding, FindingList, Place, Severity, worst_first
from ..settings import Section
from ..stages import Files, Input, Provenance, Reads, Stage
from .asked import fingerprint
from .codeprint import CodePrints
from .keys import Key
from .store import Step, Store
from .work import Work, Worked, do_all

type Unit = tuple[Stage, str]

LAYOUT = ""  # the item name of a stage that runs once for the whole layout


class Value:
    """An artefact by digest; decoded when a stage first asks for it."""

    def __init__(self, digest: str, data: bytes, kind: Any) -> None:
        self.digest = digest
        self.data = data
        self._kind = kind
        self._value: Any = None

    def get(self) -> Any:
        if self._value is None:
            self._value = canon.decode(self.data, self._kind)
        return self._value


class Progress(msgspec.Struct, frozen=True):
    """Told after each item: how far a stage is and how much of it was reused."""

    stage: str
    done: int
    total: int
    reused: int


class Outcome(msgspec.Struct):
    """What a run gave. ``files``: the pack by path; ``not_built``: (stage, item) that failed or waited."""

    files: dict[str, bytes] = {}
    findings: tuple[Finding, ...] = ()
    computed: int = 0
    reused: int = 0
    defects: list[str] = []
    not_built: list[tuple[str, str]] = []
    values: dict[tuple[Any, str], Value] = {}


class Run:
    """One walk over a catalogue."""

    def __init__(
        self,
        catalogue: Catalogue,
        given: Mapping[Any, tuple[Any, tuple[Finding, ...]]],
        sections: Mapping[str, Section],
        provenance: Provenance,
        store: Store,
        prints: CodePrints,
        libraries: Mapping[str, str],
        tell: Callable[[Progress], None],
        executor: Executor | None = None,
    ) -> None:
        self._catalogue = catalogue
        self._sections = sections
        self._provenance = provenance
        self._store = store
        self._prints = prints
        self._libraries = canon.digest(canon.encode(dict(libraries)))
        self._tell = tell
        self._executor = executor
        self._listed: FindingList | None = None
        self._written: dict[str, Stage] = {}
        self._settings_now = {
            f"{table}.{name}": fingerprint(getattr(section, name))
            for table, section in sections.items()
            for name in section.__struct_fields__
        }
        self._each = {s.makes for s in catalogue.stages if s.each or s.items}
        self._items: tuple[str, ...] = ()
        self._neighbours: dict[str, tuple[str, ...]] = {}
        self.outcome = Outcome()
        findings: list[Finding] = []
        for kind, (value, said) in given.items():
            _, data = canon.settle(value, kind)
            self.outcome.values[kind, LAYOUT] = Value(canon.digest(data), data, kind)
            findings.extend(said)
        store.keep_blobs([v.data for v in self.outcome.values.values()])
        self._findings = findings
        self._walked: dict[tuple[str, str], Step] = {}

    def go(self, only: frozenset[str] | None = None) -> Outcome:
        """Walk the stages, then the outputs; with ``only``, just the stages of those names."""
        for s in self._catalogue.stages:
            if only is None or s.name in only:
                self._batch(self._units(s))
        self.outcome.findings = worst_first(self._findings)
        if only is None:
            self._listed = FindingList(findings=self.outcome.findings)
            self._batch([unit for s in self._catalogue.outputs for unit in self._units(s)])
            if not self.outcome.defects:
                self._store.keep_walk(self._walked)
        return self.outcome

    def _units(self, s: Stage) -> list[Unit]:
        return [(s, item) for item in (self._items if s.each else (LAYOUT,))]

    def _batch(self, units: list[Unit]) -> None:
        """Reuse or run units that do not depend on each other; accept their answers in the order given."""
        missing = {u: m for u in units if (m := [i for i in u[0].inputs if not self._has(i, u[1])])}
        answers: dict[Unit, tuple[bytes, tuple[Finding, ...]]] = {}
        todo: dict[Unit, Key] = {}
        count = _Count(units, self._tell)
        for unit in units:
            if unit in missing:
                continue
            key = Key(unit[0].name, unit[1], self._parts(*unit))
            stored = self._store.find(key, self._settings_now)
            data = self._store.blob(stored.output) if stored else None
            if stored and data is not None:
                answers[unit] = data, stored.findings
                self.outcome.reused += 1
                self._walked[key.stage, key.item] = Step(key.parts, stored.reads)
                count.done(unit, reused=True)
            else:
                todo[unit] = key
        failed = {}
        for unit, worked in self._compute(todo):
            if worked.unusable_input:
                raise InputError(worked.unusable_input)
            count.done(unit, reused=False)
            if worked.data is None:
                failed[unit] = worked
                continue
            key = todo[unit]
            self._store.keep(key, worked.reads, worked.data, worked.findings)
            self.outcome.computed += 1
            self._walked[key.stage, key.item] = Step(key.parts, worked.reads)
            answers[unit] = worked.data, worked.findings
        for unit in units:
            if unit in missing:
                self._not_built(*unit, missing[unit])
            elif unit in failed:
                self._defect(*unit, failed[unit])
            elif unit in answers:
                self._accept(*unit, *answers[unit])

    def _compute(self, todo: dict[Unit, Key]) -> Iterator[tuple[Unit, Worked]]:
        return do_all({unit: self._work(*unit) for unit in todo}, self._executor)

    def _work(self, s: Stage, item: str) -> Work:
        return Work(
            s.function,
            {i.name: self._argument(i, item) for i in s.inputs if i.reads is not Reads.NOTES},
            next((i.name for i in s.inputs if i.reads is Reads.NOTES), None),
            s.answers,
        )

    def _has(self, i: Input, item: str) -> bool:
        """Whether an input is there. A neighbour that failed is waited for; of All, it is left out."""
        if i.reads is Reads.NEAR:
            return all((i.type, b) in self.outcome.values for b in self._neighbours.get(item, ()))
        if i.reads is not Reads.ONE:
            return True
        return (i.type, item if i.type in self._each else LAYOUT) in self.outcome.values

    def _parts(self, s: Stage, item: str) -> dict[str, str]:
        parts = {
            "version": str(s.version),
            "code": self._prints.of(s.function.__module__),
            "libraries": self._libraries,
        }
        for i in s.inputs:
            if i.reads is Reads.ONE:
                parts[i.name] = self._one(i, item).digest
            elif i.reads in (Reads.ALL, Reads.NEAR):
                many = {b: v.digest for b, v in self._many(i, item).items()}
                parts[i.name] = canon.encode(many).decode()
            elif i.reads is Reads.FINDINGS:
                parts[i.name] = canon.digest(canon.encode(self._listed))
            elif i.reads is Reads.PROVENANCE:
                parts[i.name] = canon.digest(canon.encode(self._provenance))
        return parts

    def _one(self, i: Input, item: str) -> Value:
        return self.outcome.values[i.type, item if i.type in self._each else LAYOUT]

    def _many(self, i: Input, item: str) -> dict[str, Value]:
        if i.reads is Reads.NEAR:
            wanted = self._neighbours.get(item, ())
        else:  # the same boards of every artefact: those of which nothing failed so far
            failed = {b for _, b in self.outcome.not_built}
            wanted = tuple(b for b in self._items if b not in failed)
        return {b: self.outcome.values[i.type, b] for b in wanted}

    def _argument(self, i: Input, item: str) -> Any:
        match i.reads:
            case Reads.ONE:
                return self._one(i, item).get()
            case Reads.ALL | Reads.NEAR:
                return {b: v.get() for b, v in self._many(i, item).items()}
            case Reads.SETTINGS:
                return self._sections[i.type.table_name]
            case Reads.FINDINGS:
                return self._listed
            case Reads.PROVENANCE:
                return self._provenance

    def _accept(self, s: Stage, item: str, data: bytes, findings: tuple[Finding, ...]) -> None:
        self._findings.extend(findings)
        if s.output:
            self._add_files(s, canon.decode(data, Files).files)
        elif s.items:
            self._define_items(s, canon.decode(data, s.answers))
        else:
            self.outcome.values[s.makes, item] = Value(canon.digest(data), data, s.makes)

    def _define_items(self, s: Stage, items: dict[str, Any]) -> None:
        self._items = tuple(sorted(items))
        for name in self._items:
            data = canon.encode(items[name])
            self.outcome.values[s.makes, name] = Value(canon.digest(data), data, s.makes)
            self._neighbours[name] = tuple(getattr(items[name], "neighbours", ()))
        self._store.keep_blobs([self.outcome.values[s.makes, name].data for name in self._items])

    def _add_files(self, s: Stage, files: dict[str, bytes]) -> None:
        for path, data in files.items():
            first = self._written.setdefault(path.casefold(), s)
            if first is not s or path in self.outcome.files:
                raise PluginError.of(
                    "BW-PLUG-012",
                    f"two outputs write {path}: {first.where} and {s.where}",
                    Place(item=s.plugin or None),
                    "Uninstall one of the plugins, or give one output another path.",
                )
            self.outcome.files[path] = data

    def _defect(self, s: Stage, item: str, worked: Worked) -> None:
        self.outcome.defects.append(worked.trace)
        self.outcome.not_built.append((s.name, item))
        self._findings.append(
            Finding(
                code="BW-ENG-001",
                severity=Severity.FAULT,
                says=f"{s.name} failed{_of(item)}: {worked.error}",
                where=(Place(board=item or None, item=s.where),),
                mend="This is a defect of ours (or of the plugin named), not of your plan: please report it.",
            )
        )

    def _not_built(self, s: Stage, item: str, missing: list[Input]) -> None:
        self.outcome.not_built.append((s.name, item))
        needs = ", ".join(i.type.__name__ for i in missing)
        self._findings.append(
            Finding(
                code="BW-ENG-002",
                severity=Severity.FAULT,
                says=f"{s.name}{_of(item)} is not built: it needs {needs}, which failed",
                where=(Place(board=item or None, item=s.where),),
                mend="See the fault that came first.",
            )
        )


class _Count:
    """Counts a batch's units by stage for the progress line."""

    def __init__(self, units: list[Unit], tell: Callable[[Progress], None]) -> None:
        self._tell = tell
        self._total: dict[str, int] = {}
        self._done: dict[str, int] = {}
        self._reused: dict[str, int] = {}
        for s, _ in units:
            self._total[s.name] = self._total.get(s.name, 0) + 1
        for name, total in self._total.items():
            tell(Progress(name, 0, total, 0))

    def done(self, unit: Unit, reused: bool) -> None:
        name = unit[0].name
        self._done[name] = self._done.get(name, 0) + 1
        self._reused[name] = self._reused.get(name, 0) + reused
        self._tell(Progress(name, self._done[name], self._total[name], self._reused[name]))


def _of(item: str) -> str:
    return f" for board {item}" if item else ""
