"""The walk: every stage in order, every board in turn, reusing what is stored and running what is not.

Stage bodies are called in ``work``; with workers, ``flow`` decides what runs side by side. A stage that
raises is reported as a fault of ours; what depends on it is *not built*; everything else finishes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from types import MappingProxyType
from typing import Any

import msgspec

from .. import canon
from ..catalogue import Catalogue
from ..errors import InputError, PluginError
from ..findings import Finding, FindingList, Place, worst_first
from ..settings import Section
from ..stages import Files, Input, Provenance, Reads, Stage
from . import faults
from .asked import fingerprint
from .changing import Code
from .codeprint import CodePrints
from .flow import flow
from .keys import Key
from .outcome import LAYOUT, Count, Outcome, Progress, Value
from .store import Step, Store
from .work import CarriedByItem, Work, Worked, do

type Unit = tuple[Stage, str]
NOTHING_MORE: Mapping[str, Mapping[str, str]] = MappingProxyType({})


class Batch(msgspec.Struct):
    """One stage under way: its units, and what became of each."""

    units: list[Unit]
    count: Count
    missing: dict[Unit, list[Input]] = {}
    answers: dict[Unit, tuple[bytes, tuple[Finding, ...]]] = {}
    todo: dict[Unit, Key] = {}
    failed: dict[Unit, Worked] = {}


class Run:
    """One walk over a catalogue.

    ``libraries``: versions that every stage depends on; ``of_plugins``: by plugin, those that only its own
    stages do, so that a plugin that comes or goes runs nothing else again.
    """

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
        of_plugins: Mapping[str, Mapping[str, str]] = NOTHING_MORE,
        code: Code | None = None,
    ) -> None:
        self._catalogue = catalogue
        self._sections = sections
        self._provenance = provenance
        self._store = store
        self._prints = prints
        self._libraries = canon.digest(canon.encode(dict(libraries)))
        self._of_plugins = {p: canon.digest(canon.encode(dict(v))) for p, v in of_plugins.items()}
        self._tell = tell
        self._executor = executor
        self._code = code
        self.speaking = catalogue.speaking()
        self._heard = self.speaking  # whose findings and failures the outputs know of
        self._listed: FindingList | None = None
        self._written: dict[str, Stage] = {}
        self._settings_now = {
            f"{table}.{name}": fingerprint(getattr(section, name))
            for table, section in sections.items()
            for name in section.__struct_fields__
        }
        self._each = {s.makes for s in catalogue.stages if s.by_board}
        self._items: tuple[str, ...] = ()
        self._neighbours: dict[str, tuple[str, ...]] = {}
        self.outcome = Outcome()
        self._positions = {s.name: n for n, s in enumerate((*catalogue.stages, *catalogue.outputs))}
        self._said: dict[tuple[int, str], list[Finding]] = {}
        self._traces: dict[tuple[int, str], str] = {}
        findings: list[Finding] = []
        for kind, (value, said) in given.items():
            _, data = canon.settle(value, kind)
            self.outcome.values[kind, LAYOUT] = Value(data, kind)
            findings.extend(said)
        store.keep_blobs([v.data for v in self.outcome.values.values()])
        self._given_findings = findings
        self._walked: dict[tuple[str, str], Step] = {}

    def go(self, only: frozenset[str] | None = None, remember: bool = True) -> Outcome:
        """Walk the stages, then the outputs; with ``only``, just the stages of those names.

        Unless it is a look ahead (``remember`` False), it is the walk that the next one is compared with.

        Outputs list the findings, so they wait for every stage that can raise one, and for those alone.
        Should a stage that raises none fail, that is a finding too: the outputs are then made once more.
        """
        stages = [s for s in self._catalogue.stages if only is None or s.name in only]
        if only is not None:
            self._flow(stages)
            self._settle()
            self._check_code()
            return self.outcome
        speaking = [s for s in stages if s.name in self.speaking]
        quiet = [s for s in stages if s.name not in self.speaking]
        self._flow([*speaking, *quiet, *self._catalogue.outputs])
        self._settle()
        if {name for name, _ in self.outcome.not_built} & {s.name for s in quiet}:
            self._heard = frozenset(s.name for s in stages)
            self._forget_outputs()
            self._flow(self._catalogue.outputs)
            self._settle()
        self._check_code()
        if remember and not self.outcome.defects:
            self._store.keep_walk(self._walked)
        return self.outcome

    def _check_code(self) -> None:
        """Raise PluginError when code changed meanwhile, and keep nothing of what was made."""
        if self._code and (file := self._code.changed()):
            self._store.forget_kept()
            raise faults.code_changed(file)

    def _forget_outputs(self) -> None:
        outputs = {s.name for s in self._catalogue.outputs}
        first = len(self._catalogue.stages)
        self._said = {place: said for place, said in self._said.items() if place[0] < first}
        self._traces = {place: trace for place, trace in self._traces.items() if place[0] < first}
        self.outcome.not_built = [unit for unit in self.outcome.not_built if unit[0] not in outputs]
        self.outcome.files, self._written, self._listed = {}, {}, None
        self._settle()

    def _flow(self, stages: Sequence[Stage]) -> None:
        """Run stages one after the other or, with workers, each as soon as what it needs is there."""
        if self._executor is None:
            for s in stages:
                self._batch(s)
        else:
            needs = {s.name: self._needs(s) for s in stages}
            flow(stages, needs, self, self._executor)

    def look_up(self, s: Stage) -> None:
        """Fingerprint a stage's code ahead of its turn: it takes as long as a small stage."""
        self._prints.of(s.function.__module__)

    def _needs(self, s: Stage) -> set[str]:
        """Names of the stages that must be finished before this one begins."""
        kinds = {i.type for i in s.inputs}
        makers = {m.name for m in self._catalogue.stages if m.makes in kinds or (s.needs_boards and m.items)}
        return (makers | (self.speaking if s.output else set())) - {s.name}

    def _settle(self) -> None:
        """Put what was said in the order of the stages, however they were run."""
        self.outcome.findings = self._list()
        self.outcome.defects = [trace for _, trace in sorted(self._traces.items())]
        for units in (self.outcome.ran, self.outcome.not_built):
            units.sort(key=lambda unit: self._place(*unit))

    def _list(self, of: frozenset[str] | None = None) -> tuple[Finding, ...]:
        """What was said, worst first; with ``of``, only what the stages of those names said."""
        places = {self._positions[name] for name in of} if of is not None else set(self._positions.values())
        said = [f for place, findings in sorted(self._said.items()) if place[0] in places for f in findings]
        return worst_first([*self._given_findings, *said])

    def _place(self, name: str, item: str) -> tuple[int, str]:
        return self._positions[name], item

    def _batch(self, s: Stage) -> None:
        batch = self.begin(s)
        for unit, worked in self._compute(batch.todo):
            self.take(batch, unit, worked)
        self.finish(batch)

    def begin(self, s: Stage) -> Batch:
        """What of a stage is stored, what must run, and what cannot."""
        if s.output and self._listed is None:
            self._listed = FindingList(findings=self._list(self._heard))
        units = [(s, item) for item in (self._items if s.each else (LAYOUT,))]
        batch = Batch(units, Count(s.name, len(units), self._tell))
        for unit in units:
            if missing := [i for i in s.inputs if not self._has(i, unit[1])]:
                batch.missing[unit] = missing
                continue
            key = Key(s.name, unit[1], self._parts(*unit))
            stored = self._store.find(key, self._settings_now)
            data = self._store.blob(stored.output) if stored else None
            if stored and data is not None:
                batch.answers[unit] = data, stored.findings
                self.outcome.reused += 1
                self._walked[key.stage, key.item] = Step(key.parts, stored.reads)
                batch.count.done(reused=True)
            else:
                batch.todo[unit] = key
        return batch

    def take(self, batch: Batch, unit: Unit, worked: Worked) -> None:
        """Keep what a call gave. Raises InputError when the stage found the input unusable."""
        if worked.unusable_input:
            raise InputError(worked.unusable_input)
        batch.count.done(reused=False)
        worked = self._for_every_board(unit[0], worked)
        if worked.data is None:
            batch.failed[unit] = worked
            return
        key = batch.todo[unit]
        self._store.keep(key, worked.reads, worked.data, worked.findings)
        if worked.pieces:
            self._store.keep_pieces(key.stage, key.item, _made_by(key.parts), worked.pieces)
        self.outcome.ran.append((key.stage, key.item))
        self._walked[key.stage, key.item] = Step(key.parts, worked.reads)
        batch.answers[unit] = worked.data, worked.findings

    def _for_every_board(self, s: Stage, worked: Worked) -> Worked:
        """What a call gave, or its failure: who answers for all boards leaves none out and invents none."""
        if worked.data is None or not s.at_once:
            return worked
        answered, there = set(canon.apart(worked.data, s.makes)), set(self._standing(s))
        if answered == there:
            return worked
        without, strange = (", ".join(sorted(b)) or "none" for b in (there - answered, answered - there))
        error = f"it must answer for every board: left out {without}; boards that are not there: {strange}"
        return Worked(None, error=error, trace=f"{s.where}: {error}")

    def finish(self, batch: Batch) -> None:
        """Make a stage's answers known to those after it."""
        for unit in batch.units:
            if unit in batch.missing:
                self._not_built(*unit, batch.missing[unit])
            elif unit in batch.failed:
                self._defect(*unit, batch.failed[unit])
            elif unit in batch.answers:
                self._accept(*unit, *batch.answers[unit])

    def _compute(self, todo: Mapping[Unit, Key]) -> Iterator[tuple[Unit, Worked]]:
        for unit in todo:
            yield unit, do(self.work(*unit))

    def work(self, s: Stage, item: str) -> Work:
        """The call to be made for one item."""
        names = {i.reads: i.name for i in s.inputs if i.reads in (Reads.NOTES, Reads.MEMO)}
        pieces: dict[str, bytes] = {}
        if Reads.MEMO in names:
            pieces = self._store.pieces(s.name, item, _made_by(self._made_of(s)))
        return Work(
            s.function,
            {i.name: self._argument(s, i, item) for i in s.inputs if i.reads not in names},
            names.get(Reads.NOTES),
            s.answers,
            names.get(Reads.MEMO),
            pieces,
        )

    def _has(self, i: Input, item: str) -> bool:
        """Whether an input is there. A neighbour that failed is waited for; of All, it is left out."""
        if i.reads is Reads.NEAR:
            return all((i.type, b) in self.outcome.values for b in self._neighbours.get(item, ()))
        if i.reads is not Reads.ONE:
            return True
        return (i.type, item if i.type in self._each else LAYOUT) in self.outcome.values

    def _made_of(self, s: Stage) -> dict[str, str]:
        """The parts of a key that are the stage's own, whatever goes into it."""
        return {
            "version": str(s.version),
            "code": self._prints.of(s.function.__module__) + (f" {s.where}" if s.style else ""),
            "libraries": " ".join(filter(None, [self._libraries, self._of_plugins.get(s.plugin)])),
        }

    def _parts(self, s: Stage, item: str) -> dict[str, str]:
        parts = self._made_of(s)
        for i in s.inputs:
            if i.reads is Reads.ONE:
                parts[i.name] = self._one(i, item).digest
            elif i.reads in (Reads.ALL, Reads.NEAR):
                many = {b: v.digest for b, v in self._many(s, i, item).items()}
                parts[i.name] = canon.encode(many).decode()
            elif i.reads is Reads.FINDINGS:
                parts[i.name] = canon.digest(canon.encode(self._listed))
            elif i.reads is Reads.PROVENANCE:
                parts[i.name] = canon.digest(canon.encode(self._provenance))
        return parts

    def _before_stage(self, s: Stage) -> frozenset[str]:
        """Names of the stages whose failures this one knows of: those it needs; outputs, those heard too."""
        if s.output:
            return self._heard.union(*map(self._catalogue.needs, self._needs(s)))
        return self._catalogue.needs(s.name) - {s.name}

    def _one(self, i: Input, item: str) -> Value:
        return self.outcome.values[i.type, item if i.type in self._each else LAYOUT]

    def _many(self, s: Stage, i: Input, item: str) -> dict[str, Value]:
        wanted = self._neighbours.get(item, ()) if i.reads is Reads.NEAR else self._standing(s)
        return {b: self.outcome.values[i.type, b] for b in wanted}

    def _standing(self, s: Stage) -> tuple[str, ...]:
        """The same boards of every artefact: those of which nothing before this stage failed."""
        if not self.outcome.not_built:
            return self._items
        before = self._before_stage(s)
        failed = [(name, b) for name, b in self.outcome.not_built if name in before]
        if any(m.at_once for m in self._catalogue.stages if (m.name, LAYOUT) in failed):
            return ()
        return tuple(b for b in self._items if b not in {of for _, of in failed})

    def _argument(self, s: Stage, i: Input, item: str) -> Any:
        match i.reads:
            case Reads.ONE:
                return self._one(i, item).carried
            case Reads.ALL | Reads.NEAR:
                return CarriedByItem({b: v.carried for b, v in self._many(s, i, item).items()})
            case Reads.SETTINGS:
                return self._sections[i.type.table_name]
            case Reads.FINDINGS:
                return self._listed
            case Reads.PROVENANCE:
                return self._provenance

    def _accept(self, s: Stage, item: str, data: bytes, findings: tuple[Finding, ...]) -> None:
        self._say(s, item, *findings)
        if s.output:
            self._add_files(s, canon.decode(data, Files).files)
        elif s.items:
            self._define_items(s, canon.decode(data, s.answers))
        elif s.at_once:
            own = canon.apart(data, s.makes)
            self.outcome.values.update({(s.makes, b): Value(own[b], s.makes) for b in own})
            self._store.keep_blobs(list(own.values()))
        else:
            self.outcome.values[s.makes, item] = Value(data, s.makes)

    def _define_items(self, s: Stage, items: dict[str, Any]) -> None:
        self._items = tuple(sorted(items))
        for name in self._items:
            data = canon.encode(items[name], s.makes)
            self.outcome.values[s.makes, name] = Value(data, s.makes)
            self._neighbours[name] = tuple(getattr(items[name], "neighbours", ()))
            if (shape := getattr(items[name], "shape", None)) is not None:
                self.outcome.shapes[name] = canon.digest(canon.encode(shape))
        self._store.keep_blobs([self.outcome.values[s.makes, name].data for name in self._items])

    def _add_files(self, s: Stage, files: dict[str, bytes]) -> None:
        for path, data in files.items():
            first = self._written.get(path.casefold())
            if first is not None:
                same = first is s
                raise PluginError.of(
                    "BW-PLUG-012",
                    f"{s.where} writes {path} twice: two things of one name"
                    if same
                    else f"two outputs write {path}: {first.where} and {s.where}",
                    Place(item=s.plugin or None),
                    "Mend the plugin that names them: no two boards may hold things of one name."
                    if same
                    else "Uninstall one of the plugins, or give one output another path.",
                )
            self._written[path.casefold()] = s
            self.outcome.files[path] = data

    def _defect(self, s: Stage, item: str, worked: Worked) -> None:
        self._traces[self._place(s.name, item)] = worked.trace
        self.outcome.not_built.append((s.name, item))
        self._say(s, item, faults.failed(s, item, worked.error))

    def _not_built(self, s: Stage, item: str, missing: list[Input]) -> None:
        self.outcome.not_built.append((s.name, item))
        self._say(s, item, faults.waits(s, item, missing))

    def _say(self, s: Stage, item: str, *findings: Finding) -> None:
        self._said.setdefault(self._place(s.name, item), []).extend(findings)


def _made_by(parts: Mapping[str, str]) -> str:
    """The stage as it is now: pieces that another version of it made are none of its own."""
    return canon.digest(canon.encode([parts[name] for name in ("version", "code", "libraries")]))
