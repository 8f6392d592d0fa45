"""What the tool has to say about a plan: one Finding a matter, with its place and its mend.

Glossary
    note     worth knowing, nothing to do
    mended   the tool repaired the input and says how
    caution  can be built, but look at it first
    fault    do not build this

What this does not know: which findings exist. Each is raised where its rule lives and explained in
``docs/findings.md``; a test checks that every code in the source has its section there.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

import msgspec


class Severity(StrEnum):
    NOTE = "note"
    MENDED = "mended"
    CAUTION = "caution"
    FAULT = "fault"


class Place(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Where a finding leads back to. Plan coordinates are millimetres."""

    file: str | None = None
    layer: str | None = None
    handle: str | None = None
    row: int | None = None
    key: str | None = None
    board: str | None = None
    item: str | None = None
    x_mm: float | None = None
    y_mm: float | None = None

    def __str__(self) -> str:
        bits = []
        if self.file:
            bits.append(self.file)
        if self.key:
            bits.append(self.key)
        if self.row is not None:
            bits.append(f"row {self.row}")
        if self.layer:
            bits.append(f"layer {self.layer}")
        if self.handle:
            bits.append(f"handle {self.handle}")
        if self.board:
            bits.append(f"board {self.board}")
        if self.item:
            bits.append(self.item)
        if self.x_mm is not None and self.y_mm is not None:
            bits.append(f"at ({self.x_mm:.0f}, {self.y_mm:.0f}) mm")
        return ", ".join(bits)


class Detail(msgspec.Struct, frozen=True, kw_only=True):
    """One of the things a finding rests on, in words and as figures: what it takes of a length, in mm."""

    says: str
    where: Place = Place()
    from_mm: float = 0.0
    to_mm: float = 0.0


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One matter found. ``code`` is stable (``BW-READ-003``); ``mend`` says what to do about it.

    ``data`` is for programs: all that ``says`` had no room for. People are not shown it.
    """

    code: str
    severity: Severity
    says: str
    where: tuple[Place, ...] = ()
    mend: str = ""
    data: tuple[Detail, ...] = ()


class Notes:
    """A stage's only voice: it collects findings, in the order they are raised."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []

    def _add(
        self,
        severity: Severity,
        code: str,
        says: str,
        where: Place | Iterable[Place],
        mend: str,
        data: Iterable[Detail] = (),
    ) -> None:
        places = (where,) if isinstance(where, Place) else tuple(where)
        self.findings.append(
            Finding(code=code, severity=severity, says=says, where=places, mend=mend, data=tuple(data))
        )

    def note(self, code: str, says: str, where: Place | Iterable[Place] = (), mend: str = "") -> None:
        self._add(Severity.NOTE, code, says, where, mend)

    def mended(self, code: str, says: str, where: Place | Iterable[Place] = (), mend: str = "") -> None:
        self._add(Severity.MENDED, code, says, where, mend)

    def caution(self, code: str, says: str, where: Place | Iterable[Place] = (), mend: str = "") -> None:
        self._add(Severity.CAUTION, code, says, where, mend)

    def fault(
        self,
        code: str,
        says: str,
        where: Place | Iterable[Place] = (),
        mend: str = "",
        data: Iterable[Detail] = (),
    ) -> None:
        self._add(Severity.FAULT, code, says, where, mend, data)


class FindingList(msgspec.Struct, frozen=True, kw_only=True):
    """Every finding of a run, worst first; the artefact that outputs ask for."""

    findings: tuple[Finding, ...] = ()

    def count(self, severity: Severity) -> int:
        return sum(f.severity is severity for f in self.findings)


_WORST_FIRST = (Severity.FAULT, Severity.CAUTION, Severity.MENDED, Severity.NOTE)


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Sort by severity, keeping the order of the run within one; what boards say word for word, once."""
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: _WORST_FIRST.index(f.severity)))
