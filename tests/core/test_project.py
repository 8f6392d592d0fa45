"""The project file: every problem told at once, the nearest valid name offered, defaults for the rest."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import msgspec
import pytest

from boardwright import Section
from boardwright.errors import InputError
from boardwright.project import LayoutSettings, read_project


class Bound(msgspec.Struct, forbid_unknown_fields=True):
    name: str
    shelf_mark: Annotated[
        str, msgspec.Meta(pattern="^[A-Z][0-9]?$", extra={"form": "a capital and perhaps a figure"})
    ] = "A"
    pages: Annotated[int, msgspec.Meta(ge=0)] = 0


class ShelfSettings(Section, table="shelf"):
    thickness_mm: Annotated[float, msgspec.Meta(gt=0)] = 12.0
    spacing_mm: Annotated[float, msgspec.Meta(gt=0)] = 400.0
    kerf_mm: Annotated[float, msgspec.Meta(ge=0, le=20)] = 3.0
    glued: bool = True
    how: Literal["flat", "tilted"] = "flat"
    mark: Annotated[str, msgspec.Meta(min_length=1)] = "x"
    books: tuple[Bound, ...] = ()


SECTIONS: dict[str, type[Section]] = {"shelf": ShelfSettings}


def read(tmp_path: Path, text: str | bytes) -> dict[str, Section]:
    path = tmp_path / "layout.toml"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_project(path, SECTIONS).sections


def problems(tmp_path: Path, text: str | bytes) -> list[tuple[str, str, str]]:
    with pytest.raises(InputError) as error:
        read(tmp_path, text)
    assert error.value.exit_status == 2
    return [(f.code, f.says, f.mend) for f in error.value.findings]


def test_everything_has_a_default(tmp_path: Path) -> None:
    sections = read(tmp_path, "")
    assert sections["shelf"] == ShelfSettings()
    assert sections["layout"] == LayoutSettings()


def test_whole_numbers_and_byte_order_mark(tmp_path: Path) -> None:
    assert read(tmp_path, b"\xef\xbb\xbf[shelf]\nspacing_mm = 300\n")["shelf"] == ShelfSettings(
        spacing_mm=300.0
    )


@pytest.mark.parametrize(
    ("text", "code", "word"),
    [
        ("[shelf]\nspacin_mm = 300", "BW-PROJ-004", "Did you mean 'spacing_mm'?"),
        ("[shelfs]\n", "BW-PROJ-004", "Did you mean 'shelf'?"),
        ("[layout]\nkerf_mm = 3", "BW-PROJ-004", "Write it under [shelf], below that heading."),
        ("kerf_mm = 3\n[shelf]", "BW-PROJ-004", "Write it under [shelf], below that heading."),
        ("shelf = 3", "BW-PROJ-003", "[shelf]"),
        (
            "[shelf]\nthickness_mm = 0",
            "BW-PROJ-005",
            "thickness_mm is 0; it must be a number above 0",
        ),
        (
            "[shelf]\nthickness_mm = nan",
            "BW-PROJ-005",
            "[shelf] thickness_mm is nan; it must be a plain number",
        ),
        ("[shelf]\nthickness_mm = -inf", "BW-PROJ-005", "[shelf] thickness_mm is -inf"),
        (
            "[shelf]\nthickness_mm = 'thick'",
            "BW-PROJ-005",
            '[shelf] thickness_mm is "thick"; it must be a number',
        ),
        ("[shelf]\nthickness_mm = [3]", "BW-PROJ-005", "[shelf] thickness_mm is a list; it must be a number"),
        ("[shelf]\nglued = 1", "BW-PROJ-005", "[shelf] glued is 1; it must be true or false"),
        ("[shelf]\nhow = 'up'", "BW-PROJ-005", '[shelf] how is "up"; it must be one of "flat", "tilted"'),
        ("[shelf]\nmark = ''", "BW-PROJ-005", "a text in quotation marks of at least 1 character"),
        ("[shelf]\nkerf_mm = 21", "BW-PROJ-005", "[shelf] kerf_mm is 21; it must be a number, 20 or less"),
        (
            "[[shelf.books]]\nname = 'a'\npages = -1",
            "BW-PROJ-005",
            "[shelf] books 1, pages is -1; it must be a",
        ),
        (
            "[[shelf.books]]\nname = 'a'\nshelf_mark = 'ä1'",
            "BW-PROJ-005",
            '[shelf] books 1, shelf_mark is "ä1"; it must be a capital and perhaps a figure',
        ),
        ("[[shelf.books]]\npages = 1", "BW-PROJ-005", "[shelf] books 1 has no name"),
        ("[[shelf.books]]\nname = 'a'\npages = nan", "BW-PROJ-005", "[shelf] books 1, pages is nan"),
        ("[stages]\nplugins = 'x'", "BW-PROJ-005", '[stages] plugins is "x"; it must be a list'),
        ("[drawing.layers]\noutlin = ['x']", "BW-PROJ-004", "Did you mean 'outline'?"),
        (
            "[devices.kinds.good]\nlength_mm = 1\n[devices.kinds.motor]\nlength_mm = 0",
            "BW-PROJ-005",
            "[devices] kinds.motor.length_mm is 0; it must be a number above 0",
        ),
        ("[shelf", "BW-PROJ-002", "quotation"),
        ('[drawing]\nfile = "C:\\users\\plan.dxf"', "BW-PROJ-002", 'file = "C:/users/plan.dxf"'),
        (b"\xff\xfe\x00", "BW-PROJ-002", "as UTF-8"),
        ("# ours\nname = 'S\u00fcd'".encode("latin-1"), "BW-PROJ-002", "as UTF-8"),
        ("[shelf]\nspacing_mm = “300”", "BW-PROJ-002", 'keyboard: spacing_mm = "300"'),
    ],
)
def test_one_clear_message(tmp_path: Path, text: str | bytes, code: str, word: str) -> None:
    ((got, says, mend),) = problems(tmp_path, text)
    assert got == code
    assert word in says + mend


def test_all_problems_at_once(tmp_path: Path) -> None:
    text = "[shelf]\nthickness_mm = -1\nkerf_mm = 99\nspacin_mm = 3\n[unheard]\n[layout]\nnaem = 'x'"
    assert sorted(code for code, _, _ in problems(tmp_path, text)) == [
        "BW-PROJ-004",
        "BW-PROJ-004",
        "BW-PROJ-004",
        "BW-PROJ-005",
        "BW-PROJ-005",
    ]


def test_a_drawing_is_no_project_file(tmp_path: Path) -> None:
    plan = tmp_path / "plan.DXF"
    plan.write_text("  0\nSECTION\n")
    with pytest.raises(InputError) as error:
        read_project(plan, SECTIONS)
    (found,) = error.value.findings
    assert found.code == "BW-PROJ-002"
    assert found.mend.endswith("boardwright new my-layout --drawing plan.DXF")


def test_no_project_file(tmp_path: Path) -> None:
    with pytest.raises(InputError) as error:
        read_project(tmp_path / "layout.toml", SECTIONS)
    assert error.value.findings[0].code == "BW-PROJ-001"


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ("spacing_mm = 900,5", "Decimals take a point: spacing_mm = 900.5"),
        ('mark = "x', "A quotation mark is missing in that line: text values stand between two of them."),
        (
            "spacing_mm = 3\nspacing_mm = 4",
            "That key or table stands twice in the file: put all in one place, take the other away.",
        ),
        (
            "spacing_mm = 3\n[shelf]",
            "That key or table stands twice in the file: put all in one place, take the other away.",
        ),
        ("spacing_mm = = 3", "Correct that line; text values need quotation marks, numbers none."),
    ],
)
def test_the_two_slips_made_most_are_named(tmp_path: Path, line: str, mend: str) -> None:
    ((code, _, said),) = problems(tmp_path, f"[shelf]\n{line}\n")
    assert (code, said) == ("BW-PROJ-002", mend)


class Extra(Section, frozen=True, kw_only=True, table="extra", optional=True):
    """Something that is off until it is asked for."""

    wanted: Annotated[bool, msgspec.Meta(description="Whether.")] = False


def test_an_optional_section_is_told_where_something_is_set() -> None:
    assert not Extra().is_told
    assert Extra(wanted=True).is_told
    assert LayoutSettings().is_told
