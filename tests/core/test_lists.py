"""Files beside the project file that sections want read: found, missing, and changed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from msgspec.structs import replace

from boardwright.errors import InputError
from boardwright.plan.source import SourceFile
from boardwright.project import read_project
from boardwright.settings import Section
from boardwright.sources import read_lists


class Shop(Section, frozen=True, kw_only=True, table="shop"):
    list: str = ""
    words: str = ""

    def file_beside(self) -> tuple[str, str] | None:
        return ("list", self.list) if self.list else None

    def completed(self, files: Mapping[str, SourceFile]) -> Shop:
        return replace(self, words=files["shop"].data.decode()) if "shop" in files else self


def project(folder: Path, text: str) -> Path:
    path = folder / "layout.toml"
    path.write_text(text)
    return path


def test_a_section_is_completed_from_its_file(tmp_path: Path) -> None:
    (tmp_path / "list.txt").write_text("nails")
    layout = read_project(project(tmp_path, '[shop]\nlist = "list.txt"\n'), {"shop": Shop})
    files = read_lists(layout)
    assert layout.section(Shop).completed(files).words == "nails"
    assert read_lists(read_project(project(tmp_path, ""), {"shop": Shop})) == {}


def test_a_missing_file_is_told_with_its_key(tmp_path: Path) -> None:
    layout = read_project(project(tmp_path, '[shop]\nlist = "gone.txt"\n'), {"shop": Shop})
    with pytest.raises(InputError) as told:
        read_lists(layout)
    (finding,) = told.value.findings
    assert (finding.code, finding.where[0].key) == ("BW-PROJ-007", "[shop] list")
