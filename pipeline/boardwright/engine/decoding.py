"""Artefacts decoded for a call: what nobody can change is decoded once and lent to every stage.

Claim: nothing a stage does to its arguments can reach another stage. A type of which any part can change (a
dict, a list, a struct that is not frozen) is decoded afresh for every call.
"""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

from msgspec import inspect

from .. import canon

MOST = 400  # decoded artefacts held: those of a dozen boards

_PLAIN = (
    inspect.NoneType,
    inspect.BoolType,
    inspect.IntType,
    inspect.FloatType,
    inspect.DecimalType,
    inspect.StrType,
    inspect.BytesType,
    inspect.EnumType,
    inspect.LiteralType,
)


def decoded(data: bytes, kind: Any) -> Any:
    """The value that the bytes stand for."""
    return _lent(data, kind) if unchangeable(kind) else canon.decode(data, kind)


@lru_cache(maxsize=MOST)
def _lent(data: bytes, kind: Any) -> Any:
    return canon.decode(data, kind)


@cache
def unchangeable(kind: Any) -> bool:
    """Whether no part of a value of this type can be changed.

    >>> unchangeable(tuple[int, ...]), unchangeable(list[int])
    (True, False)
    """
    try:
        return _is_unchangeable(inspect.type_info(kind), set())
    except TypeError:  # a type that cannot be stored: the call will say so
        return False


def _is_unchangeable(info: inspect.Type, seen: set[type]) -> bool:
    match info:
        case inspect.StructType(cls=cls, fields=fields):
            if cls in seen:
                return True
            seen.add(cls)
            whole = cls.__struct_config__.frozen and not cls.__struct_config__.dict
            return whole and all(_is_unchangeable(f.type, seen) for f in fields)
        case inspect.VarTupleType(item_type=item) | inspect.FrozenSetType(item_type=item):
            return _is_unchangeable(item, seen)
        case inspect.TupleType(item_types=items) | inspect.UnionType(types=items):
            return all(_is_unchangeable(i, seen) for i in items)
        case inspect.Metadata(type=inner):
            return _is_unchangeable(inner, seen)
        case _:
            return isinstance(info, _PLAIN)
