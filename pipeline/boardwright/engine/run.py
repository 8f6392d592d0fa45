"""The walk: every stage in order, every board in turn, reusing what is stored and running what is not.

The only module that calls stage bodies. A stage that raises is reported as a fault of ours; what depends on
it is *not built*; everything else finishes.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from .. import canon
from ..catalogue import Catalogue
from ..errors import InputError
from ..findings import Finding, FindingList, Notes, Place, Severity, worst_first
from ..settings import Section
from ..stages import Files, Input, Provenance, Reads, Stage
from .asked import Asked, fingerprint
from .codeprint import CodePrints
from .keys import Key
from .store import Step, Store

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
    """What a run gave. ``files`` is the pack by path; ``not_built`` names (stage, item) that failed or waited."""

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
    ) -> None:
        self._catalogue = catalogue
        self._sections = sections
        self._provenance = provenance
        self._store = store
        self._prints = prints
        self._libraries = canon.digest(canon.encode(dict(libraries)))
        self._tell = tell
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
            settled, data = canon.settle(value, kind)
            self.outcome.values[kind, LAYOUT] = Value(canon.digest(data), data, kind)
            findings.extend(said)
        store.keep_blobs([v.data for v in self.outcome.values.values()])
        self._findings = findings
        self._walked: dict[tuple[str, str], Step] = {}

    def go(self, only: frozenset[str] | None = None) -> Outcome:
        """Walk the stages, then the outputs; with ``only``, just the stages of those names."""
        for s in self._catalogue.stages:
            if only is None or s.name in only:
                self._stage(s)
        self.outcome.findings = worst_first(self._findings)
        listed = FindingList(findings=self.outcome.findings)
        for s in self._catalogue.outputs if only is None else ():
            self._stage(s, listed)
        if only is None and not self.outcome.defects:
            self._store.keep_walk(self._walked)
        return self.outcome

    def _stage(self, s: Stage, listed: FindingList | None = None) -> None:
        items = self._items if s.each else (LAYOUT,)
        reused = 0
        self._tell(Progress(s.name, 0, len(items), 0))
        for done, item in enumerate(items, start=1):
            missing = [i for i in s.inputs if not self._has(i, item)]
            if missing:
                self._not_built(s, item, missing)
                continue
            reused += self._item(s, item, listed)
            self._tell(Progress(s.name, done, len(items), reused))

    def _has(self, i: Input, item: str) -> bool:
        """Whether an input is there. Of All and Near, items that failed are left out, never waited for."""
        if i.reads is not Reads.ONE:
            return True
        return (i.type, item if i.type in self._each else LAYOUT) in self.outcome.values

    def _item(self, s: Stage, item: str, listed: FindingList | None) -> bool:
        """Reuse or run one item; returns whether it was reused."""
        key = Key(s.name, item, self._parts(s, item, listed))
        stored = self._store.find(key, self._settings_now)
        data = self._store.blob(stored.output) if stored else None
        if stored and data is not None:
            self.outcome.reused += 1
            self._walked[s.name, item] = Step(key.parts, stored.reads)
            self._accept(s, item, data, stored.findings)
            return True
        notes = Notes()
        reads: dict[str, str] = {}
        try:
            answer = s.function(**{i.name: self._argument(i, item, notes, reads, listed) for i in s.inputs})
            _, data = canon.settle(answer, dict[str, s.makes] if s.items else s.makes)  # type: ignore[name-defined]
        except InputError:
            raise
        except Exception as problem:  # one board's failure never stops another's; reported as a defect of ours
            self._defect(s, item, problem)
            return False
        findings = tuple(notes.findings)
        self._store.keep(key, reads, data, findings)
        self.outcome.computed += 1
        self._walked[s.name, item] = Step(key.parts, reads)
        self._accept(s, item, data, findings)
        return False

    def _parts(self, s: Stage, item: str, listed: FindingList | None) -> dict[str, str]:
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
                parts[i.name] = canon.digest(canon.encode(listed))
            elif i.reads is Reads.PROVENANCE:
                parts[i.name] = canon.digest(canon.encode(self._provenance))
        return parts

    def _one(self, i: Input, item: str) -> Value:
        return self.outcome.values[i.type, item if i.type in self._each else LAYOUT]

    def _many(self, i: Input, item: str) -> dict[str, Value]:
        wanted = self._items if i.reads is Reads.ALL else self._neighbours.get(item, ())
        return {b: self.outcome.values[i.type, b] for b in wanted if (i.type, b) in self.outcome.values}

    def _argument(
        self, i: Input, item: str, notes: Notes, reads: dict[str, str], listed: FindingList | None
    ) -> Any:
        match i.reads:
            case Reads.ONE:
                return self._one(i, item).get()
            case Reads.ALL | Reads.NEAR:
                return {b: v.get() for b, v in self._many(i, item).items()}
            case Reads.SETTINGS:
                return Asked(self._sections[i.type.table_name], reads)
            case Reads.NOTES:
                return notes
            case Reads.FINDINGS:
                return listed
            case Reads.PROVENANCE:
                return self._provenance

    def _accept(self, s: Stage, item: str, data: bytes, findings: tuple[Finding, ...]) -> None:
        self._findings.extend(findings)
        if s.output:
            self.outcome.files.update(canon.decode(data, Files).files)
        elif s.items:
            self._define_items(s, canon.decode(data, dict[str, s.makes]))  # type: ignore[name-defined]
        else:
            self.outcome.values[s.makes, item] = Value(canon.digest(data), data, s.makes)

    def _define_items(self, s: Stage, items: dict[str, Any]) -> None:
        self._items = tuple(sorted(items))
        for name in self._items:
            data = canon.encode(items[name])
            self.outcome.values[s.makes, name] = Value(canon.digest(data), data, s.makes)
            self._neighbours[name] = tuple(getattr(items[name], "neighbours", ()))
        self._store.keep_blobs([self.outcome.values[s.makes, name].data for name in self._items])

    def _defect(self, s: Stage, item: str, problem: Exception) -> None:
        self.outcome.defects.append("".join(traceback.format_exception(problem)))
        self.outcome.not_built.append((s.name, item))
        self._findings.append(
            Finding(
                code="BW-ENG-001",
                severity=Severity.FAULT,
                says=f"{s.name} failed{_of(item)}: {type(problem).__name__}: {problem}",
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


def _of(item: str) -> str:
    return f" for board {item}" if item else ""
