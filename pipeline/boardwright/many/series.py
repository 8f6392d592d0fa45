"""A series: modules of several kinds that are to be joined in any order, in one TOML file.

::

    name = "Harbour modules"
    spare_ends = 1

    [settings]                          # for all modules, in place of what the project files say
    "joints.bolts_at_mm" = [-150, 150]

    [[modules]]
    name = "straight"
    project = "straight/layout.toml"
    copies = 4

    [[modules]]
    name = "yard left"
    project = "yard/layout.toml"
    copies = 2
    settings = { "drawing.mirrored" = true }

    [[mate]]                            # left out: every end is to mate with every other
    ends = ["straight/*", "yard left/E01"]

Each kind is packed by itself, as often as its copies say, into the folder ``pack-NAME`` beside its project
file; then all are bought together.

What this does not know: what an end is, and when two of them mate.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec

from ..disk import read_file
from ..errors import InputError
from ..findings import Finding, Place, Severity
from ..house import NOT_FOR_RULES, Rule
from .model import Series, SeriesModule
from .projects import LAYOUT, Order

MEND = "docs/many.md shows how a series is written."
FROM_THE_FILE = ("series.copies", "series.spare_ends")
_NAME = re.compile(r"[\w][\w .-]*")


class _Module(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    project: str
    name: str = ""
    copies: int = 1
    settings: dict[str, Any] = {}


class _Mate(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    ends: tuple[str, ...]


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    modules: tuple[_Module, ...]
    name: str = ""
    spare_ends: int = 0
    first_number: int = 1
    settings: dict[str, Any] = {}
    mate: tuple[_Mate, ...] = ()


def read_series(path: Path) -> tuple[Series, dict[str, Order]]:
    """The series, and by the module's name what is to be packed. Raises InputError with all that is wrong."""
    try:
        read = msgspec.convert(tomllib.loads(read_file(path).decode("utf-8-sig")), type=_File)
    except OSError as error:
        raise InputError([_wrong(path, f"cannot be read: {error.strerror or error}")]) from error
    except (ValueError, RecursionError) as error:  # TOML, encoding, what may stand there
        raise InputError([_wrong(path, f"cannot be used: {str(error).replace('`', '')}")]) from error
    names = [m.name or _name_of(m.project) for m in read.modules]
    problems = [_wrong(path, says) for says in _problems(read, names, path.parent)]
    if problems:
        raise InputError(problems)
    modules, number = [], read.first_number
    for name, module in zip(names, read.modules, strict=True):
        modules.append(SeriesModule(name=name, copies=module.copies, first=number))
        number += module.copies
    series = Series(
        name=read.name or path.stem,
        spare_ends=read.spare_ends,
        modules=tuple(modules),
        mate=tuple(m.ends for m in read.mate),
    )
    orders = {
        name: Order(file := path.parent / module.project, _pack_folder(file, name), _changes(read, module))
        for name, module in zip(names, read.modules, strict=True)
    }
    return series, orders


def _changes(read: _File, module: _Module) -> dict[str, Any]:
    """What stands in place of the project file's settings; spare ends are cut once for the whole series."""
    return {**read.settings, **module.settings, "series.copies": module.copies, "series.spare_ends": 0}


def _name_of(project: str) -> str:
    file = Path(project)
    return file.parent.name if file.name == LAYOUT and file.parent.name else file.stem


def _pack_folder(file: Path, name: str) -> Path:
    return file.parent / f"pack-{name}"


def _problems(read: _File, names: list[str], folder: Path) -> Iterator[str]:
    if not read.modules:
        yield "names no module"
    if not 0 <= read.spare_ends <= 100:
        yield f"asks for {read.spare_ends} spare ends: from 0 to 100"
    for name in sorted({n for n in names if names.count(n) > 1}):
        yield f"has two modules called {name}: give each a name of its own"
    for name, module in zip(names, read.modules, strict=True):
        if not Path(module.project).name:
            yield "has a module without a project file"
        elif not _NAME.fullmatch(name):
            yield f"has a module called {name!r}: letters, digits, blanks, points and dashes make a name"
        elif (folder / module.project).with_name(f"{name}.toml").is_file():
            yield f"has a module called as the project file {name}.toml beside it: give it another name"
        if not 1 <= module.copies <= 1000:
            yield f"wants {module.copies} of {name}: from 1 to 1000"
    for whose, settings in [("all modules", read.settings), *((m.project, m.settings) for m in read.modules)]:
        for key in settings:
            yield from (f"for {whose}: {says}" for says in _refused(key))
    known = {n.casefold() for n in names}
    for mate in read.mate:
        for end in mate.ends:
            if end.rpartition("/")[0].casefold() not in known:
                yield f"mates the end {end!r}, which is no MODULE/END or MODULE/*"


def _refused(key: str) -> Iterator[str]:
    try:
        table, *inner = Rule(setting=key).keys
    except ValueError:
        table, inner = key, []
    if not inner:
        yield f"{key!r} is not the name of a setting: it is table.key, as in joists.spacing_mm"
    elif table in NOT_FOR_RULES:
        yield f"{key} chooses code or rules, which only the project file may"
    elif key in FROM_THE_FILE:
        yield f"{key} is said by the series itself: copies of a module, spare_ends at the top"


def _wrong(path: Path, says: str) -> Finding:
    where = (Place(file=path.name),)
    return Finding(
        code="BW-MANY-020", severity=Severity.FAULT, says=f"the series {says}", where=where, mend=MEND
    )
