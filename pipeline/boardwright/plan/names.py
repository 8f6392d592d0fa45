"""Names of things drawn as blocks: as their attributes say, else numbered by place."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

from .drawn import Block


def given_name(block: Block) -> str:
    """The attribute NAME or ID; empty when there is none."""
    return block.attributes.get("NAME", "") or block.attributes.get("ID", "")


def by_place(block: Block) -> tuple[float, float, float, str]:
    """Order by (x, y), to 1e-3 mm, so that drawing order and handles play no part."""
    return (round(block.x_mm, 3), round(block.y_mm, 3), round(block.angle_deg, 3), block.name)


def number_rest(blocks: Sequence[Block], letter: str) -> list[tuple[Block, str]]:
    """Each block with its name, in order of place; nameless ones become T01, T02, … past names in use.

    T01 is not given where something is called T1 already: nobody could tell the two apart.
    """
    ordered = sorted(blocks, key=by_place)
    used = {given_name(b) for b in ordered}
    named, n = [], 0
    for block in ordered:
        name = given_name(block)
        if not name:
            n += 1
            n = next_free(used, letter, n)
            name = f"{letter}{n:02d}"
        named.append((block, name))
    return named


def next_free(used: Iterable[str], letter: str, n: int) -> int:
    """The first number from ``n`` on that no name in use has, however many noughts it is written with.

    >>> next_free({"T1", "T02", "X3"}, "T", 1)
    3
    """
    digits = [name[len(letter) :] for name in used if name.casefold().startswith(letter.casefold())]
    taken = {int(d) for d in digits if d.isdecimal()}
    return next(k for k in itertools.count(n) if k not in taken)
