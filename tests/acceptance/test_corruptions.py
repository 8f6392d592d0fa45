"""A pack that is wrong in one way is told to be wrong, in that way, by name: well over a hundred ways."""

from __future__ import annotations

import random
import re
from functools import lru_cache
from pathlib import Path

import pytest
from corruptions import Corruption
from forging import Files, summed
from wrong_data import BOARDS, CUTTING, LEGS, SUMS, WORKBOOK
from wrong_drawings import DRAWINGS, FILES, HOLES
from wrong_pages import PAGES
from wrong_printed import PRINTED

from boardwright import Notes, Severity
from boardwright_outputs.verify import opened, pages, printed, workbook
from boardwright_outputs.verify.bill import check_sums
from boardwright_outputs.verify.boards import check_boards
from boardwright_outputs.verify.dxf import read_dxf
from boardwright_outputs.verify.holes import check_holes
from boardwright_outputs.verify.legs import check_legs
from boardwright_outputs.verify.members import check_members
from boardwright_outputs.verify.overview import check_overviews
from boardwright_outputs.verify.pages import check_pages
from boardwright_outputs.verify.printed import check_printed
from boardwright_outputs.verify.profiles import check_profiles
from boardwright_outputs.verify.sawing import check_sawing
from boardwright_outputs.verify.sheets import check_placing, check_sheet_drawings
from boardwright_outputs.verify.verifier import Check, proved
from boardwright_outputs.verify.workbook import check_workbook
from boardwright_outputs.verify.xlsx import read_xlsx

DRAWN = (check_profiles, check_sheet_drawings, check_overviews)
#: What is wrong, and the checks that look at it. Each check stands alone, so the others need not run again.
TRIED: list[tuple[list[Corruption], tuple[Check, ...]]] = [
    (FILES, (*DRAWN, check_workbook)),
    (DRAWINGS, DRAWN),
    (HOLES, (check_profiles, check_holes)),
    (BOARDS, (check_boards, check_members)),
    (LEGS, (check_legs,)),
    (CUTTING, (check_placing, check_sawing, check_sheet_drawings)),
    (SUMS, (check_sums,)),
    (WORKBOOK, (check_workbook,)),
    (PAGES, (check_pages,)),
    (PRINTED, (check_printed,)),
]
CORRUPTIONS = [(wrong, checks) for area, checks in TRIED for wrong in area]


@pytest.fixture(scope="module")
def whole(layouts: dict[str, Path]) -> Files:
    folder = layouts["branch-terminus"] / "pack"
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture(scope="module", autouse=True)
def each_file_read_once() -> object:
    """Reading is a function of the bytes alone: what a corruption leaves as it was need not be read again."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(opened.dxf, "read_dxf", lru_cache(maxsize=200)(read_dxf))
        patch.setattr(workbook, "read_xlsx", lru_cache(maxsize=2)(read_xlsx))
        for module, reader in ((pages, "_Labels"), (pages, "_Steps"), (printed, "_text")):
            patch.setattr(module, reader, lru_cache(maxsize=20)(getattr(module, reader)))
        yield


def test_there_are_many_and_no_two_alike() -> None:
    assert len(CORRUPTIONS) >= 60
    assert len({c.done for c, _ in CORRUPTIONS}) == len(CORRUPTIONS)


def test_the_whole_pack_holds(whole: Files) -> None:
    notes = Notes()
    assert len(proved(whole, notes)) == 15
    assert notes.findings == []


@pytest.mark.parametrize(("wrong", "checks"), CORRUPTIONS, ids=[c.done for c, _ in CORRUPTIONS])
def test_it_is_told_and_named(whole: Files, wrong: Corruption, checks: tuple[Check, ...]) -> None:
    files = dict(whole)
    wrong.change(files)
    assert files != whole
    if wrong.forged:
        summed(files)
    notes = Notes()
    held = proved(files, notes, checks)
    faults = [f for f in notes.findings if f.severity is Severity.FAULT]
    told = [f for f in faults if f.code == f"BW-VERIFY-{wrong.code}"]
    said = [f"{f.code} {f.says} | {'; '.join(map(str, f.where))}" for f in faults]
    assert told, said
    assert any(wrong.tells in f"{f.says} {'; '.join(map(str, f.where))}" for f in told), said
    assert all(f.mend and f.where for f in faults)
    assert len(held) <= len(checks)


def damaged(data: bytes, luck: random.Random) -> bytes:
    """Bytes lost, doubled, overwritten, or a number or word of the text put in another's place."""
    found = bytearray(data)
    spot = luck.randrange(len(found))
    match luck.randrange(5):
        case 0:
            del found[spot : spot + luck.randrange(1, 2000)]
        case 1:
            found[spot:spot] = found[spot : spot + luck.randrange(1, 2000)]
        case 2:
            found[spot] = luck.randrange(256)
        case _:
            words = [*re.finditer(rb"-?\d+\.?\d*|\"[^\"\n]*\"", data)]
            one, two = luck.choice(words), luck.choice(words)
            new = luck.choice((two[0], b"-1e300", b"1e999", b"0", b"null", b"[]"))
            found[one.start() : one.end()] = new
    return bytes(found)


@pytest.mark.parametrize("path", ["pack.json", "dxf/parts/B01-D.dxf", "workbook.xlsx", "SHA256SUMS"])
def test_damage_of_any_kind_is_told_and_never_a_traceback(layouts: dict[str, Path], path: str) -> None:
    folder = layouts["exhibition-module"] / "pack"
    small = {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    luck = random.Random(path)
    for _ in range(15):
        files = small | {path: damaged(small[path], luck)}
        if files == small:
            continue
        notes = Notes()
        proved(files, notes)
        assert any(f.severity is Severity.FAULT for f in notes.findings)
