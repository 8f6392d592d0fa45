"""What is different between two artefacts, in a modeller's words.

Works on plain data (dicts, lists, numbers, texts). Things that have an ``id`` are matched by it, so an
inserted device is one sentence and not a shift of everything after it. A thing whose only change is its
place has *moved*. Numbers are shown in the unit their field name ends with.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

_UNITS = {"_mm": " mm", "_deg": "°", "_kg": " kg", "_n": " N", "_mm2": " mm²", "_m2": " m²"}
_NOT_TOLD = {"place"}  # where something stands in a file is no change of the thing itself


def differences(old: Any, new: Any, limit: int = 6) -> list[str]:
    """Sentences, most telling first, at most ``limit`` and then how many more there are."""
    found = list(_walk(old, new, ""))
    if len(found) > limit:
        return [*found[:limit], f"and {len(found) - limit} more changes"]
    return found


def _walk(old: Any, new: Any, what: str) -> Iterator[str]:
    if old == new:
        return
    if isinstance(old, dict) and isinstance(new, dict):
        yield from _dicts(old, new, what)
    elif isinstance(old, list) and isinstance(new, list):
        yield from _lists(old, new, what)
    elif any(isinstance(text, str) and "\n" in text for text in (old, new)):
        yield f"{what or 'it'} changed"  # a whole file as a text: no use in showing it
    else:
        yield f"{what or 'it'} was {_shown(old, what)}, is {_shown(new, what)}"


def _dicts(old: dict[str, Any], new: dict[str, Any], what: str) -> Iterator[str]:
    moved = {"x_mm", "y_mm"}
    changed = {k for k in old.keys() | new.keys() if k not in _NOT_TOLD and old.get(k) != new.get(k)}
    if changed & moved and moved <= old.keys() and moved <= new.keys():
        yield f"{what} moved from {_point(old)} to {_point(new)}{_source(new)}"
        changed -= moved
    for k in [*(k for k in new if k in changed), *sorted(changed - new.keys())]:
        inner = f"{what} {_words(k)}".strip()
        if k not in old:
            yield f"{inner} is new"
        elif k not in new:
            yield f"{inner} is gone"
        else:
            yield from _walk(old[k], new[k], inner)


def _lists(old: list[Any], new: list[Any], what: str) -> Iterator[str]:
    one = what.removesuffix("s")
    if _have_ids(old) and _have_ids(new):
        before, after = {o["id"]: o for o in old}, {n["id"]: n for n in new}
        for name in after:
            if name not in before:
                yield f"{one} {name} is new{_at(after[name])}"
            else:
                yield from _walk(before[name], after[name], f"{one} {name}")
        for name in before:
            if name not in after:
                yield f"{one} {name} is gone{_at(before[name])}"
        if list(before) != list(after) and before == after:
            yield f"{what} stand in another order"
    elif len(old) != len(new):
        yield f"{what}: {len(old)} before, {len(new)} now"
    elif all(isinstance(x, int | float) for x in (*old, *new)):
        yield f"{what} was {_shown(old, what)}, is {_shown(new, what)}"
    else:
        changed = sum(o != n for o, n in zip(old, new, strict=True))
        yield f"{what}: {changed} of {len(new)} changed"


def _have_ids(things: list[Any]) -> bool:
    return all(isinstance(t, dict) and isinstance(t.get("id"), str) for t in things)


def _point(thing: dict[str, Any]) -> str:
    return f"({thing['x_mm']:g}, {thing['y_mm']:g})"


def _at(thing: dict[str, Any]) -> str:
    return f" at {_point(thing)}{_source(thing)}" if {"x_mm", "y_mm"} <= thing.keys() else ""


def _source(thing: dict[str, Any]) -> str:
    """Where a thing stands in the builder's files."""
    place = thing.get("place") or {}
    bits = [place.get("file", "")]
    if place.get("handle"):
        bits.append(f"handle {place['handle']}")
    elif place.get("row"):
        bits.append(f"row {place['row']}")
    told = " ".join(b for b in bits if b)
    return f", {told}" if told else ""


def _words(field: str) -> str:
    for ending in _UNITS:
        if field.endswith(ending):
            field = field[: -len(ending)]
            break
    return field.replace("_", " ")


def _shown(value: Any, what: str) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    text = str(value) or "nothing"
    return text if len(text) <= 40 else text[:37] + "…"
