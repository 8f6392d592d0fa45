"""What a batch and a study found, as data: what the outputs show. No clock and no path of the machine.

Glossary
    project       one project file; its label tells it from the others of the batch
    construction  one choice of settings of a study, and what the layout then comes to
    beaten        another construction is as good in every figure that counts, and better in one
"""

from __future__ import annotations

from typing import Any

import msgspec

from ..figures import Figure
from ..findings import Finding


class Project(msgspec.Struct, frozen=True, kw_only=True):
    """One project of a batch. ``status`` is what `boardwright pack` would have ended with; ``says`` is that
    in words. Without a pack (``status`` 2, 3) there are no figures."""

    label: str
    name: str = ""
    status: int
    says: str
    figures: tuple[Figure, ...] = ()
    findings: tuple[dict[str, str], ...] = ()

    @property
    def packed(self) -> bool:
        return self.status in (0, 1)

    def count(self, severity: str) -> int:
        return sum(f["severity"] == severity for f in self.findings)


class SeriesModule(msgspec.Struct, frozen=True, kw_only=True):
    """One kind of module of a series; its copies are numbered from ``first`` on."""

    name: str
    copies: int
    first: int


class Series(msgspec.Struct, frozen=True, kw_only=True):
    """Modules that are built, bought and joined together. ``spare_ends`` of each kind of end are cut for all
    of them. ``mate``: groups of ends ("straight/E01", "straight/*") that mate among each other; none: all."""

    name: str
    modules: tuple[SeriesModule, ...]
    spare_ends: int = 0
    mate: tuple[tuple[str, ...], ...] = ()


class Batch(msgspec.Struct, frozen=True, kw_only=True):
    """A whole batch. ``together``: what a plugin answered for the one purchase, when it was asked for;
    ``series``: the series that the projects are, if they are one."""

    projects: tuple[Project, ...]
    together: Any = None
    findings: tuple[Finding, ...] = ()
    series: Series | None = None


class Varied(msgspec.Struct, frozen=True, kw_only=True):
    """Settings that change together, and the rows of values they take, in the order of the steps."""

    keys: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


class Construction(msgspec.Struct, frozen=True, kw_only=True):
    """One construction. ``number`` 0 is the project as it stands. ``refused``: why it cannot be walked."""

    number: int
    settings: tuple[tuple[str, Any], ...] = ()
    figures: tuple[Figure, ...] = ()
    findings: tuple[dict[str, str], ...] = ()
    refused: str = ""
    best: bool = False
    beaten_by: int | None = None

    @property
    def faults(self) -> int:
        return sum(f["severity"] == "fault" for f in self.findings)

    @property
    def cautions(self) -> int:
        return sum(f["severity"] == "caution" for f in self.findings)

    @property
    def sound(self) -> bool:
        return not self.refused and not self.faults

    @property
    def trouble(self) -> str:
        """What is wrong with it, in words; empty when nothing is."""
        if self.refused:
            return self.refused
        return next((f["says"] for f in self.findings if f["severity"] == "fault"), "")

    def figure(self, key: str) -> Figure | None:
        return next((f for f in self.figures if f.key == key), None)


class Step(msgspec.Struct, frozen=True, kw_only=True):
    """From one value of what is varied to the next, all else alike. ``costs`` and ``buys`` in words."""

    keys: tuple[str, ...]
    old: tuple[Any, ...]
    new: tuple[Any, ...]
    pairs: int
    costs: tuple[str, ...] = ()
    buys: tuple[str, ...] = ()
    either: tuple[str, ...] = ()
    mends: int = 0
    breaks: int = 0
    says: str


class Study(msgspec.Struct, frozen=True, kw_only=True):
    """A whole study. ``counts`` are the keys of the figures that constructions are compared by."""

    name: str
    varied: tuple[Varied, ...]
    counts: tuple[str, ...]
    constructions: tuple[Construction, ...]
    steps: tuple[Step, ...] = ()
