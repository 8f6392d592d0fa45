"""Pieces of a stage's answer, kept from its last call, so that a call makes anew only the pieces that change.

    @output()
    def sheet_drawings(cutting: CuttingPlan, memo: Memo = NO_MEMO) -> Files:
        return Files(files={s.id: memo.of(sheet_drawing, s) for s in cutting.sheets})

Claim: with and without what was kept, a stage's answer is the same, byte for byte.

Glossary
    piece    what one function answers for some arguments; the function must be as pure as a stage
    kept     the pieces of the last call of one stage for one board, by the same code and libraries

What this does not know: a piece of any earlier call than the last, or of another stage.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from inspect import signature
from typing import Any, get_type_hints

import msgspec

from . import canon
from .settings import Section
from .typetree import types_in

_amounts = msgspec.msgpack.Encoder(order="deterministic", decimal_format="number", enc_hook=canon.plain)


NONE_KNOWN: Mapping[int, str] = {}


class Memo:
    """Pieces by the digest of function and arguments. ``used`` holds those of this call, made or found;
    without ``kept`` (None) nothing is looked up and nothing is noted. ``digests``: of artefacts that the call
    was given, by ``id``: they need not be read through again."""

    def __init__(
        self, kept: Mapping[str, bytes] | None = None, digests: Mapping[int, str] = NONE_KNOWN
    ) -> None:
        self._kept, self._digests = kept, digests
        self.used: dict[str, bytes] = {}

    def of[**P, T](self, function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """``function(*args, **kwargs)``, from what is kept where function and arguments are the same.

        The function is told by its name (its code is part of the stage's key), so it stands in a module and
        its return annotation is something that can be stored; arguments are nouns, numbers and texts, or
        sections of the project file, which then count as read whole.
        Raises what the function raises, and TypeError for arguments that cannot be stored.
        """
        whole = tuple(map(_whole, args)), {name: _whole(value) for name, value in kwargs.items()}
        return self._piece((*whole[0], whole[1]), _takes_amounts(function), function, *whole)

    def by[**P, T](
        self, inputs: tuple[Any, ...], function: Callable[P, T], *args: P.args, **kwargs: P.kwargs
    ) -> T:
        """The same for arguments that cannot be stored or hold much that the piece never looks at: it is
        found again by ``inputs``, which together settle what the function answers.

        That they do is the caller's claim; a test changes all else and compares.
        """
        return self._piece(tuple(map(_whole, inputs)), True, function, args, kwargs)

    def _piece[T](
        self,
        inputs: tuple[Any, ...],
        amounts: bool,
        function: Callable[..., T],
        args: tuple[Any, ...],
        kwargs: Mapping[str, Any],
    ) -> T:
        if self._kept is None:
            return function(*args, **kwargs)
        key = _key(function, [self._digests.get(id(one), one) for one in inputs], amounts)
        kind = _hints(function)["return"]
        answer: T
        if (data := self.used.get(key) or self._kept.get(key)) is None:
            answer, data = canon.settle(function(*args, **kwargs), kind)
        else:
            answer = canon.decode(data, kind)
        self.used[key] = data
        return answer


NO_MEMO = Memo()


def _whole(value: Any) -> Any:
    """A section as it is, whether or not the piece reads all of it: found again, it reads nothing."""
    return value.changed() if isinstance(value, Section) else value


def _key(function: Callable[..., Any], inputs: list[Any], amounts: bool) -> str:
    """With ``amounts``, two encodings: one tells a Decimal from a number and the other one from a text."""
    given = (f"{function.__module__}.{function.__qualname__}", inputs)
    return canon.digest(canon.told(given) + (b"\0" + _amounts.encode(given) if amounts else b""))


@cache
def _hints(function: Callable[..., Any]) -> dict[str, Any]:
    return get_type_hints(function)


@cache
def _takes_amounts(function: Callable[..., Any]) -> bool:
    """Whether a Decimal may be among the arguments, or nobody can tell."""
    from msgspec.inspect import AnyType, CustomType, DecimalType, RawType

    hints = _hints(function)
    for name in signature(function).parameters:
        try:
            found = types_in(hints.get(name, Any))
        except TypeError:
            return True
        if any(isinstance(info, AnyType | CustomType | DecimalType | RawType) for info in found):
            return True
    return False
