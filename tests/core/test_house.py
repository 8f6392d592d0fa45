"""House rules: values laid under a project's own, limits looked at, every departure named with its rule."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Section
from boardwright.errors import InputError
from boardwright.findings import Severity
from boardwright.project import Project, read_project, read_tables


class Book(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    name: str
    pages: int = 0


class ShelfSettings(Section, frozen=True, kw_only=True, table="shelf"):
    thickness_mm: Annotated[float, msgspec.Meta(gt=0)] = 12.0
    spacing_mm: Annotated[float, msgspec.Meta(gt=0)] = 400.0
    how: Literal["flat", "tilted"] = "flat"
    books: tuple[Book, ...] = (Book("atlas", 90),)
    prices: dict[str, float] = msgspec.field(default_factory=dict)


SECTIONS: dict[str, type[Section]] = {"shelf": ShelfSettings}
HEAD = 'by = "Harbour Wood Model Club"\nedition = "2026"\n'


def project(folder: Path, rules: str, own: str = "") -> Project:
    (folder / "club.toml").write_text(HEAD + rules)
    (folder / "layout.toml").write_text(f'[house]\nrules = "club.toml"\n{own}')
    return read_project(folder / "layout.toml", SECTIONS)


def shelf(read: Project) -> ShelfSettings:
    return read.section(ShelfSettings)


def told(read: Project) -> list[tuple[str, Severity]]:
    return [(f.code, f.severity) for f in read.findings]


FREE = "projects_may_change = true"
SPACING = '[[rules]]\nsetting = "shelf.spacing_mm"\n'


def test_a_rule_is_the_value_of_a_project_that_says_nothing(tmp_path: Path) -> None:
    read = project(tmp_path, SPACING + "is = 300\n")
    assert shelf(read).spacing_mm == 300
    assert read.findings == ()
    (rule,) = read.rules
    assert (rule.setting, rule.says, rule.kept) == ("[shelf] spacing_mm", "300", True)
    assert rule.by == "Harbour Wood Model Club, 2026"
    assert read_tables(tmp_path / "layout.toml")["shelf"] == {"spacing_mm": 300}


@pytest.mark.parametrize(
    ("rule", "own", "found"),
    [
        ("is = 300", "spacing_mm = 300.0", []),  # said again: kept
        ("is = 300", "spacing_mm = 350", [("BW-RULE-001", Severity.FAULT)]),
        ("is = 300\n" + FREE, "spacing_mm = 350", [("BW-RULE-003", Severity.NOTE)]),
        ("at_most = 320\n" + FREE, "spacing_mm = 350", [("BW-RULE-002", Severity.CAUTION)]),
        ("at_most = 320", "spacing_mm = 320", []),
        ("at_most = 320", "", [("BW-RULE-001", Severity.FAULT)]),  # our own default breaks it: told as well
        ("at_least = 410", "", [("BW-RULE-001", Severity.FAULT)]),
        ("one_of = [300, 400]", "spacing_mm = 350", [("BW-RULE-001", Severity.FAULT)]),
        ("never = [350]", "spacing_mm = 350", [("BW-RULE-001", Severity.FAULT)]),
        ("never = [350]", "spacing_mm = 351", []),
        ("is = 300\nat_most = 400\n" + FREE, "spacing_mm = 450", [("BW-RULE-002", Severity.CAUTION)]),
    ],
)
def test_departures(tmp_path: Path, rule: str, own: str, found: list[tuple[str, Severity]]) -> None:
    read = project(tmp_path, SPACING + rule, f"[shelf]\n{own}\n")
    assert told(read) == found
    if own:
        assert shelf(read).spacing_mm == float(own.split()[-1])  # the builder's own value always stands


def test_a_finding_names_the_rule_who_set_it_and_why(tmp_path: Path) -> None:
    rule = SPACING + 'is = 300\nby = "the van crew"\nwhy = "Boards ride on edge."\n'
    (finding,) = project(tmp_path, rule, "[shelf]\nspacing_mm = 350\n").findings
    assert finding.says == (
        "[shelf] spacing_mm is 350; the house rule of the van crew says 300 (Boards ride on edge)"
    )
    assert [str(p) for p in finding.where] == ["layout.toml, [shelf] spacing_mm", "club.toml"]
    assert "the van crew" in finding.mend


def test_tables_are_gone_into_and_lists_taken_whole(tmp_path: Path) -> None:
    rules = (
        '[[rules]]\nsetting = "shelf.books"\nis = [{name = "almanac"}]\n'
        "[[rules]]\nsetting = 'shelf.prices.\"wood glue\"'\nis = 8\n"
    )
    read = project(tmp_path, rules, "[shelf.prices]\nscrew = 0.05\n")
    assert shelf(read).books == (Book("almanac"),)
    assert shelf(read).prices == {"screw": 0.05, "wood glue": 8.0}
    assert read.findings == ()


def test_every_entry_of_a_list_is_looked_at(tmp_path: Path) -> None:
    rule = '[[rules]]\nsetting = "shelf.books.name"\nnever = ["OSB"]\n'
    own = '[[shelf.books]]\nname = "ply"\n[[shelf.books]]\nname = "OSB"\n'
    assert told(project(tmp_path, rule, own)) == [("BW-RULE-001", Severity.FAULT)]


@pytest.mark.parametrize(
    ("rules", "code", "word"),
    [
        ("[[rules]]\n", "BW-RULE-011", "house rules: rule 1 has no 'setting'"),
        (SPACING + "is = 1\n[[rules]]\nseting = 1\n", "BW-RULE-011", "rule 2 has an unknown key 'seting'"),
        ("[[rules]]\nsetting = 1\n", "BW-RULE-011", "rule 1, setting: it must be a text in quotation marks"),
        ("[[rules]]\nseting = 1\n", "BW-RULE-011", "Did you mean 'setting'?"),
        (SPACING + 'at_least = "x"\n', "BW-RULE-011", "rule 1, at_least: it must be a number"),
        ("editon = 1\n", "BW-RULE-011", "the file has an unknown key 'editon'Did you mean 'edition'?"),
        ("wrong = 1\n", "BW-RULE-011", "wrong"),
        ('[[rules]]\nsetting = "shelf.spacing_mm"\n', "BW-RULE-012", "nothing"),
        ('[[rules]]\nsetting = "shelf"\nis = 1\n', "BW-RULE-011", "shelf"),
        ('[[rules]]\nsetting = "shelf..x"\nis = 1\n', "BW-RULE-011", "name"),
        ('[[rules]]\nsetting = "a = 1"\nis = 1\n', "BW-RULE-011", "name"),
        ('[[rules]]\nsetting = "stages.local"\nis = "x.py"\n', "BW-RULE-011", "stages"),
        ('[[rules]]\nsetting = "house.rules"\nis = "x"\n', "BW-RULE-011", "house"),
        (SPACING + "is = 300\nat_most = 200\n", "BW-RULE-012", "own value"),
        (SPACING + "at_least = 300\nat_most = 200\n", "BW-RULE-012", "allows nothing"),
        (SPACING + "is = 1\n" + SPACING + "is = 2\n", "BW-RULE-012", "two rules"),
        (SPACING + "is = -1\n", "BW-PROJ-005", "above 0"),
        (SPACING + "is = nan\n", "BW-PROJ-005", "plain number"),
        ('[[rules]]\nsetting = "shelf.spacing"\nis = 1\n', "BW-PROJ-004", "spacing"),
        ('[[rules]]\nsetting = "shelf.spacing"\nat_most = 1\n', "BW-PROJ-004", "spacing"),
        ('[[rules]]\nsetting = "shelves.spacing"\nat_most = 1\n', "BW-PROJ-004", "shelves"),
        ("[[rules]\n", "BW-RULE-010", "line"),
        ('plugins = ["house >= 1"]\n', "BW-RULE-013", "house >= 1"),
    ],
)
def test_rules_that_cannot_be_used_are_refused(tmp_path: Path, rules: str, code: str, word: str) -> None:
    with pytest.raises(InputError) as error:
        project(tmp_path, rules)
    found = error.value.findings
    assert [f.code for f in found] == [code]
    assert word in found[0].says + found[0].mend
    assert "club.toml" in str(found[0].where[0]) or code == "BW-RULE-013"


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "layout.toml").write_text('[house]\nrules = "../gone.toml"\n')
    with pytest.raises(InputError) as error:
        read_project(tmp_path / "layout.toml", SECTIONS)
    assert [f.code for f in error.value.findings] == ["BW-RULE-010"]


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    rule=st.integers(1, 900),
    own=st.none() | st.integers(1, 900),
    least=st.integers(1, 900),
    most=st.integers(1, 900),
    free=st.booleans(),
)
def test_the_builders_value_stands_and_silence_means_kept(
    tmp_path_factory: pytest.TempPathFactory, rule: int, own: int | None, least: int, most: int, free: bool
) -> None:
    folder = tmp_path_factory.mktemp("rules")
    text = SPACING + f"is = {rule}\nat_least = {least}\nat_most = {most}\n"
    text += f"projects_may_change = {str(free).lower()}\n"
    said = "" if own is None else f"[shelf]\nspacing_mm = {own}\n"
    if not least <= rule <= most:
        with pytest.raises(InputError):
            project(folder, text, said)
        return
    read = project(folder, text, said)
    assert shelf(read).spacing_mm == (rule if own is None else own)
    within = own is None or least <= own <= most
    same = own is None or own == rule
    expected = (
        [] if same else [Severity.FAULT] if not free else [Severity.NOTE if within else Severity.CAUTION]
    )
    assert [f.severity for f in read.findings] == expected
    assert read.rules[0].kept == same
