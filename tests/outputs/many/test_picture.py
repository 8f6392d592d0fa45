"""Numbers in the picture of a study stand clear of marks and of each other."""

from __future__ import annotations

import re
from itertools import combinations

from boardwright_outputs.many.picture import DIGIT, MARK, WIDTH, numbers

type Box = tuple[float, float, float, float]


def boxes(best: list[int], at: dict[int, tuple[float, float]]) -> dict[str, Box]:
    """Left, upper, right and lower edge of every number, as they stand in the picture."""
    found = {}
    for text in numbers(best, at, 0.0):
        match = re.fullmatch(r'<text class="number" x="(.+)" y="(.+)">(.+)</text>', text)
        assert match
        x, y, words = float(match[1]), float(match[2]), match[3]
        found[words] = (x, y - 9, x + DIGIT * len(words), y)
    return found


def apart(a: Box, b: Box) -> bool:
    return a[0] >= b[2] - 0.1 or b[0] >= a[2] - 0.1 or a[1] >= b[3] - 0.1 or b[1] >= a[3] - 0.1


def test_marks_upon_each_other_share_one_line() -> None:
    assert set(boxes([0, 4, 6], {0: (300, 100), 4: (200, 80), 6: (302, 101), 5: (310, 95)})) == {"0, 6", "4"}


def test_numbers_stand_clear_of_marks_and_each_other() -> None:
    at = {n: (300.0 + 12 * (n % 3), 100.0 + 13 * (n // 3)) for n in range(6)} | {9: (WIDTH - 22.0, 30.0)}
    found = boxes([0, 5, 9], at)
    assert len(found) == 3
    marks = [(x - MARK, y - MARK, x + MARK, y + MARK) for x, y in at.values()]
    assert all(apart(a, b) for a, b in combinations(found.values(), 2))
    assert all(apart(a, mark) for a in found.values() for mark in marks)
    assert all(box[2] < WIDTH for box in found.values())
