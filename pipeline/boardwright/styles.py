"""Styles: several ways to make one artefact, of which the project file picks one by its name.

Claim: of all stages that one setting chooses between (``chosen_by``, such as ``framing.style``) exactly one
takes part: the one the project file names, else the one named by the setting's own default.

What this does not know: what a style is for. Wood, boards and frames are the plugins' matter.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

import msgspec

from .errors import InputError, PluginError
from .findings import Finding, Place, Severity
from .refusing import written
from .settings import Section
from .stages import Reads, Stage


def pick(offered: Sequence[Stage], styles: Sequence[Stage], tables: Mapping[str, Any]) -> list[Stage]:
    """The style that takes part, for each setting that chooses. ``tables``: the project file as read.

    Raises PluginError for styles that cannot be chosen between, InputError for a name nobody offers.
    """
    problems = [*_unmarked(styles), *_twins(styles), *_chosen_by_nothing(offered, styles, tables)]
    if problems:
        raise PluginError(problems)
    ordered = sorted(styles, key=lambda s: (s.chosen_by, s.style))
    wrong: list[Finding] = []
    picked: list[Stage] = []
    for chosen_by, group in groupby(ordered, key=lambda s: s.chosen_by):
        ways = list(group)
        name = _wanted(chosen_by, tables, (*offered, *styles))
        way = next((s for s in ways if s.style == name), None)
        if way is not None:
            picked.append(way)
        else:
            names = ", ".join(f'"{s.style}"' for s in ways)
            says = f"{chosen_by} is {written(name)}, a style nobody offers"
            mend = f"Choose one of {names}, or let [stages] name the plugin that offers it."
            wrong.append(_fault("BW-PROJ-011", says, Place(key=chosen_by), mend))
    if wrong:
        raise InputError(wrong)
    return picked


def _wanted(chosen_by: str, tables: Mapping[str, Any], stages: Iterable[Stage]) -> Any:
    table, _, key = chosen_by.partition(".")
    given = tables.get(table)
    if isinstance(given, dict) and key in given:
        return given[key]
    for kind in _sections(stages):
        if kind.table_name == table:
            for field in msgspec.structs.fields(kind):
                if field.name == key:
                    return field.default
    return None


def _sections(stages: Iterable[Stage]) -> Iterator[type[Section]]:
    for kind in (i.type for s in stages for i in s.inputs if i.reads is Reads.SETTINGS):
        if issubclass(kind, Section):
            yield kind


def _unmarked(styles: Sequence[Stage]) -> Iterable[Finding]:
    for s in styles:
        if not (s.style and "." in s.chosen_by):
            yield _fault(
                "BW-PLUG-018",
                f"{s.where} is offered as a style without a name or without the setting that chooses it "
                f"(plugin {s.plugin})",
                Place(item=s.plugin or None),
                'Mark it with @stage(style="its name", chosen_by="table.key", …).',
            )


def _chosen_by_nothing(
    offered: Sequence[Stage], styles: Sequence[Stage], tables: Mapping[str, Any]
) -> Iterable[Finding]:
    for chosen_by in sorted({s.chosen_by for s in styles if "." in s.chosen_by}):
        if _wanted(chosen_by, tables, (*offered, *styles)) is None:
            sections = _sections((*offered, *styles))
            names = sorted({f"{k.table_name}.{f}" for k in sections for f in k.__struct_fields__})
            near = difflib.get_close_matches(chosen_by, names, n=1)
            yield _fault(
                "BW-PLUG-018",
                f"{', '.join(s.where for s in styles if s.chosen_by == chosen_by)} is to be chosen by "
                f"{chosen_by}, which is no setting",
                Place(item=next((s.plugin for s in styles if s.chosen_by == chosen_by and s.plugin), None)),
                f"Did you mean {near[0]!r}?" if near else "Name a setting that one of the styles reads.",
            )


def _twins(styles: Sequence[Stage]) -> Iterable[Finding]:
    first: dict[tuple[str, str], Stage] = {}
    for s in styles:
        one = first.setdefault((s.chosen_by, s.style), s)
        if one is not s:
            yield _fault(
                "BW-PLUG-018",
                f"two styles of {s.chosen_by} are called {s.style!r}: {one.where} (plugin {one.plugin}) and "
                f"{s.where} (plugin {s.plugin})",
                Place(item="plugins"),
                "Rename one of them, or uninstall one plugin.",
            )
        leader = next(o for o in styles if o.chosen_by == s.chosen_by)
        if (leader.makes, leader.by_board, leader.name) != (s.makes, s.by_board, s.name):
            yield _fault(
                "BW-PLUG-018",
                f"{s.where} and {leader.where} are styles of {s.chosen_by}, but not stages of one name that "
                f"make the same thing in the same way (plugin {s.plugin})",
                Place(item=s.plugin or None),
                "Compare with `boardwright plugins`.",
            )


def _fault(code: str, says: str, where: Place, mend: str) -> Finding:
    return Finding(code=code, severity=Severity.FAULT, says=says, where=(where,), mend=mend)
