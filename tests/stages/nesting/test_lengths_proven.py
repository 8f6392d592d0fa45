"""Bars proven the fewest by the short search are those that the whole search answers."""

from __future__ import annotations

import random

import pytest

from boardwright_stages.nesting import lengths as module
from boardwright_stages.nesting.lengths import Bars, cut_lengths

type Lengths = list[tuple[int, int]]


def whole_search(lengths: Lengths, whole: int, kerf: int) -> Bars:
    """The plain way: both searches, always."""
    found = module._solved(lengths, whole, kerf, tree=True, columns=True)
    assert found is not None
    return found


def made_up(seed: int) -> tuple[Lengths, int, int]:
    """From few long pieces to many short ones, in millimetres and in hundredths."""
    draw = random.Random(seed)
    whole, kerf = draw.choice([(242_000, 300), (2_420, 3), (2_400, 0), (100, 1)])
    least = draw.uniform(0.02, 0.3)
    most = max(least + 0.1, draw.uniform(0.3, 1.0))
    sizes = {max(1, round(whole * draw.uniform(least, most))) for _ in range(draw.randint(2, 14))}
    return [(size, draw.randint(1, 6)) for size in sorted(sizes, reverse=True)], whole, kerf


def test_made_up_lists_give_the_same_bars_and_bound() -> None:
    proven = 0
    for seed in range(120):
        lengths, whole, kerf = made_up(seed)
        if len(lengths) < 2:
            continue
        answer = cut_lengths(lengths, whole, kerf)
        assert answer == whole_search(lengths, whole, kerf), lengths
        proven += len(answer.bars) == answer.bound
    assert proven >= 60


def test_the_columns_are_asked_only_where_the_bars_are_not_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[bool, bool]] = []
    plain = module._solved

    def counted(lengths: Lengths, whole: int, kerf: int, *, tree: bool, columns: bool) -> Bars | None:
        asked.append((tree, columns))
        return plain(lengths, whole, kerf, tree=tree, columns=columns)

    monkeypatch.setattr(module, "_solved", counted)
    # 60 + 40 twice: 200 of two bars of 100, so two are the fewest
    assert cut_lengths([(60, 2), (40, 2)], 100, 0) == Bars(((0, 1), (0, 1)), 2)
    assert asked == [(True, False)]
    asked.clear()
    # more pieces than the tree search is tried on: 301 of 50, two a bar
    assert len(cut_lengths([(50, 300), (49, 1)], 100, 0).bars) == 151
    assert asked == [(False, True)]
