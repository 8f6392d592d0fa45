"""One project of a batch: what `boardwright pack` does, told as data. Called here, or in a worker process.

A pack that stands as it is is left alone: so a batch that was interrupted goes on where it was.
"""

from __future__ import annotations

import traceback
from typing import Any

import msgspec

from ..engine import receipt
from ..errors import BoardwrightError
from ..figures import Figure
from ..packing import Packed, opened_store, pack, shown
from .model import Project
from .projects import Order

WRITTEN = "pack written"
STANDS = "nothing changed: the pack stands"
FAULTS = "do not build this before its faults are mended"
REFUSED = "its input cannot be used: no pack was written"
DEFECT = "a defect of ours: no whole pack was written"


class Done(msgspec.Struct, frozen=True, kw_only=True):
    """A project with what happened this time. ``how`` in words, with counts; ``kept``: files of the builder's
    that were carried over; ``defects``: traces for a developer."""

    project: Project
    how: str
    kept: tuple[str, ...] = ()
    defects: tuple[str, ...] = ()


def pack_one(label: str, order: Order) -> Done:
    """Pack one project with one process. Never raises: what goes wrong is told of that project alone."""
    try:
        if stood := standing(label, order):
            return stood
        with opened_store(order.file) as store:
            return told(label, pack(order.file, order.out, store, lambda _: None, changes=order.changes))
    except BoardwrightError as error:
        return refused(label, error)
    except Exception as problem:  # a defect of ours in one project must not stop the others
        return broken(label, problem)


def standing(label: str, order: Order) -> Done | None:
    """The project when its pack stands as it is; None when there is something to do."""
    last = receipt.delivered(order.file, order.out)
    if last is None or not receipt.still_stands(last, order.file, order.out, order.changes):
        return None
    return Done(project=from_receipt(label, last), how=f"{STANDS} (0 computed, {last['items']} reused)")


def from_receipt(label: str, last: dict[str, Any]) -> Project:
    return Project(
        label=label,
        name=last.get("name", ""),
        status=1 if last["faults"] else 0,
        says=FAULTS if last["faults"] else "",
        figures=msgspec.convert(last.get("figures", []), type=tuple[Figure, ...]),
        findings=tuple(last["findings"]),
    )


def told(label: str, packed: Packed) -> Done:
    outcome = packed.outcome
    status = 3 if outcome.defects or not packed.delivered else 1 if packed.faults else 0
    counts = f"{outcome.computed} computed, {outcome.reused} reused"
    return Done(
        project=Project(
            label=label,
            name=packed.name,
            status=status,
            says={0: "", 1: FAULTS, 3: DEFECT}[status],
            figures=() if status == 3 else packed.figures,
            findings=tuple(shown(f, packed.display) for f in outcome.findings),
        ),
        how=f"{WRITTEN if status < 3 else DEFECT} ({counts})",
        kept=tuple(packed.kept),
        defects=tuple(outcome.defects),
    )


def refused(label: str, error: BoardwrightError) -> Done:
    says = REFUSED if error.exit_status == 2 else DEFECT
    findings = tuple(shown(f) for f in error.findings)
    return Done(
        project=Project(label=label, status=error.exit_status, says=says, findings=findings), how=says
    )


def broken(label: str, problem: Exception) -> Done:
    said = {
        "code": "BW-ENG-003",
        "severity": "fault",
        "says": f"a defect of ours: {type(problem).__name__}: {problem}",
        "where": "",
        "mend": "Please report it with the details kept beside the project.",
    }
    return Done(
        project=Project(label=label, status=3, says=DEFECT, findings=(said,)),
        how=DEFECT,
        defects=tuple(traceback.format_exception(problem)),
    )
