"""Why an item differs from the time before, in a modeller's words; for a developer, the parts of its key."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from ..stages import Reads, Stage
from .asked import is_digest
from .difference import differences
from .store import Step

_PARTS = {
    "version": "the stage's version number changed",
    "code": "the code of the stage, or of something it imports, changed",
    "libraries": "the version of Python, of a library or of a plugin changed",
}

type Plain = Callable[[str], Any]
"""Gives the artefact of a digest as plain lists and tables, or None when it is no longer stored."""


class Reason(msgspec.Struct, frozen=True):
    """Why one item would run (``waits`` False), or what it waits for and the ``roots`` of that.

    ``parts`` is for a developer: parts of the key that differ, old and new.
    """

    stage: str
    item: str
    waits: bool
    says: tuple[str, ...]
    parts: tuple[tuple[str, str, str], ...] = ()
    roots: tuple[str, ...] = ()


def because(
    s: Stage, before: Step, parts: Mapping[str, str], settings: Mapping[str, str], plain: Plain
) -> list[str]:
    """What differs between a step and the key parts and settings of another time; never empty."""
    says = [text for part, text in _PARTS.items() if before.parts.get(part) != parts.get(part)]
    for name, value in before.reads.items():
        now = settings.get(name)
        if now is not None and now != value:
            long = is_digest(value) or is_digest(now)
            says.append(f"setting {name} changed" if long else f"setting {name} was {value}, is {now}")
    for i in s.inputs:
        old, new = before.parts.get(i.name), parts.get(i.name)
        if old == new or old is None or new is None:
            continue
        if i.reads is Reads.ONE:
            says += _differences(old, new, plain)
        elif i.reads in (Reads.ALL, Reads.NEAR):
            says += _many_differences(old, new, plain)
        elif i.reads is Reads.FINDINGS:
            says.append("the findings changed")
        elif i.reads is Reads.PROVENANCE:
            says.append("the files, versions or settings that the pack names as its sources changed")
    return says or ["its stored result is damaged or was tidied away"]


def pairs(parts: Mapping[str, str], before: Step | None) -> tuple[tuple[str, str, str], ...]:
    """Key parts that differ: name, old, new."""
    old = before.parts if before else {}
    return tuple((n, old.get(n, "–"), v) for n, v in sorted(parts.items()) if old.get(n) != v)


def _many_differences(old: str, new: str, plain: Plain) -> list[str]:
    before, now = json.loads(old), json.loads(new)
    says = [f"board {b} is new" for b in now if b not in before]
    says += [f"board {b} is gone" for b in before if b not in now]
    for b in now:
        if b in before and before[b] != now[b]:
            says += [f"board {b}: {text}" for text in _differences(before[b], now[b], plain)]
    return says


def _differences(old: str, new: str, plain: Plain) -> list[str]:
    before, now = plain(old), plain(new)
    if before is None or now is None:
        return ["an input changed (what it was before is no longer stored)"]
    return differences(before, now) or ["only places in files changed"]
