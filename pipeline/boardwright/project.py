"""The project file ``layout.toml``: read and checked against the sections that stages ask for.

Every problem is told at once. Unknown tables and keys are refused with the nearest valid name. Everything
but the drawing has a default.
"""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

import msgspec
import msgspec.inspect

from .disk import read_file
from .errors import InputError
from .findings import Finding, Place, Severity
from .plan.settings import DeviceSettings, DrawingSettings
from .settings import Section


class LayoutSettings(Section, frozen=True, kw_only=True, table="layout"):
    name: Annotated[str, msgspec.Meta(description="What the layout is called in the pack.")] = (
        "Unnamed layout"
    )
    author: Annotated[str, msgspec.Meta(description="Who made the plan; shown in title blocks.")] = ""


class StagesSettings(Section, frozen=True, kw_only=True, table="stages"):
    plugins: Annotated[
        tuple[str, ...],
        msgspec.Meta(
            description="Installed plugins (by entry-point name) whose stages and outputs take part; "
            'a version may be asked for, as in "house >= 1.2".'
        ),
    ] = ()
    local: Annotated[
        str,
        msgspec.Meta(
            description="A Python file beside this one that is a plugin. Code runs only if named here."
        ),
    ] = ""


CORE_SECTIONS: dict[str, type[Section]] = {
    "layout": LayoutSettings,
    "drawing": DrawingSettings,
    "devices": DeviceSettings,
    "stages": StagesSettings,
}


class Project(msgspec.Struct, frozen=True):
    """A project file, checked. ``sections`` holds one settled value for every known table."""

    folder: Path
    file: str
    sections: dict[str, Section]

    def section[S: Section](self, kind: type[S]) -> S:
        value = self.sections[kind.table_name]
        assert isinstance(value, kind)
        return value


def read_project(path: Path, stage_sections: dict[str, type[Section]]) -> Project:
    """Read and check a project file. Raises InputError with every problem found."""
    tables = read_tables(path)
    kinds = {**stage_sections, **CORE_SECTIONS}
    problems: list[Finding] = []
    sections: dict[str, Section] = {}
    for name in tables:
        if name not in kinds:
            problems.append(_unknown(path.name, name, kinds, "table", f"[{name}]"))
    for name, kind in sorted(kinds.items()):
        value = tables.get(name, {})
        if not isinstance(value, dict):
            problems.append(
                _problem(
                    "BW-PROJ-003",
                    f"[{name}] must be a table of settings",
                    path.name,
                    name,
                    f"Write [{name}].",
                )
            )
            continue
        problems.extend(_unknown_keys(path.name, name, value, kind))
        endless = list(_not_finite(value, name))
        if endless:
            problems.extend(_invalid(path.name, key, "it must be a plain number") for key in endless)
            continue
        known = {k: v for k, v in value.items() if k in {f.name for f in msgspec.structs.fields(kind)}}
        try:
            sections[name] = msgspec.convert(known, type=kind)
        except msgspec.ValidationError as error:
            problems.append(_refused(path.name, name, kind, str(error)))
    if problems:
        raise InputError(problems)
    return Project(folder=path.parent, file=path.name, sections=sections)


def read_stages(path: Path) -> StagesSettings:
    """Only ``[stages]``: which plugins take part must be known before the other sections are."""
    try:
        return msgspec.convert(read_tables(path).get("stages", {}), type=StagesSettings)
    except msgspec.ValidationError as error:
        raise InputError([_refused(path.name, "stages", StagesSettings, str(error))]) from error


def read_tables(path: Path) -> dict[str, Any]:
    """The raw tables of a project file. Raises InputError when it cannot be read at all."""
    try:
        return tomllib.loads(read_file(path).decode("utf-8-sig"))
    except FileNotFoundError:
        raise InputError.of(
            "BW-PROJ-001",
            f"there is no project file {path.name}",
            Place(file=path.name),
            "Run the command in the folder that holds layout.toml, or name the file.",
        ) from None
    except (OSError, ValueError, RecursionError) as error:  # ValueError: TOML, encoding, endless digits
        raise InputError.of(
            "BW-PROJ-002",
            f"the project file cannot be read: {error}",
            Place(file=path.name),
            "Correct that line; text values need quotation marks, numbers none.",
        ) from error


def _problem(code: str, says: str, file: str, key: str, mend: str) -> Finding:
    return Finding(
        code=code, severity=Severity.FAULT, says=says, where=(Place(file=file, key=key),), mend=mend
    )


def _unknown(file: str, name: str, valid: Any, what: str, shown: str) -> Finding:
    near = difflib.get_close_matches(name, list(valid), n=1, cutoff=0.5)
    mend = f"Did you mean {near[0]!r}?" if near else f"Valid here: {', '.join(sorted(valid))}."
    return _problem("BW-PROJ-004", f"unknown {what} {shown}", file, shown, mend)


def _unknown_keys(file: str, table: str, value: dict[str, Any], kind: type[Any]) -> list[Finding]:
    valid = {f.name: f.type for f in msgspec.structs.fields(kind)}
    return [_unknown(file, k, valid, "key", f"[{table}] {k}") for k in value if k not in valid]


def _refused(file: str, table: str, kind: type[Any], text: str) -> Finding:
    """A finding from the validator's own words, such as ``Expected `float` > 0.0 - at `$.a.b```."""
    says, _, path = text.partition(" - at `$")
    key = table + path.rstrip("`")
    if unknown := re.fullmatch(r"Object contains unknown field `(.*)`", says):
        return _unknown(file, unknown[1], _field_names(kind), "key", f"[{key}] {unknown[1]}")
    for old, new in (
        ("Expected", "it must be"),
        ("`float`", "a number"),
        ("`int`", "a whole number"),
        ("`str`", "text"),
    ):
        says = says.replace(old, new)
    return _invalid(file, key, says)


def _field_names(kind: type[Any]) -> set[str]:
    """Names of the fields of a section and of every table inside it."""
    names: set[str] = set()
    todo: list[Any] = [msgspec.inspect.type_info(kind)]
    while todo:
        here = todo.pop()
        if isinstance(here, msgspec.inspect.StructType):
            names.update(f.encode_name for f in here.fields)
            todo.extend(f.type for f in here.fields)
        for inner in ("type", "item_type", "value_type"):
            if isinstance(getattr(here, inner, None), msgspec.inspect.Type):
                todo.append(getattr(here, inner))
        todo.extend(getattr(here, "types", ()))
    return names


def _not_finite(value: Any, key: str) -> Iterator[str]:
    """Keys of numbers that are infinite or no number at all: TOML can say them, no board has them."""
    if isinstance(value, float) and not math.isfinite(value):
        yield key
    elif isinstance(value, dict):
        for k, v in value.items():
            yield from _not_finite(v, f"{key}.{k}")
    elif isinstance(value, list):
        for n, v in enumerate(value):
            yield from _not_finite(v, f"{key}[{n}]")


def _invalid(file: str, key: str, says: str) -> Finding:
    mend = "Correct the value; docs/project-file.md lists the range of every setting."
    return _problem("BW-PROJ-005", f"{key}: {says}", file, key, mend)
