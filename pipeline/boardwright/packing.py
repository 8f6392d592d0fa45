"""One `pack`, from project file to delivered folder: the order of events, nothing else.

read project → read sources → plan (stored or read) → walk the stages → deliver → write the receipt
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import msgspec

from . import canon, catalogue, deliver, project
from .display import IN_MM, DisplaySettings
from .door import OWN, distribution, enabled, own_packages
from .engine import receipt, workers
from .engine.changing import Code
from .engine.codeprint import CodePrints
from .engine.keys import Key
from .engine.known import KnownCode
from .engine.outcome import LAYOUT, Outcome, Progress
from .engine.run import Run
from .engine.store import Store
from .errors import BoardwrightError
from .figures import Figure, Figures, in_a_line
from .findings import Finding, Notes, Severity
from .local import MODULE
from .made import MadeList, MadeSettings, read_list
from .parted import since
from .plan.model import TrackPlan
from .plan.settings import DeviceSettings, DrawingSettings
from .plan.source import SourceFile
from .sources import read_lists, read_sources
from .stages import Provenance, SourceDigest

KEEP_BYTES = 200_000_000  # when a store has grown to twice this, the oldest results are forgotten


class Packed(msgspec.Struct):
    """What `pack` did, for the command to tell."""

    outcome: Outcome
    out: Path
    delivered: bool
    name: str = ""
    kept: list[str] = []
    otherwise: str = ""  # which boards are others than in the pack before
    store_note: str = ""
    display: DisplaySettings = IN_MM

    @property
    def faults(self) -> int:
        return sum(f.severity is Severity.FAULT for f in self.outcome.findings)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """What the layout comes to; empty when no stage says so."""
        value = self.outcome.values.get((Figures, LAYOUT))
        found: Figures = value.get() if value else Figures()
        return found.figures

    @property
    def comes_to(self) -> str:
        """The figures in a line, as ``[display]`` says; empty when there are none."""
        return self.display.prose(in_a_line(self.figures))


def store_path(project_file: Path) -> Path:
    return project_file.parent / ".boardwright" / "store.sqlite"


def open_store(project_file: Path) -> Store:
    """The project's store."""
    return Store(store_path(project_file), project_file.name)


@contextmanager
def opened_store(project_file: Path) -> Iterator[Store]:
    """The project's store, closed at the end. Raises InputError for a project file that cannot be read.

    When the input is refused and the store was not there before, it is taken away again: a run that says
    nothing was written leaves nothing behind. Not while another process has it open: SQLite keeps its side
    files until the last one closes.
    """
    project.read_tables(project_file)
    path = store_path(project_file)
    is_new, refused = not path.parent.exists(), False
    store = open_store(project_file)
    try:
        yield store
    except BoardwrightError:
        refused = True
        raise
    finally:
        store.close()
        if is_new and refused and not any(path.with_name(path.name + s).exists() for s in ("-wal", "-shm")):
            path.unlink(missing_ok=True)
            with contextlib.suppress(OSError):  # never made, or holds a file of somebody else
                path.parent.rmdir()


class Ready[R: Run](msgspec.Struct, frozen=True):
    """A project read and checked, with a walk ready to go."""

    name: str
    run: R
    catalogue: catalogue.Catalogue
    sources: dict[str, str]
    packages: set[str]
    libraries: dict[str, str]
    executor: Executor | None
    absent: tuple[str, ...] = ()  # files that would have been read
    display: DisplaySettings = IN_MM


def prepare[R: Run](
    project_file: Path,
    store: Store,
    tell: Callable[[Progress], None],
    walk: type[R],
    jobs: int | None = 1,
    changes: Mapping[str, Any] = project.NO_CHANGES,
    executor: Executor | None = None,
    known: KnownCode | None = None,
) -> Ready[R]:
    """Collect plugins, read the project file and the plan. Raises InputError or PluginError.

    ``changes`` ("joists.spacing_mm" -> value) stand in place of what the project file says.

    Worker processes (``jobs``; None: one a core) are started when the plugins are loaded and must be ended
    by the caller, unless an ``executor`` is given. ``known``: from an earlier call in this process.
    """
    known = known or KnownCode()
    choice = project.read_stages(project_file, changes)
    local = project_file.parent / choice.local if choice.local else None
    packages = own_packages(choice.plugins)
    code = Code(packages, local)
    stages = catalogue.collect(choice.plugins, local, project.read_tables(project_file, changes))
    layout = project.read_project(project_file, stages.sections, changes)
    display = layout.section(DisplaySettings)
    drawing, device_list = read_sources(layout)
    lists = read_lists(layout)
    sections = {table: section.completed(lists) for table, section in layout.sections.items()}
    prints = known.prints(packages | {MODULE}, store)
    libraries = known.versions([OWN])
    of_plugins = {
        p.name: known.versions([distribution(p)[0]])
        for p in enabled(choice.plugins)
        if distribution(p)[0] != OWN
    }
    plan, said = _plan(layout, drawing, device_list, store, prints, libraries)
    sources = {project_file.name: canon.digest(project_file.read_bytes())}
    sources |= {s.name: canon.digest(s.data) for s in (drawing, device_list, *lists.values()) if s}
    if local:
        sources[choice.local] = canon.digest(local.read_bytes())
    made_file = layout.section(MadeSettings).file
    made = read_list(layout.folder, made_file)
    if made.file:
        sources[made.file] = canon.digest(made.parts_made.encode())
    if layout.rules_file:
        sources[layout.rules_file] = canon.digest((layout.folder / layout.rules_file).read_bytes())
    absent = (made_file,) if made_file and not made.file else ()
    all_versions = libraries | {name: v for of_one in of_plugins.values() for name, v in of_one.items()}
    provenance = Provenance(
        sources=tuple(SourceDigest(file=f, sha256=d) for f, d in sources.items()),
        versions=tuple(sorted(all_versions.items())),
        settings={
            t: msgspec.to_builtins(section)
            for t, section in sorted(sections.items())
            if section is not display and section.is_told  # how it is shown changes nothing of what it says
        },
        rules=layout.rules,
    )
    executor = executor or workers.start(jobs, local)
    run = walk(
        stages,
        {TrackPlan: (plan, (*layout.findings, *said)), MadeList: (made, ())},
        sections,
        provenance,
        store,
        prints,
        libraries,
        tell,
        executor,
        of_plugins,
        code,
    )
    layout_name = layout.section(project.LayoutSettings).name
    return Ready(layout_name, run, stages, sources, packages, all_versions, executor, absent, display)


def pack(
    project_file: Path,
    out: Path,
    store: Store,
    tell: Callable[[Progress], None],
    jobs: int | None = 1,
    changes: Mapping[str, Any] = project.NO_CHANGES,
    executor: Executor | None = None,
    known: KnownCode | None = None,
) -> Packed:
    """Make and deliver a pack, with ``jobs`` processes (None: one a core) or an ``executor``'s; ``changes``
    and ``known`` as for ``prepare``.

    Raises InputError (nothing written, an older pack untouched).
    """
    deliver.check_place(out)
    deliver.recover(out)
    ready = prepare(project_file, store, tell, Run, jobs, changes, executor, known)
    try:
        if store.receipt(str(out.resolve())) is None:  # not delivered there by this project before
            deliver.check_owner(out, ready.name)
        code = workers.beside(
            ready.executor, receipt.code_files, ready.packages
        )  # as it was when the run began
        outcome = ready.run.go()
    finally:
        if ready.executor and ready.executor is not executor:
            ready.executor.shutdown(cancel_futures=True)
    if any(item == LAYOUT for _, item in outcome.not_built):
        return Packed(
            outcome, out, delivered=False, name=ready.name, store_note=store.note, display=ready.display
        )
    outcome.files, sums = deliver.with_sums(outcome.files)
    place = str(out.resolve())
    with store.alone():
        last = store.receipt(place) or {}
        kept = deliver.deliver(out, outcome.files, last.get("pack", {}))
        packed = Packed(outcome, out, delivered=True, name=ready.name, kept=kept, display=ready.display)
        packed.otherwise = since(last.get("shapes", {}), outcome.shapes)
        told = _receipt(ready, packed, sums, code()) | {"changes": msgspec.to_builtins(dict(changes))}
        store.keep_receipt(place, told)
    packed.store_note = store.note
    if not outcome.defects and store.size_bytes() > 2 * KEEP_BYTES:
        store.tidy(KEEP_BYTES)
    return packed


def hand_over(
    out: Path, files: Mapping[str, bytes], receipt: Mapping[str, Any], store: Store, name: str
) -> list[str]:
    """Deliver a pack that was made elsewhere, with the receipt that came with it, as ``pack`` would have.

    Returns sentences about files that were carried over. Raises InputError; the old pack is then untouched.
    """
    place = str(out.resolve())
    if store.receipt(place) is None:
        deliver.check_owner(out, name)
    with store.alone():
        before = (store.receipt(place) or {}).get("pack", {})
        kept = deliver.deliver(out, files, before)
        store.keep_receipt(place, dict(receipt))
    return kept


def _receipt(ready: Ready[Run], packed: Packed, sums: dict[str, str], code: dict[str, str]) -> dict[str, Any]:
    """Everything the delivered pack came from, for ``engine/receipt.py`` to compare next time.

    An incomplete pack names no sources: its files are known as ours, but it never stands as it is.
    """
    outcome = packed.outcome
    return {
        "sources": {} if outcome.defects else ready.sources,
        "absent": list(ready.absent),
        "door": receipt.door(),
        "packages": sorted(ready.packages),
        "code": code,
        "versions": ready.libraries,
        "pack": dict(sorted(sums.items())),
        "findings": [shown(f, ready.display) for f in outcome.findings],
        "items": outcome.computed + outcome.reused,
        "figures": [msgspec.to_builtins(f) for f in packed.figures],
        "comes_to": packed.comes_to,
        "shapes": outcome.shapes,
        "name": ready.name,
        "faults": packed.faults,
    }


def _plan(
    layout: project.Project,
    drawing: SourceFile,
    device_list: SourceFile | None,
    store: Store,
    prints: CodePrints,
    libraries: dict[str, str],
) -> tuple[TrackPlan, tuple[Finding, ...]]:
    """The track plan; from the store when drawing, device list, settings and reader are unchanged.

    What the drawing alone gives is stored by itself: a changed device list does not open the drawing again.
    """
    drawing_settings, device_settings = layout.section(DrawingSettings), layout.section(DeviceSettings)
    name = layout.section(project.LayoutSettings).name
    parts = {
        "drawing": _fingerprint(drawing),
        "settings": canon.digest(canon.encode(drawing_settings)),
        "code": prints.of("boardwright.plan.reading"),
        "libraries": canon.digest(canon.encode(libraries)),
    }
    drawing_key = Key("drawing", "", parts)
    key = Key(
        "reading",
        "",
        parts
        | {
            "devices": _fingerprint(device_list) if device_list else "",
            "device settings": canon.digest(canon.encode((device_settings, name))),
        },
    )
    if found := _stored(store, key, TrackPlan):
        return found
    from .plan.reading import Sketch, read_drawing, read_plan

    notes, problems = Notes(), Notes()
    if opened := _stored(store, drawing_key, Sketch):
        sketch: Sketch | None = opened[0]
        notes.findings.extend(opened[1])
    else:
        sketch = read_drawing(drawing, drawing_settings, notes, problems)
        if sketch and not problems.findings:
            store.keep(drawing_key, {}, canon.encode(sketch.needed(), Sketch), tuple(notes.findings))
        else:  # read once more with the device list, so that all that is wrong is told together
            sketch, notes = None, Notes()
    plan = read_plan(drawing, device_list, drawing_settings, device_settings, name, notes, sketch)
    _, data = canon.settle(plan, TrackPlan)
    store.keep(key, {}, data, tuple(notes.findings))
    return plan, tuple(notes.findings)


def _fingerprint(source: SourceFile) -> str:
    return canon.digest(source.name.encode() + b"\0" + source.data)


def _stored(store: Store, key: Key, kind: Any) -> tuple[Any, tuple[Finding, ...]] | None:
    stored = store.find(key, {})
    data = store.blob(stored.output) if stored else None
    return (canon.decode(data, kind), stored.findings) if stored and data is not None else None


def shown(finding: Finding, display: DisplaySettings = IN_MM) -> dict[str, str]:
    """A finding in words for a person, lengths as ``[display]`` says."""
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "says": display.prose(finding.says),
        "where": "; ".join(display.prose(str(p)) for p in finding.where),
        "mend": display.prose(finding.mend),
    }
