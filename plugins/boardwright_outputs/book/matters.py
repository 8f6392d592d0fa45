"""Findings that say one thing of many boards or joints, shown as one matter; settings in words.

Claim: every place is shown, and every word in which a finding differs; what they share is not repeated.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from boardwright import Finding
from boardwright.grouping import differing, together, told


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """Findings that say the same but for a few words: the first, and of each further one its own words."""

    first: Finding
    others: tuple[tuple[str, Finding], ...] = ()


class Matter(msgspec.Struct, frozen=True, kw_only=True):
    """Findings of one code, severity and mend, in the order they were found."""

    lines: tuple[Line, ...]

    @property
    def first(self) -> Finding:
        return self.lines[0].first


def matters(findings: Iterable[Finding]) -> Iterator[Matter]:
    """Findings with the same code and mend together, where the first of them stood."""
    groups: dict[object, list[Finding]] = {}
    for n, f in enumerate(findings):
        about_boards = bool(f.where) and all(place.board for place in f.where)
        key = (f.severity, f.code, f.mend, about_boards) if about_boards or (f.where and f.mend) else n
        groups.setdefault(key, []).append(f)
    return (Matter(lines=tuple(map(_line, together(group, told)))) for group in groups.values())


def _line(same: list[Finding]) -> Line:
    words = differing([told(f) for f in same])
    return Line(first=same[0], others=tuple(zip(words, same[1:], strict=True)))


def number_of(count: int, one: str, many: str) -> str:
    """``1 fault``, ``2 faults``."""
    return f"{count} {one if count == 1 else many}"


def flat_settings(settings: dict[str, Any], under: str = "") -> Iterator[tuple[str, str]]:
    """Settings as rows: ``joists.spacing_mm`` and its value in words; a list of tables gets a row each."""
    for key, value in settings.items():
        name = f"{under}.{key}" if under else key
        if isinstance(value, dict) and value:
            yield from flat_settings(value, name)
        elif isinstance(value, list | tuple) and any(isinstance(v, dict) for v in value):
            for n, entry in enumerate(value, 1):
                yield f"{name} {n}", in_words(entry)
        else:
            yield name, in_words(value)


def in_words(value: Any) -> str:
    """A value as a person writes it."""
    match value:
        case None | "":
            return "not set"
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:.6f}".rstrip("0").rstrip(".")
        case dict():
            return "; ".join(f"{k} {in_words(v)}" for k, v in value.items()) or "none"
        case list() | tuple():
            return ", ".join(in_words(v) for v in value) or "none"
        case _:
            return str(value)
