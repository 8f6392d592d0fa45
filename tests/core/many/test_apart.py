"""Constructions walked at the same moment share as little as can be."""

from __future__ import annotations

import itertools

from boardwright.many.study import Numbered, apart
from boardwright.many.varying import constructions, read_option


def test_neighbours_have_little_in_common() -> None:
    varied = [read_option(text) for text in ("a.a=1,2,3,4", "a.b=1,2,3", "a.c=1,2", "a.d=1,2")]
    every: list[Numbered] = list(enumerate(constructions(varied), 1))
    order = apart(every)
    assert sorted(order) == every

    def common(found: list[Numbered]) -> int:
        pairs = itertools.pairwise(found)
        return sum(a == b for one, other in pairs for a, b in zip(one[1], other[1], strict=True))

    assert common(order) < common(every) / 2


def test_nothing_and_one() -> None:
    assert apart([]) == []
    assert apart([(1, (("a.b", 1),))]) == [(1, (("a.b", 1),))]
