"""What is wrong with a value of the project file, in a modeller's words: key, value, what is allowed.

Claim: the message holds the key as it stands in the file, the value as it would be written there, and what
may stand there instead. Ranges are those of the settings themselves; nothing is repeated here.

What this does not know: more than the first slip inside one list; the next run tells the next.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, get_type_hints

import msgspec
import msgspec.inspect

from .findings import Finding, Place, Severity

FORM = "form"
"""Key of a setting's ``Meta(extra=…)``: what its pattern asks for, in a modeller's words."""
CHANGE = "Change the value; docs/project-file.md says what each means."
_OURS = ("boardwright", "boardwright_timber", "boardwright_stages", "boardwright_outputs")

type Path = tuple[str | int, ...]

_KINDS = {
    "float": "a number",
    "int": "a whole number",
    "decimal": "a number",
    "str": "a text in quotation marks",
    "bool": "true or false",
    "array": "a list in square brackets",
    "object": "a table of settings",
    "null": "left out",
}
_LIMITS = ((">=", "or more"), ("<=", "or less"), (">", "above"), ("<", "below"))


def problem(code: str, says: str, file: str, key: str, mend: str) -> Finding:
    """A fault of the project file at one key."""
    return Finding(
        code=code, severity=Severity.FAULT, says=says, where=(Place(file=file, key=key),), mend=mend
    )


def unknown(
    file: str, name: str, valid: Iterable[str], what: str, shown: str, homes: Sequence[str] = ()
) -> Finding:
    """A name that nothing reads here, with the tables that know it (``homes``), or the nearest one that is
    read here."""
    near = difflib.get_close_matches(name, list(valid), n=1, cutoff=0.5)
    mend = f"Did you mean {near[0]!r}?" if near else f"Valid here: {', '.join(sorted(valid))}."
    if homes:
        mend = f"Write it under {' or '.join(f'[{home}]' for home in homes)}, below that heading."
    return problem("BW-PROJ-004", f"unknown {what} {shown}", file, shown, mend)


def invalid(file: str, key: str, value: Any, allowed: str, mend: str = CHANGE) -> Finding:
    """A value that cannot be used where it stands."""
    says = f"{key} is {written(value)}; it must be {allowed}"
    return problem("BW-PROJ-005", says, file, key, mend)


def _change(kind: type[Any], values: Mapping[str, Any]) -> str:
    """Change it, and what it means: our pages do not know a plugin's settings, which describe themselves."""
    if kind.__module__.partition(".")[0] in _OURS:
        return CHANGE
    hints = get_type_hints(kind, include_extras=True)
    meant = [m.description for v in values for m in getattr(hints[v], "__metadata__", ()) if m.description]
    return f"Change the value. What it is: {meant[0]}" if meant else "Change the value; it is a plugin's."


def refused(file: str, table: str, kind: type[Any], values: Mapping[str, Any]) -> list[Finding]:
    """What the validator has against a table: every key of it is looked at by itself, and where none is wrong
    alone, as a screw and the plug it must reach through, all of them together."""
    found = []
    for name, value in values.items():
        try:
            msgspec.convert({name: value}, type=kind)
        except msgspec.ValidationError as error:
            found.append(_told(file, table, kind, {name: value}, str(error)))
    if not found:
        try:
            msgspec.convert(dict(values), type=kind)
        except msgspec.ValidationError as error:
            found.append(_told(file, table, kind, dict(values), str(error)))
    return found


def _told(file: str, table: str, kind: type[Any], values: dict[str, Any], text: str) -> Finding:
    """From the validator's words, such as ``Expected `float` > 0.0 - at `$.a.b```."""
    says, path, values = _pinned(kind, values, text)
    key, value = _key(table, path), _at(values, path)
    if extra := re.fullmatch(r"Object contains unknown field `(.*)`", says):
        return unknown(file, extra[1], _field_names(kind), "key", _key(table, (*path, extra[1])))
    if missing := re.fullmatch(r"Object missing required field `(.*)`", says):
        mend = f"Add {missing[1]}; docs/project-file.md says what it means."
        return problem("BW-PROJ-005", f"{key} has no {missing[1]}", file, key, mend)
    if expected := re.fullmatch(r"Expected (`[^`]*`.*?)(, got .*)?", says):
        allowed = _form(kind, path) or allowed_words(expected[1])
        return invalid(file, key, value, allowed, _change(kind, values))
    if says.startswith("Invalid enum value"):
        choices = sorted(_choices(kind, path), key=str)
        return invalid(
            file, key, value, "one of " + ", ".join(written(c) for c in choices), _change(kind, values)
        )
    return problem("BW-PROJ-005", f"{key}: {says}", file, key, _change(kind, values))  # a section's own words


def _pinned(kind: type[Any], values: dict[str, Any], text: str) -> tuple[str, Path, dict[str, Any]]:
    """The words, the whole path and the values; ``[...]``, some key of a table, is searched for."""
    says, _, shown = text.partition(" - at `$")
    path = _path(shown.rstrip("`"))
    if ... not in path:
        return says, tuple(p for p in path if p is not ...), values
    here = tuple(p for p in path[: path.index(...)] if p is not ...)
    for key, value in _at(values, here).items():
        alone = _only(values, here, {key: value})
        try:
            msgspec.convert(alone, type=kind)
        except msgspec.ValidationError as error:
            says, _, shown = str(error).partition(" - at `$")
            return says, tuple(key if p is ... else p for p in _path(shown.rstrip("`"))), alone
    return says, here, values


def _path(shown: str) -> list[Any]:
    """``.sheets[0].price`` as ["sheets", 0, "price"]; ``[...]`` as ``...``."""
    steps: list[Any] = []
    for name, number in re.findall(r"\.([^.\[]+)|\[(\.\.\.|\d+)\]", shown):
        steps.append(name or (... if number == "..." else int(number)))
    return steps


def _at(values: Any, path: Iterable[str | int]) -> Any:
    for step in path:
        values = values[step]
    return values


def _only(values: dict[str, Any], path: Path, value: Any) -> dict[str, Any]:
    """The values with nothing but ``value`` at a path of names."""
    for step in reversed(path):
        value = {step: value}
    return {**values, **value}


def _key(table: str, path: Path) -> str:
    """As the file would have it: ``[stock] sheets 2, price_eur``: lists are counted from one."""
    said = f"[{table}]"
    for step in path:
        said += f" {step + 1}," if isinstance(step, int) else f"{_joint(said)}{step}"
    return said.rstrip(",")


def _joint(key: str) -> str:
    """What stands between a key and the name behind it."""
    return " " if key.endswith(("]", ",")) else "."


def allowed_words(expected: str) -> str:
    """`` `float` > 0.0`` as "a number above 0"."""
    types, _, limit = expected[1:].partition("`")
    words = [_KINDS.get(t, t) for t in types.split(" | ") if t != "null"]
    said = " or ".join(dict.fromkeys(words))
    limit = limit.strip()
    if length := re.fullmatch(r"of length (>=|<=|==) (\d+)", limit):
        one, many = ("entry", "entries") if "array" in types else ("character", "characters")
        few = {">=": "at least ", "<=": "at most ", "==": ""}[length[1]]
        return f"{said} of {few}{length[2]} {one if length[2] == '1' else many}"
    for sign, word in _LIMITS:
        if limit.startswith(sign):
            figure = limit.removeprefix(sign).strip().removesuffix(".0")
            return f"{said}, {figure} {word}" if word.startswith("or") else f"{said} {word} {figure}"
    return f"{said} {limit}".strip()


def written(value: Any) -> str:
    """A value as it stands in the file."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return f'"{value}"' if len(value) <= 40 else f'"{value[:40]}…"'
        case list():
            return "a list"
        case dict():
            return "a table"
        case _:
            return str(value)


def _choices(kind: type[Any], path: Path) -> set[Any]:
    """The values a Literal at the path may have."""
    here: Any = msgspec.inspect.type_info(kind)
    for step in path:
        here = _inside(here, step)
    options = [_bare(t) for t in getattr(_bare(here), "types", (here,))]
    return {v for t in options if isinstance(t, msgspec.inspect.LiteralType) for v in t.values}


def _form(kind: type[Any], path: Path) -> str:
    """What a text at the path must look like, in the words its setting has for its pattern; else empty."""
    here: Any = msgspec.inspect.type_info(kind)
    for step in path:
        here = _inside(here, step)
    form = ""
    while isinstance(here, msgspec.inspect.Metadata):
        form, here = form or (here.extra or {}).get(FORM, ""), here.type
    return form


def _bare(here: Any) -> Any:
    """A type without what is said of it."""
    while isinstance(here, msgspec.inspect.Metadata):
        here = here.type
    return here


def _inside(here: Any, step: str | int) -> Any:
    """The type one step further in."""
    here = _bare(here)
    if isinstance(here, msgspec.inspect.UnionType):
        here = next(t for t in here.types if not isinstance(t, msgspec.inspect.NoneType))
        return _inside(here, step)
    if isinstance(here, msgspec.inspect.StructType):
        return next(f.type for f in here.fields if f.encode_name == step)
    return getattr(here, "item_type", None) or here.value_type


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


def not_finite(value: Any, key: str) -> Iterator[tuple[str, Any]]:
    """Numbers that are infinite or no number at all, by key: TOML can say them, no board has them."""
    if isinstance(value, float) and not math.isfinite(value):
        yield key.rstrip(","), value
    elif isinstance(value, dict):
        for k, v in value.items():
            yield from not_finite(v, f"{key}{_joint(key)}{k}")
    elif isinstance(value, list):
        for n, v in enumerate(value, 1):
            yield from not_finite(v, f"{key} {n},")
