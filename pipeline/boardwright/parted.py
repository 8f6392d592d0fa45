"""Which boards came, went or got another outline since the pack before, in a sentence.

Glossary
    shapes   board -> digest of what it is cut like, wherever it lies in the plan (``shape`` of what a stage
             defines as items)
    renamed  a board that was cut alike under another name, which that name no longer is

What this does not know: what is on a board, and what became of its parts (`boardwright changes`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

MANY = 8  # so many boards are named of a kind


def since(before: Mapping[str, str], now: Mapping[str, str]) -> str:
    """What is another way now; empty when nothing is, or when it is not known what was.

    >>> since({"B01": "a", "B02": "b"}, {"B01": "a", "B02": "c", "B03": "b"})
    'B02 is new, old B02 is now B03'
    """
    if not before:
        return ""
    renamed = _renamed(before, now)
    taken = set(renamed.values())
    fresh = [b for b in now if b not in renamed and now[b] != before.get(b)]
    new = [b for b in fresh if b not in before or b in taken]
    gone = [
        b for b in before if b not in taken and before[b] != now.get(b) and (b in renamed or b not in now)
    ]
    other = [b for b in fresh if b not in new]
    told = (
        _told(new, "is new", "are new"),
        _told([f"old {b}" for b in gone], "is gone", "are gone"),
        _told(other, "has another outline", "have another outline"),
        _listed([f"old {was} is now {b}" for b, was in renamed.items()], ", "),
    )
    return ", ".join(filter(None, told))


def _renamed(before: Mapping[str, str], now: Mapping[str, str]) -> dict[str, str]:
    """New name -> old name, in order of names."""
    free: dict[str, list[str]] = {}
    for name in sorted(before):
        if before[name] != now.get(name):
            free.setdefault(before[name], []).append(name)
    return {b: free[now[b]].pop(0) for b in sorted(now) if now[b] != before.get(b) and free.get(now[b])}


def _told(boards: Sequence[str], one: str, many: str) -> str:
    return f"{_listed(sorted(boards), ' and ')} {one if len(boards) == 1 else many}" if boards else ""


def _listed(bits: Sequence[str], last: str) -> str:
    if len(bits) > MANY:
        return f"{', '.join(bits[:MANY])} and {len(bits) - MANY} more"
    return last.join(filter(None, (", ".join(bits[:-1]), *bits[-1:])))
