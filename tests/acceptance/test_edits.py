"""A plan that changes step by step: the pack is, to the byte, that of a clean build."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

from packs import FIXTURES

from boardwright.disk import on_disk
from boardwright.packing import Packed, open_store, pack

SOURCES = ("plan.dxf", "devices.csv", "layout.toml")


def packed(folder: Path) -> Packed:
    store = open_store(folder / "layout.toml")
    try:
        return pack(folder / "layout.toml", folder / "pack", store, lambda _: None)
    finally:
        store.close()


def edit(name: str, change: Callable[[str], str]) -> Callable[[Path], None]:
    def apply(folder: Path) -> None:
        before = (folder / name).read_text()
        after = change(before)
        assert after != before
        (folder / name).write_text(after)

    return apply


def without_a_row(text: str) -> str:
    rows = text.splitlines()
    return "\n".join(rows[:-1]) + "\n"


EDITS = [
    edit("layout.toml", lambda t: t + "\n[joists]\nspacing_mm = 350\n"),
    edit("devices.csv", without_a_row),
    edit("layout.toml", lambda t: t.replace("max_length_mm = 1300", "max_length_mm = 700")),
    edit("devices.csv", lambda t: t + "S9,servo,300,100,30,,,,,\n"),
    edit("layout.toml", lambda t: t.replace("spacing_mm = 350", "spacing_mm = 250")),
    edit("devices.csv", without_a_row),
]


def test_every_step_equals_a_clean_build(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    folder.mkdir()
    for name in SOURCES:
        shutil.copy(FIXTURES / "exhibition-module" / name, folder / name)
    packed(folder)
    boards, otherwise = [], []
    for n, change in enumerate(EDITS):
        change(folder)
        made = packed(folder)
        outcome = made.outcome
        otherwise.append(made.otherwise)
        assert not outcome.defects
        if n % 2 or os.environ.get("BOARDWRIGHT_DEEP"):  # by default after two edits at a time
            clean = tmp_path / f"clean-{n}"
            clean.mkdir()
            for name in SOURCES:
                shutil.copy(folder / name, clean / name)
            fresh = packed(clean).outcome
            assert on_disk(folder / "pack") == on_disk(clean / "pack")
            assert outcome.computed + outcome.reused == fresh.computed
        boards.append(sum(p.startswith("dxf/boards/") for p in outcome.files))
    assert boards == [1, 1, 2, 2, 2, 2]  # shorter boards wanted: one becomes two, no shards
    assert otherwise == ["", "", "B02 is new, B01 has another outline", "", "", ""]
    # the list is as it was two edits ago, the joists are not: what only saw the list is not run again
    assert packed(folder).outcome.computed == 0
