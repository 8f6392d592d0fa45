"""The project file ``layout.toml``: read and checked against the sections that stages ask for.

Every problem is told at once. Unknown tables and keys are refused with the nearest valid name. Everything
but the drawing has a default.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any

import msgspec

from .disk import read_file
from .display import DisplaySettings
from .errors import InputError
from .findings import Finding, Place
from .house import (
    NO_RULES,
    HouseSettings,
    Rule,
    Rulebook,
    given_values,
    judge,
    laid_under,
    missing_plugins,
    read_rules,
)
from .made import MadeSettings
from .plan.settings import DeviceSettings, DrawingSettings
from .refusing import invalid, not_finite, problem, refused, unknown
from .settings import Section
from .stages import KeptRule

NO_CHANGES: Mapping[str, Any] = MappingProxyType({})


class LayoutSettings(Section, frozen=True, kw_only=True, table="layout"):
    name: Annotated[str, msgspec.Meta(description="What the layout is called in the pack.")] = (
        "Unnamed layout"
    )
    author: Annotated[str, msgspec.Meta(description="Who made the plan; shown in title blocks.")] = ""
    revision: Annotated[
        str, msgspec.Meta(description='Which issue of the plan this is, such as "B"; shown in title blocks.')
    ] = ""


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
    "house": HouseSettings,
    "display": DisplaySettings,
    "made": MadeSettings,
}


class Project(msgspec.Struct, frozen=True):
    """A project file, checked. ``sections`` holds one settled value for every known table.

    ``rules`` are the house rules it follows and ``findings`` what is to be said of them.
    """

    folder: Path
    file: str
    sections: dict[str, Section]
    rules_file: str = ""
    rules: tuple[KeptRule, ...] = ()
    findings: tuple[Finding, ...] = ()

    def section[S: Section](self, kind: type[S]) -> S:
        value = self.sections[kind.table_name]
        assert isinstance(value, kind)
        return value


def read_project(
    path: Path, stage_sections: dict[str, type[Section]], changes: Mapping[str, Any] = NO_CHANGES
) -> Project:
    """Read and check a project file. Raises InputError with every problem found."""
    own = _own_tables(path, changes)
    book = read_rules(own, path.parent, path.name)
    kinds = {**stage_sections, **CORE_SECTIONS}
    if book is not NO_RULES:
        problems, _ = _checked(given_values(book), kinds, book.file)
        problems += missing_plugins(book, read_stages(path, changes).plugins, path.name)
        if problems:
            raise InputError(problems)
    problems, sections = _checked(laid_under(book, own), kinds, path.name)
    if not problems:
        problems = _nowhere(book, kinds)
    if problems:
        raise InputError(problems)
    rules, findings = judge(book, sections, path.name)
    return Project(path.parent, path.name, sections, book.file, rules, findings)


def _checked(
    tables: Mapping[str, Any], kinds: Mapping[str, type[Section]], file: str
) -> tuple[list[Finding], dict[str, Section]]:
    """Every problem of a file's tables, and a section for each known table that has none."""
    problems: list[Finding] = []
    sections: dict[str, Section] = {}
    for name in tables:
        if name not in kinds:
            homes = () if isinstance(tables[name], dict) else _homes(name, kinds)
            shown = (name, "key") if homes else (f"[{name}]", "table")
            problems.append(unknown(file, name, kinds, shown[1], shown[0], homes))
    for name, kind in sorted(kinds.items()):
        value = tables.get(name, {})
        if not isinstance(value, dict):
            problems.append(
                problem(
                    "BW-PROJ-003", f"[{name}] must be a table of settings", file, name, f"Write [{name}]."
                )
            )
            continue
        problems.extend(_unknown_keys(file, name, value, kind, kinds))
        endless = list(not_finite(value, f"[{name}]"))
        if endless:
            problems.extend(invalid(file, key, bad, "a plain number") for key, bad in endless)
            continue
        known = {k: v for k, v in value.items() if k in kind.__struct_fields__}
        try:
            sections[name] = msgspec.convert(known, type=kind)
        except msgspec.ValidationError:
            problems.extend(refused(file, name, kind, known))
    return problems, sections


def _nowhere(book: Rulebook, kinds: Mapping[str, type[Section]]) -> list[Finding]:
    """Rules that only allow or forbid, for settings nobody reads."""
    problems = []
    for rule in book.rules:
        table, key, *_ = rule.keys
        if table not in kinds:
            problems.append(unknown(book.file, table, kinds, "table", f"[{table}]"))
        else:
            problems.extend(_unknown_keys(book.file, table, {key: 0}, kinds[table], kinds))
    return problems


def read_stages(path: Path, changes: Mapping[str, Any] = NO_CHANGES) -> StagesSettings:
    """Only ``[stages]``: which plugins take part must be known before the other sections are."""
    tables = _own_tables(path, changes)
    try:
        return msgspec.convert(tables.get("stages", {}), type=StagesSettings)
    except msgspec.ValidationError as error:
        raise InputError(_stages_refused(path.name, tables["stages"])) from error


def made_file(path: Path) -> str:
    """Name of the list of what is made, as the project file has it. Raises InputError."""
    value = read_tables(path).get("made", {})
    try:
        return msgspec.convert(value, type=MadeSettings).file
    except msgspec.ValidationError as error:
        problems, _ = _checked({"made": value}, {"made": MadeSettings}, path.name)
        raise InputError(problems) from error


def _stages_refused(file: str, value: Any) -> list[Finding]:
    if not isinstance(value, dict):
        says = "[stages] must be a table of settings"
        return [problem("BW-PROJ-003", says, file, "stages", "Write [stages].")]
    extra = _unknown_keys(file, "stages", value, StagesSettings, {})
    known = {k: v for k, v in value.items() if k in StagesSettings.__struct_fields__}
    return extra + refused(file, "stages", StagesSettings, known)


def read_tables(path: Path, changes: Mapping[str, Any] = NO_CHANGES) -> dict[str, Any]:
    """A project file's tables over its house rules'. Raises InputError when they cannot be read.

    ``changes`` ("joists.spacing_mm" -> value) stand in place of what the file says, as if written there.
    """
    own = _own_tables(path, changes)
    return laid_under(read_rules(own, path.parent, path.name), own)


def _own_tables(path: Path, changes: Mapping[str, Any] = NO_CHANGES) -> dict[str, Any]:
    try:
        tables = tomllib.loads(read_file(path).decode("utf-8-sig"))
        for key, value in changes.items():
            _put(tables, Rule(setting=key).keys, value)
        return tables
    except FileNotFoundError:
        raise InputError.of(
            "BW-PROJ-001",
            f"there is no project file {path.name}",
            Place(file=path.name),
            "Run the command in the folder that holds layout.toml, or name the file. To begin a layout from "
            "your drawing: boardwright new my-layout --drawing plan.dxf",
        ) from None
    except UnicodeDecodeError as error:
        raise InputError.of(
            "BW-PROJ-002",
            f"the project file cannot be read: it is not saved as UTF-8{_foreign(error)}",
            Place(file=path.name),
            "Save it again from your editor as UTF-8 (most ask for the encoding under Save as).",
        ) from error
    except (OSError, ValueError, RecursionError) as error:  # ValueError: TOML, endless digits
        raise InputError.of(
            "BW-PROJ-002",
            f"the project file cannot be read: {error}",
            Place(file=path.name),
            _mend(path, str(error)),
        ) from error


def _foreign(error: UnicodeDecodeError) -> str:
    """Where the first letter stands that is no UTF-8; nothing where whole the file is of another kind."""
    if b"\0" in error.object:
        return ""
    line = error.object.count(b"\n", 0, error.start) + 1
    return f" (line {line} has a letter that is not)"


def _mend(path: Path, says: str) -> str:
    """What to do about a line that is no TOML: the slips that are made most are named."""
    if path.suffix.lower() in (".dxf", ".svg"):
        return (
            f"That is a drawing, no project file. Begin with: boardwright new my-layout --drawing {path.name}"
        )
    if says.startswith(("Cannot overwrite", "Cannot declare", "Cannot mutate")):
        return "That key or table stands twice in the file: put all in one place, take the other away."
    usual = "Correct that line; text values need quotation marks, numbers none."
    at = re.search(r"line (\d+)", says)
    try:
        lines = read_file(path).decode("utf-8-sig").splitlines()
        line = lines[int(at[1]) - 1] if at else ""
    except (OSError, ValueError, IndexError):
        return usual
    if re.search(r"=\s*-?\d+,\d", line):
        return f"Decimals take a point: {re.sub(r'(\d),(\d)', r'\1.\2', line.strip())}"
    if re.search(r"=\s*\[?\s*[“”„‟«»]", line):
        straight = re.sub(r"[“”„‟«»]", '"', line.strip())
        return f"Write straight quotation marks, as on the keyboard: {straight}"
    if re.search(r'"[^"]*\\', line):
        return f"Write paths with forward slashes: {line.strip().replace(chr(92), '/')}"
    if line.count('"') % 2:
        return "A quotation mark is missing in that line: text values stand between two of them."
    return usual


def _put(tables: dict[str, Any], keys: tuple[str, ...], value: Any) -> None:
    for key in keys[:-1]:
        tables = tables.setdefault(key, {})
        if not isinstance(tables, dict):
            raise ValueError(f"{'.'.join(keys)}: {key} is no table")
    tables[keys[-1]] = value


def _unknown_keys(
    file: str, table: str, value: dict[str, Any], kind: type[Any], kinds: Mapping[str, type[Any]]
) -> list[Finding]:
    valid = kind.__struct_fields__
    return [
        unknown(file, k, valid, "key", f"[{table}] {k}", _homes(k, kinds)) for k in value if k not in valid
    ]


def _homes(key: str, kinds: Mapping[str, type[Any]]) -> tuple[str, ...]:
    """Tables that know a key."""
    return tuple(name for name, kind in sorted(kinds.items()) if key in kind.__struct_fields__)
