"""Which findings say one thing of many boards, joints or places, so that it is told once.

Claim: nothing is lost. What the findings of a group have in common is printed once; the words in which each
further one differs, and every place, are listed.

What this does not know: findings whose mend differs are told one by one, even where the matter is the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # what a pack that stands as it is need not load
    from .findings import Finding

#: severity, code, says, where and mend of a finding, as words.
type Told = Mapping[str, str]

_BOARD = re.compile(r"board (\S+)")
_MOST_WORDS = 4  # findings that differ in more words are not one matter


def told(finding: Finding) -> Told:
    return {
        "severity": finding.severity.value,
        "code": finding.code,
        "says": finding.says,
        "where": "; ".join(map(str, finding.where)),
        "mend": finding.mend,
    }


def alike(findings: Iterable[Told]) -> list[list[Told]]:
    return together(findings, lambda f: f)


def together[T](findings: Iterable[T], words: Callable[[T], Told]) -> list[list[T]]:
    """Findings of one code, mend and wording together, each group where its first one stood.

    What has no mend is only put together when it is about boards; what has no place never is.
    """
    groups: dict[tuple[str, str, str, bool, int], list[tuple[Told, list[T]]]] = {}
    order: list[list[T]] = []
    for finding in findings:
        f = words(finding)
        of_board = "board " in f["where"]
        if not of_board and not (f["where"] and f["mend"]):
            order.append([finding])
            continue
        key = (f["severity"], f["code"], f["mend"], of_board, len(f["says"].split()))
        near = groups.setdefault(key, [])
        for first, group in near:
            if len(_changes(first, f)) <= _MOST_WORDS:
                group.append(finding)
                break
        else:
            near.append((f, [finding]))
            order.append(near[-1][1])
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
    parted = [place.partition(", ") for place in found]
    if (
        len(found) > 1
        and len({key for key, _, _ in parted}) == 1
        and all(n and ", " not in n for _, _, n in parted)
    ):
        return f"{parted[0][0]}, {', '.join(name for _, _, name in parted)}"
    of_board = [_BOARD.fullmatch(place) for place, _, _ in parted]
    if len(found) > 1 and len({name for _, _, name in parted}) == 1 and all(of_board):
        return f"boards {', '.join(m[1] for m in of_board if m)}, {parted[0][2]}"
    return "; ".join(found)


def sentence(text: str) -> str:
    """With a full stop, unless it ends with a mark of its own."""
    return text if text.endswith((".", "!", "?", ":", "…")) else text + "."


def _changes(a: Told, b: Told) -> list[int]:
    return [n for n, (x, y) in enumerate(zip(a["says"].split(), b["says"].split(), strict=True)) if x != y]


def _words(row: Sequence[str], columns: Sequence[int]) -> str:
    """The words at the columns, a figure with the unit behind it, and with an x or y before it."""
    said = []
    for n in columns:
        word = _bare(row[n])
        unit = _bare(row[n + 1]) if n + 1 < len(row) and n + 1 not in columns else ""
        axis = row[n - 1] if n and n - 1 not in columns and row[n - 1] in ("x", "y") else ""
        said.append(" ".join(filter(None, (axis, word, unit if unit in ("mm", "kg", "sheets") else ""))))
    return " ".join(said)


def _bare(word: str) -> str:
    """Without what ends a clause, and without half a pair of brackets."""
    word = word.strip(":,;.")
    if word.count("(") > word.count(")"):
        return word.removeprefix("(")
    return word.removesuffix(")") if word.count("(") < word.count(")") else word
