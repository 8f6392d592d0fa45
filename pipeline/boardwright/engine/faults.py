"""What a run says of itself: a stage that failed, one that waits for it, code that changed."""

from __future__ import annotations

from collections.abc import Iterable

from ..errors import BoardwrightError, PluginError
from ..findings import Detail, Finding, Place, Severity
from ..local import MODULE
from ..stages import Input, Stage

OURS = "This is a defect of ours (or of the plugin named), not of your plan: please report it."
THEIRS = (
    "This is a defect of the plugin named, not of your plan: mend it there, or tell who wrote it. "
    ".boardwright/defects.txt has what was called from where."
)


def failed(s: Stage, item: str, error: str) -> Finding:
    return Finding(
        code="BW-ENG-001",
        severity=Severity.FAULT,
        says=f"{s.name} failed{_of(item)}: {error}",
        where=(Place(board=item or None, item=s.where),),
        mend=OURS if _is_ours(s) else THEIRS,
    )


def waits(s: Stage, item: str, missing: Iterable[Input]) -> Finding:
    """In words that many of them share, so that they are told once; ``data`` says what each lacks."""
    needs = dict.fromkeys(i.type.__name__ for i in missing)
    return Finding(
        code="BW-ENG-002",
        severity=Severity.FAULT,
        says=f"{s.name}{_of(item)} is not built: what it needs failed",
        where=(Place(board=item) if item else Place(item=s.where),),
        mend="See the fault that came first.",
        data=tuple(Detail(says=f"needs {name}", where=Place(item=s.where)) for name in needs),
    )


def code_changed(file: str) -> BoardwrightError:
    return PluginError.of(
        "BW-ENG-004",
        f"{file} changed while this command ran: nobody can say which code made what",
        Place(file=file),
        "Run it again. Nothing of this run is kept; what was there stands as it was.",
    )


def _is_ours(s: Stage) -> bool:
    package = s.where.partition(".")[0]
    return package.startswith("boardwright") and package != MODULE


def _of(item: str) -> str:
    return f" for board {item}" if item else ""
