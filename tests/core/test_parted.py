"""Which boards are others than in the pack before: each is told once, by what became of it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.parted import MANY, since
from boardwright_timber.model import Board

TOLD = [
    ("a b c", "a b c", ""),
    ("a b", "a b c", "B03 is new"),
    ("a b c", "a b", "old B03 is gone"),
    ("a b c", "a c", "old B02 is gone, old B03 is now B02"),
    ("a b", "a x", "B02 has another outline"),
    ("a b c", "a x b c", "B02 is new, old B02 is now B03, old B03 is now B04"),
    ("a a", "a a a", "B03 is new"),
    ("a b", "b a", "old B02 is now B01, old B01 is now B02"),
    ("a b", "x y z", "B03 is new, B01 and B02 have another outline"),
    ("", "a b", ""),  # the first pack
]


def boards(shapes: str) -> dict[str, str]:
    return {f"B{n:02}": shape for n, shape in enumerate(shapes.split(), 1)}


@pytest.mark.parametrize(("before", "now", "told"), TOLD)
def test_what_is_told(before: str, now: str, told: str) -> None:
    assert since(boards(before), boards(now)) == told


SHAPES = st.lists(st.sampled_from("abcd"), min_size=1, max_size=5).map(" ".join)


@given(SHAPES, SHAPES)
@settings(deadline=None, max_examples=200, derandomize=True)
def test_every_board_once(was: str, now: str) -> None:
    """Boards now are those before, less the gone, with the new; what has another name is cut alike."""
    before, after = boards(was), boards(now)
    told = since(before, after)
    found = {
        how: [
            b
            for bits in re.findall(rf"((?:(?:old )?B\d+(?:, | and )?)+) {words}", told)
            for b in _names(bits)
        ]
        for how, words in (
            ("new", r"(?:is|are) new"),
            ("gone", r"(?:is|are) gone"),
            ("other", "ha(?:s|ve) an"),
        )
    }
    moved = re.findall(r"old (B\d+) is now (B\d+)", told)
    assert len(after) == len(before) + len(found["new"]) - len(found["gone"])
    assert all(before[a] == after[b] for a, b in moved)
    assert all(before[b] != after[b] for b in found["other"])
    same = [b for b in after if before.get(b) == after[b]]
    assert sorted([*same, *found["new"], *found["other"], *(b for _, b in moved)]) == sorted(after)
    assert sorted([*same, *found["gone"], *found["other"], *(a for a, _ in moved)]) == sorted(before)
    assert bool(told) == (before != after)


def _names(bits: str) -> list[str]:
    return re.findall(r"B\d+", bits)


def test_many_are_counted() -> None:
    assert since(boards("a " * 12), boards("b " * 12)).startswith("B01, B02")
    assert f"and {12 - MANY} more have another outline" in since(boards("a " * 12), boards("b " * 12))


def test_a_board_that_only_lies_elsewhere_is_cut_alike() -> None:
    """Turned by 30 degrees and moved, a board is the same in its own frame; a notch is another outline."""
    ring = ((0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0))
    board = Board(
        id="B01", outline="O1", level_mm=0, ring=ring, origin=(0, 0), angle_deg=0, length_mm=900, width_mm=400
    )
    turned = Board(
        id="B02",
        outline="O1",
        level_mm=0,
        ring=(),
        origin=(123.4, -77),
        angle_deg=30,
        length_mm=900,
        width_mm=400,
    )
    moved = tuple((round(x, 6), round(y, 6)) for x, y in map(turned.to_plan, ring))
    assert (
        Board(**{f: getattr(turned, f) for f in turned.__struct_fields__} | {"ring": moved}).shape
        == board.shape
    )
    other = (*ring[:3], (0.0, 399.0))
    assert (
        Board(**{f: getattr(board, f) for f in board.__struct_fields__} | {"ring": other}).shape
        != board.shape
    )
