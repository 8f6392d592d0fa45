"""What was checked about a finished pack, with the worst value measured."""

from __future__ import annotations

import msgspec


class CheckLine(msgspec.Struct, frozen=True, kw_only=True):
    """One check: ``measured`` is the worst value found, both it and ``limit`` in ``unit``.

    It may be at most ``limit``, or with ``at_least`` must be no less. ``counted`` says how many things were
    looked at (0: there was nothing to check); ``where`` names the worst of them.
    """

    code: str
    says: str
    measured: float
    limit: float
    at_least: bool = False
    unit: str
    counted: int
    passed: bool
    where: str = ""


class CheckReport(msgspec.Struct, frozen=True, kw_only=True):
    """Every check of a layout, in a fixed order."""

    lines: tuple[CheckLine, ...] = ()

    @property
    def passed(self) -> bool:
        return all(line.passed for line in self.lines)
