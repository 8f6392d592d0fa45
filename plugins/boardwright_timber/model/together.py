"""Bought together: one purchase and one cutting plan for several projects."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from .cutting import CuttingPlan
from .hardware import BoardHardware
from .money import Cost
from .part import BoardParts


class SharedProject(msgspec.Struct, frozen=True, kw_only=True):
    """One project's part in it. ``mark`` begins the names of its boards and parts: P02-B01.

    ``alone`` is what its own pack costs, ``share`` what it bears of the whole.
    """

    mark: str
    label: str
    name: str
    copies: int
    boards: int
    parts: int
    sheets: int
    alone: Decimal
    share: Decimal


class SeriesCopy(msgspec.Struct, frozen=True, kw_only=True):
    """One module of a series: its number, of which kind, and what it bears of the whole."""

    number: int
    module: str
    mark: str
    cost: Decimal


class EndsMet(msgspec.Struct, frozen=True, kw_only=True):
    """Two ends of a series ("straight/E01") put face to face.

    ``turned``: both face one way on their plans, so one of the modules stands turned round. ``holes`` of the
    first; ``apart_mm`` the farthest that a hole lies from its mate, 1000 where there is none; ``rails_mm``
    the same of rails, None where they are not alike in number. ``connectors`` of the first; ``amiss`` with
    them, in words. ``mates``: nothing is amiss with any of it.
    """

    one: str
    other: str
    turned: bool
    holes: int
    apart_mm: float
    rails_mm: float | None
    mates: bool
    connectors: int = 0
    amiss: str = ""


class SeriesResult(msgspec.Struct, frozen=True, kw_only=True):
    """A series: every copy with its number and cost, every pair of ends that may meet, and what is cut
    besides the modules: ``spare`` end plates, ``jigs`` that serve all (``jigs_saved`` more are spared)."""

    name: str
    copies: tuple[SeriesCopy, ...]
    ends: tuple[EndsMet, ...]
    spare: tuple[str, ...] = ()
    jigs: tuple[str, ...] = ()
    jigs_saved: int = 0


class Together(msgspec.Struct, frozen=True, kw_only=True):
    """All parts of all projects out of shared stock. ``parts`` and ``hardware`` by board, boards by their
    marked names; of a project built in copies each part is there once and cut as often. ``alone`` and
    ``sheets_alone`` are the sums of the single packs, to compare with. ``says``: the result in sentences.
    ``series``: what more there is to say of a series of modules."""

    projects: tuple[SharedProject, ...]
    parts: dict[str, BoardParts]
    hardware: dict[str, BoardHardware]
    cutting: CuttingPlan
    cost: Cost
    alone: Decimal
    sheets_alone: int
    says: tuple[str, ...] = ()
    series: SeriesResult | None = None

    @property
    def saved(self) -> Decimal:
        return self.alone - self.cost.total
