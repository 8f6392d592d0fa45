"""The catalogue: every stage and output, checked to fit together before anything runs.

Glossary
    maker    the stage that answers with an artefact type; each type has one
    given    an artefact the core itself supplies (the track plan, the list of what is made)
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec

from .errors import PluginError
from .findings import Finding, Place, Severity
from .graph import order
from .made import MadeList
from .plan.model import TrackPlan
from .plugins import make_plugin_manager
from .settings import Section
from .stages import Files, Reads, Stage, wire
from .styles import pick

GIVEN: tuple[type, ...] = (TrackPlan, MadeList)


class Catalogue(msgspec.Struct, frozen=True):
    """Stages and outputs in the order they run. Outputs come last, in name order.

    ``styles`` are all ways offered, those that take part and those that do not.
    """

    stages: tuple[Stage, ...]
    outputs: tuple[Stage, ...]
    styles: tuple[Stage, ...] = ()

    @property
    def sections(self) -> dict[str, type[Section]]:
        """Table name -> section type, for every section a stage, a style or an output reads."""
        found: dict[str, type[Section]] = {}
        for s in (*self.stages, *self.styles, *self.outputs):
            for i in s.inputs:
                if i.reads is Reads.SETTINGS:
                    found[i.type.table_name] = i.type
        return found

    def maker(self, kind: Any) -> Stage | None:
        return next((s for s in self.stages if s.makes is kind), None)

    def needs(self, name: str) -> frozenset[str]:
        """Names of a stage and of every stage it needs, directly or not. Boards are always defined."""
        by_name = {s.name: s for s in self.stages}
        found: set[str] = set()
        todo = [name, *(s.name for s in self.stages if s.items and by_name[name].needs_boards)]
        while todo:
            here = todo.pop()
            if here in found:
                continue
            found.add(here)
            makers = (self.maker(i.type) for i in by_name[here].inputs)
            todo.extend(m.name for m in makers if m is not None)
        return frozenset(found)

    def speaking(self) -> frozenset[str]:
        """Names of the stages that can raise a finding, and of every stage those need."""
        found: set[str] = set()
        for s in self.stages:
            if any(i.reads is Reads.NOTES for i in s.inputs):
                found |= self.needs(s.name)
        return frozenset(found)


def collect(
    named: Sequence[str] = (),
    local: Path | None = None,
    tables: Mapping[str, Any] | None = None,
) -> Catalogue:
    """Ask our own plugins, those named and a local file for stages, styles and outputs, and check them.

    ``tables``: the project file as read; it picks the styles.
    """
    manager = make_plugin_manager(named, local)
    offered: list[Stage] = []
    styles: list[Stage] = []
    for name, plugin in manager.list_name_plugin():
        for hook in ("boardwright_stages", "boardwright_styles", "boardwright_outputs"):
            implementation = getattr(plugin, hook, None)
            if implementation is not None:
                found = styles if hook == "boardwright_styles" else offered
                found.extend(wire(function, name) for function in _answer(name, hook, implementation))
    return arrange(offered, styles, tables)


def _answer(plugin: str, hook: str, implementation: Callable[[], Any]) -> list[Callable[..., Any]]:
    """The functions a hook answers. Raises PluginError for anything else: a plugin's slip, not ours."""
    try:
        functions = list(implementation())
    except Exception as problem:
        says = f"{type(problem).__name__}: {problem}"
    else:
        odd = [f for f in functions if not inspect.isfunction(f)]
        if not odd:
            return functions
        says = f"it has {odd[0]!r}, which is no function"
    raise PluginError.of(
        "BW-PLUG-020",
        f"{hook}() of plugin {plugin} does not answer a list of functions: {says}",
        Place(item=plugin),
        "Answer a list, also for one: return [my_function].",
    )


def arrange(
    offered: list[Stage],
    styles: Sequence[Stage] = (),
    tables: Mapping[str, Any] | None = None,
) -> Catalogue:
    """Check and order stages. Raises PluginError with every misfit found, naming the plugins; InputError
    when the project file names a style that nobody offers."""
    offered = _replaced([*offered, *pick(offered, styles, tables or {})])
    stages = [s for s in offered if not s.output]
    outputs = sorted((s for s in offered if s.output), key=lambda s: s.name)
    problems = [*_doubles(stages, outputs), *_misfits(stages, outputs)]
    if problems:
        raise PluginError(problems)
    return Catalogue(stages=order(stages), outputs=tuple(outputs), styles=tuple(styles))


def _replaced(offered: list[Stage]) -> list[Stage]:
    """Leave out each stage that another says it replaces. Raises PluginError when that makes no sense."""
    by_name = {s.name: s for s in offered if not s.replaces}
    problems = []
    gone: dict[str, Stage] = {}
    for s in offered:
        if not s.replaces:
            continue
        old = by_name.get(s.replaces)
        says = None
        if old is None:
            says = f"{s.where} replaces {s.replaces!r}, which nobody supplies"
        elif _way(old) != _way(s):
            says = f"{s.where} replaces {s.replaces!r} but does not make the same thing in the same way"
        elif s.replaces in gone:
            says = f"{s.where} and {gone[s.replaces].where} both replace {s.replaces!r}"
        if says:
            problems.append(
                _fault("BW-PLUG-016", f"{says} (plugin {s.plugin})", "Compare with `boardwright plugins`.")
            )
        gone.setdefault(s.replaces, s)
    if problems:
        raise PluginError(problems)
    return [s for s in offered if s.replaces or s.name not in gone]


def _way(s: Stage) -> tuple[Any, ...]:
    """What must be alike in two stages for one to take the other's place."""
    return s.makes, s.by_board, s.items, s.output


def _fault(code: str, says: str, mend: str) -> Finding:
    return Finding(code=code, severity=Severity.FAULT, says=says, where=(Place(item="plugins"),), mend=mend)


def _doubles(stages: list[Stage], outputs: list[Stage]) -> list[Finding]:
    problems = []
    makers: dict[Any, Stage] = {}
    names: dict[str, Stage] = {}
    items: list[Stage] = []
    for s in (*stages, *outputs):
        if s.name in names:
            first = names[s.name]
            problems.append(
                _fault(
                    "BW-PLUG-007",
                    f"two stages are called {s.name!r}: {first.where} (plugin {first.plugin}) "
                    f"and {s.where} (plugin {s.plugin})",
                    "Rename one of them, or uninstall one plugin.",
                )
            )
        names.setdefault(s.name, s)
        if s.items:
            items.append(s)
        if s.makes is Files:
            continue
        if s.makes in makers or s.makes in GIVEN:
            first_where = makers[s.makes].where if s.makes in makers else "the core"
            problems.append(
                _fault(
                    "BW-PLUG-008",
                    f"{s.makes.__name__} is made twice: by {first_where} and by {s.where} (of {s.plugin})",
                    "Uninstall one of the two plugins.",
                )
            )
        makers.setdefault(s.makes, s)
    if len(items) > 1:
        problems.append(
            _fault(
                "BW-PLUG-009",
                f"more than one stage defines the items: {', '.join(s.where for s in items)}",
                "Keep one.",
            )
        )
    return problems


def _misfits(stages: list[Stage], outputs: list[Stage]) -> list[Finding]:
    problems = []
    each_made = {s.makes for s in stages if s.by_board}
    made = {s.makes for s in stages} | set(GIVEN)
    for s in (*stages, *outputs):
        for i in s.inputs:
            says = None
            if i.reads in (Reads.FINDINGS, Reads.PROVENANCE) and not s.output:
                says = f"{s.where} asks for {i.type.__name__}, which only outputs may"
            elif i.reads in (Reads.ONE, Reads.ALL, Reads.NEAR) and i.type not in made:
                says = f"{s.where} needs {_name(i.type)} (parameter {i.name!r}), which no plugin makes"
            elif i.reads in (Reads.ALL, Reads.NEAR) and i.type not in each_made:
                says = f"{s.where} asks for {_name(i.type)} of every board, but it is made once a layout"
            elif i.reads is Reads.ONE and i.type in each_made and not s.each:
                says = f"{s.where} asks for one {_name(i.type)}, but it is made board by board: use All[…]"
            elif i.reads is Reads.NEAR and not s.each:
                says = f"{s.where} asks for neighbours but is not called board by board"
            if says:
                problems.append(
                    _fault("BW-PLUG-010", f"{says} (plugin {s.plugin})", "Correct the annotation.")
                )
    return problems


def _name(kind: Any) -> str:
    return getattr(kind, "__name__", str(kind))
