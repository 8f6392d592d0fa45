"""Write docs/project-file.md from the typed settings: python docs/make_project_file.py"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
from msgspec import inspect

from boardwright.catalogue import collect
from boardwright.project import CORE_SECTIONS

PAGE = Path(__file__).with_name("project-file.md")
HEAD = """# The project file

`layout.toml` in your layout's folder. Every setting has a default; only `[drawing] file` must be given.
Unknown tables and keys are refused. This page is made from the settings themselves
(`python docs/make_project_file.py`).
"""


def page() -> str:
    kinds = {**collect().sections, **CORE_SECTIONS}
    first = [t for t in CORE_SECTIONS if t in kinds]
    parts = [HEAD]
    for table in [*first, *sorted(set(kinds) - set(first))]:
        parts.append(_table(f"[{table}]", kinds[table]))
    return "\n".join(parts)


def _table(title: str, kind: type[Any]) -> str:
    lines = [f"## `{title}`", "", "| key | value | default | meaning |", "|---|---|---|---|"]
    nested = []
    for field in inspect.type_info(kind).fields:  # type: ignore[union-attr]  # sections are structs
        told, meaning, inner = _told(field.type)
        default = field.default if field.default is not msgspec.NODEFAULT else _made(field)
        shown = "" if inner else f"`{_toml(default)}`"
        lines.append(f"| `{field.encode_name}` | {told} | {shown} | {meaning} |")
        if inner:
            inside = f"{title.strip('[]')}.{field.encode_name}"
            titles = {"tables": f"[[{inside}]]", "a table each": f"[{inside}.NAME]"}
            nested.append(_table(titles.get(told, f"[{inside}]"), inner))
    return "\n".join([*lines, "", *nested])


def _made(field: Any) -> Any:
    return field.default_factory() if field.default_factory is not msgspec.NODEFAULT else msgspec.NODEFAULT


def _told(kind: Any) -> tuple[str, str, type[Any] | None]:
    """(what may stand there, description, struct type of a nested table)."""
    meaning = ""
    while isinstance(kind, inspect.Metadata):
        meaning = (kind.extra_json_schema or {}).get("description", "") or meaning
        kind = kind.type
    if isinstance(kind, inspect.StructType):
        return "table", meaning, kind.cls
    if isinstance(kind, inspect.VarTupleType | inspect.ListType):
        inner = kind.item_type
        while isinstance(inner, inspect.Metadata):
            inner = inner.type
        if isinstance(inner, inspect.StructType):
            return "tables", meaning, inner.cls
        return "list", meaning, None
    if isinstance(kind, inspect.FloatType | inspect.IntType):
        bounds = [(">", kind.gt), ("≥", kind.ge), ("<", kind.lt), ("≤", kind.le)]
        limits = " ".join(f"{sign} {b:g}" for sign, b in bounds if b is not None)
        return f"number {limits}".strip(), meaning, None
    if isinstance(kind, inspect.BoolType):
        return "true or false", meaning, None
    if isinstance(kind, inspect.LiteralType):
        return " or ".join(f"`{v}`" for v in kind.values), meaning, None
    if isinstance(kind, inspect.EnumType):
        return " or ".join(f"`{v.value}`" for v in kind.cls), meaning, None
    if isinstance(kind, inspect.UnionType):
        first = next(t for t in kind.types if not isinstance(t, inspect.NoneType))
        told, inner_meaning, inner_kind = _told(first)
        return f"{told}, or left out", meaning or inner_meaning, inner_kind
    if isinstance(kind, inspect.DecimalType):
        return "number", meaning, None
    if isinstance(kind, inspect.DictType):
        value = kind.value_type
        while isinstance(value, inspect.Metadata):
            value = value.type
        return "a table each", meaning, value.cls if isinstance(value, inspect.StructType) else None
    return "text", meaning, None


def _toml(value: Any) -> str:
    if value is msgspec.NODEFAULT:
        return "(must be given)"
    if value is None:
        return "–"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple | list):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k} = {_toml(v)}" for k, v in value.items()) + "}"
    return str(value)


if __name__ == "__main__":
    PAGE.write_text(page())
