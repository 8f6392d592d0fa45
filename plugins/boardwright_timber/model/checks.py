"""What was checked about a finished pack, with the worst value measured."""

from __future__ import annotations

import msgspec


class CheckLine(msgspec.Struct, frozen=True, kw_only=True):
    """One check: ``measured`` is the worst value found, ``limit`` what it may at most be, both in ``unit``.

    ``counted`` says how many things were looked at; ``where`` names the worst of them.
    """

    code: str
    says: str
    measured: float
    limit: float
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
