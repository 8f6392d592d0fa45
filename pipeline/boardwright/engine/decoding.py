"""Artefacts decoded for a call: what nobody can change is decoded once and lent to every stage.

Claim: nothing a stage does to its arguments can reach another stage. A type of which any part can change (a
dict, a list, a struct that is not frozen) is decoded afresh for every call.
"""

from __future__ import annotations

from collections import OrderedDict
from functools import cache
from typing import Any

from msgspec import inspect

from .. import canon
from ..typetree import types_in

MOST = 400  # decoded artefacts held: those of a dozen boards

_UNCHANGEABLE = (
    inspect.NoneType,
    inspect.BoolType,
    inspect.IntType,
    inspect.FloatType,
    inspect.DecimalType,
    inspect.StrType,
    inspect.BytesType,
    inspect.EnumType,
    inspect.LiteralType,
    # and as far as what is in them:
    inspect.VarTupleType,
    inspect.FrozenSetType,
    inspect.TupleType,
    inspect.UnionType,
    inspect.Metadata,
)

_lent: OrderedDict[tuple[bytes, Any], Any] = OrderedDict()


def decoded(data: bytes, kind: Any) -> Any:
    """The value that the bytes stand for."""
    if not unchangeable(kind):
        return canon.decode(data, kind)
    key = data, kind
    if key not in _lent:
        lend(canon.decode(data, kind), data, kind)
    _lent.move_to_end(key)
    return _lent[key]


def lend(value: Any, data: bytes, kind: Any) -> None:
    """Hold a value just settled, which need not be decoded then; one that can be changed is not held."""
    if unchangeable(kind):
        _lent[data, kind] = value
        if len(_lent) > MOST:
            _lent.popitem(last=False)


@cache
def unchangeable(kind: Any) -> bool:
    """Whether no part of a value of this type can be changed.

    >>> unchangeable(tuple[int, ...]), unchangeable(list[int])
    (True, False)
    """
    try:
        return all(map(_is_unchangeable, types_in(kind)))
    except TypeError:  # a type that cannot be stored: the call will say so
        return False


def _is_unchangeable(info: inspect.Type) -> bool:
    if isinstance(info, inspect.StructType):
        return bool(info.cls.__struct_config__.frozen and not info.cls.__struct_config__.dict)
    return isinstance(info, _UNCHANGEABLE)
