"""Which findings say one thing of many boards, so that it is told once.

Claim: nothing is lost. What the findings of a group have in common is printed once; the words in which each
further one differs, and every place, are listed.

What this does not know: findings whose mend differs are told one by one, even where the matter is the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

type Told = Mapping[str, str]

_BOARD = re.compile(r"board (\S+)")
_MOST_WORDS = 4  # findings that differ in more words are not one matter


def alike(findings: Iterable[Told]) -> list[list[Told]]:
    """Findings about boards of one code, mend and wording together, each group where its first one stood."""
    groups: dict[tuple[str, str, str, int], list[list[Told]]] = {}
    order: list[list[Told]] = []
    for f in findings:
        if "board " not in f["where"]:
            order.append([f])
            continue
        near = groups.setdefault((f["severity"], f["code"], f["mend"], len(f["says"].split())), [])
        for group in near:
            if len(_changes(group[0], f)) <= _MOST_WORDS:
                group.append(f)
                break
        else:
            near.append([f])
            order.append(near[-1])
    return order


def differing(same: Sequence[Told]) -> list[str]:
    """For each finding after the first, its words that the others do not share: ``B03 22 mm``."""
    rows = [f["says"].split() for f in same]
    columns = [n for n, words in enumerate(zip(*rows, strict=True)) if len(set(words)) > 1]
    return [_words(row, columns) for row in rows[1:]]


def places(same: Sequence[Told]) -> str:
    """Every place of a group, once; boards by their names only."""
    found = list(dict.fromkeys(f["where"] for f in same if f["where"]))
    boards = [_BOARD.fullmatch(place) for place in found]
    if len(found) > 1 and all(boards):
        return "boards " + ", ".join(m[1] for m in boards if m)
    return "; ".join(found)


def sentence(text: str) -> str:
    """With a full stop, unless it ends with a mark of its own."""
    return text if text.endswith((".", "!", "?", ":", "…")) else text + "."


def _changes(a: Told, b: Told) -> list[int]:
    return [n for n, (x, y) in enumerate(zip(a["says"].split(), b["says"].split(), strict=True)) if x != y]


def _words(row: Sequence[str], columns: Sequence[int]) -> str:
    """The words at the columns, a figure with the unit behind it."""
    said = []
    for n in columns:
        word = row[n].strip(":,;.")
        unit = row[n + 1].strip(":,;.") if n + 1 < len(row) and n + 1 not in columns else ""
        said.append(f"{word} {unit}" if unit in ("mm", "kg", "sheets") else word)
    return " ".join(said)
