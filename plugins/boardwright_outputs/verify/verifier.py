"""All checks in order; the sentences of those that found nothing amiss are what is proved."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from shapely.errors import ShapelyError

from boardwright import Notes, Place, Severity

from .bill import check_sums
from .boards import check_boards
from .climbing import check_climbing
from .decks import check_decks
from .digests import check_digests
from .edging import check_edging
from .holes import check_holes
from .legs import check_legs
from .members import check_members
from .milling import check_milling
from .opened import AGAIN, Opened, read_pack
from .overview import check_overviews
from .pages import check_pages
from .printed import check_printed
from .profiles import check_profiles
from .sawing import check_sawing
from .sheets import check_placing, check_sheet_drawings
from .workbook import check_workbook

type Check = Callable[[Opened], Iterator[str]]

CHECKS: tuple[Check, ...] = (
    check_profiles,
    check_boards,
    check_members,
    check_edging,
    check_decks,
    check_climbing,
    check_holes,
    check_legs,
    check_placing,
    check_sawing,
    check_milling,
    check_sheet_drawings,
    check_overviews,
    check_sums,
    check_printed,
    check_workbook,
    check_pages,
)


def proved(files: Mapping[str, bytes], notes: Notes, checks: Sequence[Check] = CHECKS) -> list[str]:
    """What holds, a sentence each; what does not is raised through ``notes``."""
    said = _clean(notes, lambda: list(check_digests(files, notes)))
    pack = read_pack(files.get("pack.json", b""), notes)
    if pack is None:
        return said
    opened = Opened(files, pack, notes)
    for check in checks:
        said += _clean(notes, lambda check=check: _run(check, opened))  # type: ignore[misc]  # bound at once
    faults = sum(f.severity == "fault" for f in pack.findings)
    if faults:
        notes.caution(
            "BW-VERIFY-090",
            f"the pack is as it was made, and was made with {faults} "
            f"{'fault' if faults == 1 else 'faults'} of its own",
            Place(file="pack.json"),
            "Read its findings; do not build before every fault is mended.",
        )
    return said


def _clean(notes: Notes, check: Callable[[], list[str]]) -> list[str]:
    before = _faults(notes)
    said = check()
    return said if _faults(notes) == before else []


def _faults(notes: Notes) -> int:
    return sum(f.severity is Severity.FAULT for f in notes.findings)


def _run(check: Check, opened: Opened) -> list[str]:
    try:
        return list(check(opened))
    except (ArithmeticError, LookupError, ValueError, TypeError, ShapelyError) as problem:
        # data that contradict themselves in a way no check foresees: told, never passed over
        opened.notes.fault(
            "BW-VERIFY-099",
            f"{check.__name__.replace('_', ' ')}: the data contradict themselves so that this cannot be "
            f"worked out ({type(problem).__name__}: {problem})",
            Place(file="pack.json"),
            AGAIN,
        )
        return []
