"""Names of things drawn as blocks: as their attributes say, else numbered by place."""

from __future__ import annotations

from collections.abc import Sequence

from .drawn import Block


def given_name(block: Block) -> str:
    """The attribute NAME or ID; empty when there is none."""
    return block.attributes.get("NAME", "") or block.attributes.get("ID", "")


def by_place(block: Block) -> tuple[float, float, float, str]:
    """Order by (x, y), to 1e-3 mm, so that drawing order and handles play no part."""
    return (round(block.x_mm, 3), round(block.y_mm, 3), round(block.angle_deg, 3), block.name)


def number_rest(blocks: Sequence[Block], letter: str) -> list[tuple[Block, str]]:
    """Each block with its name, in order of place; nameless ones become T01, T02, … past names in use."""
    ordered = sorted(blocks, key=by_place)
    used = {given_name(b) for b in ordered}
    named, n = [], 0
    for block in ordered:
        name = given_name(block)
        if not name:
            n += 1
            while f"{letter}{n:02d}" in used:
                n += 1
            name = f"{letter}{n:02d}"
        named.append((block, name))
    return named
