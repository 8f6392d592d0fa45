"""A bare list of pieces, cut: what `boardwright nest` makes."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from boardwright.findings import Finding

from .cutting import CuttingPlan
from .part import Part


class Nested(msgspec.Struct, frozen=True, kw_only=True):
    """``rows`` gives (part id, id of its row in the list); ``prices`` (stock, price of one sheet or None)."""

    name: str
    parts: tuple[Part, ...]
    rows: tuple[tuple[str, str], ...]
    plan: CuttingPlan
    prices: tuple[tuple[str, Decimal | None], ...]
    kerf_mm: float
    trim_mm: float
    stages: int
    findings: tuple[Finding, ...] = ()
