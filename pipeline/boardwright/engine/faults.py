"""What a run says of itself: a stage that failed, one that waits for it, code that changed."""

from __future__ import annotations

from collections.abc import Iterable

from ..errors import BoardwrightError, PluginError
from ..findings import Finding, Place, Severity
from ..stages import Input, Stage


def failed(s: Stage, item: str, error: str) -> Finding:
    return Finding(
        code="BW-ENG-001",
        severity=Severity.FAULT,
        says=f"{s.name} failed{_of(item)}: {error}",
        where=(Place(board=item or None, item=s.where),),
        mend="This is a defect of ours (or of the plugin named), not of your plan: please report it.",
    )


def waits(s: Stage, item: str, missing: Iterable[Input]) -> Finding:
    needs = ", ".join(dict.fromkeys(i.type.__name__ for i in missing))
    return Finding(
        code="BW-ENG-002",
        severity=Severity.FAULT,
        says=f"{s.name}{_of(item)} is not built: it needs {needs}, which failed",
        where=(Place(board=item or None, item=s.where),),
        mend="See the fault that came first.",
    )


def code_changed(file: str) -> BoardwrightError:
    return PluginError.of(
        "BW-ENG-004",
        f"{file} changed while this command ran: nobody can say which code made what",
        Place(file=file),
        "Run it again. Nothing of this run is kept; what was there stands as it was.",
    )


def _of(item: str) -> str:
    return f" for board {item}" if item else ""
