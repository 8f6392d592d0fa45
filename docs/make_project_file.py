"""Write docs/project-file.md from the typed settings: python docs/make_project_file.py"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
from msgspec import inspect

from boardwright.catalogue import collect
from boardwright.project import CORE_SECTIONS
from boardwright_stages.costing.settings import EXAMPLE_PRICES
from boardwright_stages.nesting.settings import StockSettings

PAGE = Path(__file__).with_name("project-file.md")
HEAD = """# The project file

`layout.toml` in your layout's folder. Every setting has a default; only `[drawing] file` must be given.
Unknown tables and keys are refused. This page is made from the settings themselves
(`python docs/make_project_file.py`).
"""


# What a table of keys cannot say, under the table it belongs to.
KINDS_NOTE = """Write one table for each kind: a built-in one ([devices.md](devices.md) lists them with
their sizes), of which you change only what you write, or a kind of your own. A key that is left out
keeps the built-in kind's value. A kind of your own must have `length_mm` and `width_mm`; left out,
`depth_mm` is 0 and `clearance_mm` is the one under `[devices]`.

```toml
[devices.kinds.point_motor]     # a deeper one than usual
depth_mm = 75

[devices.kinds."my lamp"]
length_mm = 12
width_mm = 12
```
"""


def _stock_note() -> str:
    sheets = "\n".join(
        f"| {s.name} | `{s.material}` | {s.thickness_mm:g} | {s.price} |" for s in StockSettings().sheets
    )
    return f"""Without any `[[stock.sheets]]` these are used; their prices are examples, not a merchant's:

| name | material | thickness mm | price |
|---|---|---|---|
{sheets}

**Your own sheets replace all of them.** So give one `[[stock.sheets]]` for every material and thickness
the layout uses (`member_material` with `member_thickness_mm`, `deck_material` with
`deck_thickness_mm`), or parts are left without a sheet and the cost is incomplete:

```toml
[[stock.sheets]]
name = "deck ply"
material = "birch ply"
thickness_mm = 9
price = 45.00

[[stock.sheets]]
name = "frame ply"
material = "birch ply"
thickness_mm = 12
price = 58.00
```
"""


def _prices_note() -> str:
    names = ", ".join(f"`{name}`" for name in sorted(EXAMPLE_PRICES))
    return f"""NAME is an item of the worksheet Hardware: `screw-DxL` (diameter × length in mm,
`screw-3.5x30`), `bolt-SIZExL` (`bolt-M8x40`), `hex-bolt-SIZExL`, `nut-SIZE`,
`wing-nut-SIZE`, `tee-nut-SIZE`, `toggle-catch`, `rail-plate`, `washer-SIZE`, `timber-washer-SIZE`,
`dowel-D`, `corner-block-strip`, `wood-glue`, `wire-SIZE-COLOUR` (`wire-0.75-red`, in metres of
one core; `wire-0.75` prices every colour that has no price of its own), `plug-WAYS`,
`terminal-strip-12`. Names with a point or a blank need quotation marks. Unlike
sheets, prices are changed one by one: what you do not give keeps its example price, if there is one.

```toml
[costing.prices.wood-glue]
price = 8.20
holds = 500                     # millilitres in one bottle
called = "bottle of 500 ml"

[costing.prices."screw-3.5x30"]
price = 7.50
holds = 250
called = "box of 250"
```

Example prices exist for: {names}.
"""


def page() -> str:
    kinds = {**collect().sections, **CORE_SECTIONS}
    first = [t for t in CORE_SECTIONS if t in kinds]
    parts = [HEAD]
    for table in [*first, *sorted(set(kinds) - set(first))]:
        parts.append(_table(f"[{table}]", kinds[table]))
    return "\n".join(parts)


NOTES: dict[str, Callable[[], str]] = {
    "[devices.kinds.NAME]": lambda: KINDS_NOTE,
    "[[stock.sheets]]": _stock_note,
    "[costing.prices.NAME]": _prices_note,
}


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
    note = NOTES.get(title)
    return "\n".join([*lines, "", *([note()] if note else []), *nested])


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
