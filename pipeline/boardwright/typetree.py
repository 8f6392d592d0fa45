"""Every type inside a type: what a value of it can hold, however deep."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from msgspec import inspect


@cache
def types_in(kind: Any) -> tuple[inspect.Type, ...]:
    """The type and all inside it, each struct once. Raises TypeError for one that cannot be stored.

    >>> [type(t).__name__ for t in types_in(tuple[int, ...])]
    ['VarTupleType', 'IntType']
    """
    from msgspec import inspect

    return tuple(_walk(inspect.type_info(kind), set()))


def _walk(info: inspect.Type, seen: set[type]) -> Iterator[inspect.Type]:
    from msgspec import inspect

    if isinstance(
        info,
        inspect.StructType | inspect.DataclassType | inspect.NamedTupleType | inspect.TypedDictType,
    ):
        if info.cls in seen:
            return
        seen.add(info.cls)
    yield info
    for inner in _inside(info):
        yield from _walk(inner, seen)


def _inside(info: inspect.Type) -> Iterator[inspect.Type]:
    """Types that one names itself, whatever it calls them."""
    from msgspec import inspect

    for name in info.__struct_fields__:
        value = getattr(info, name)
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, inspect.Type):
                yield one
            elif isinstance(one, inspect.Field):
                yield one.type


def holds(kind: Any, *wanted: type) -> bool:
    """Whether a value of a type can hold one of these ``msgspec.inspect`` types; a type that cannot be told
    (TypeError) holds none.
    """
    try:
        return any(isinstance(info, wanted) for info in types_in(kind))
    except TypeError:
        return False
