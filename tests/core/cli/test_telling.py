"""Findings on a terminal: no word lost, boards together, no line wider than the terminal."""

from __future__ import annotations

import io
import shlex
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.cli.telling import as_typed, counted, tell_end, tell_findings, tell_unknown
from boardwright.grouping import alike


def found(says: str, where: str = "", mend: str = "", code: str = "BW-X-001") -> dict[str, str]:
    return {"code": code, "severity": "note", "says": says, "where": where, "mend": mend}


def told(*findings: dict[str, str]) -> str:
    out = io.StringIO()
    tell_findings(findings, out)
    return out.getvalue()


def test_dots_of_a_name_stay() -> None:
    """``..`` is the folder above; a sentence gets a full stop only where it has none."""
    assert "cannot read ../plans/a..b.dxf." in told(found("cannot read ../plans/a..b.dxf"))
    assert told(found("It is done.")) == "Note BW-X-001: It is done.\n"
    assert told(found("And so on…")) == "Note BW-X-001: And so on…\n"


def test_one_matter_of_many_boards_is_told_once() -> None:
    text = told(
        found("Board B01: stands out by 19 mm, at curves.", "board B01", "Cut it."),
        found("Board B02: stands out by 22 mm, at curves.", "board B02", "Cut it."),
        found("Board B05: stands out by 19 mm, at curves.", "board B05", "Cut it."),
    )
    assert text == (
        "Note BW-X-001: Board B01: stands out by 19 mm, at curves.\n"
        "  the same for: B02 22 mm; B05 19 mm\n"
        "  where: boards B01, B02, B05\n"
        "  mend: Cut it.\n"
    )


def test_one_place_on_many_boards_is_told_once() -> None:
    text = told(
        *(found(f"It failed for board {b}.", f"board {b}, club.frame", "Mend it.") for b in ("B01", "B02"))
    )
    assert "  where: boards B01, B02, club.frame\n" in text


def test_brackets_are_not_told_by_halves() -> None:
    text = told(
        found("Board B01: 1 riser is higher (+30 mm, R(2)).", "board B01", "Cut it."),
        found("Board B02: 1 riser is higher (+35 mm, R(3)).", "board B02", "Cut it."),
    )
    assert "  the same for: B02 +35 mm R(3)\n" in text


def test_a_place_is_told_with_its_axes() -> None:
    text = told(
        found(
            "Board B01: a leg more stands at x 1076, y 254 from its datum corner.", "board B01", "Nothing."
        ),
        found("Board B05: a leg more stands at x 2, y 444 from its datum corner.", "board B05", "Nothing."),
    )
    assert "  the same for: B05 x 2 y 444\n" in text


def test_one_matter_of_many_joints_is_told_once() -> None:
    text = told(
        *(
            found(
                f"A plug 32 mm thick does not pass the {d} mm wire holes of joint {j}.",
                f"wires.plug, {j}",
                "Turn.",
            )
            for j, d in (("J01", 20), ("J02", 20), ("J03", 16))
        ),
    )
    assert text == (
        "Note BW-X-001: A plug 32 mm thick does not pass the 20 mm wire holes of joint\n  J01.\n"
        "  the same for: 20 mm J02; 16 mm J03\n"
        "  where: wires.plug, J01, J02, J03\n"
        "  mend: Turn.\n"
    )
    alone = [found(f"{n} sheets.", f"ply {n}") for n in (1, 2)]
    assert alike(alone) == [[f] for f in alone]  # nothing to be done, no board: each is worth its line


def test_what_is_to_be_done_is_never_swallowed() -> None:
    """Another mend, code or wording is another matter; so is what is about no board."""
    one = found("Board B01 is heavy.", "board B01", "Split it.")
    for other in (
        found("Board B02 is heavy.", "board B02", "Lift it with two."),
        found("Board B02 is heavy.", "board B02", "Split it.", "BW-X-002"),
        found("Something else is wrong with it.", "board B02", "Split it."),
        found("Board B02 is heavy.", "plan.dxf", "Split it."),
    ):
        assert alike([one, other]) == [[one], [other]]


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.lists(st.tuples(st.sampled_from("ABC"), st.integers(0, 3), st.booleans()), max_size=12))
def test_every_board_and_figure_is_told(rows: list[tuple[str, int, bool]]) -> None:
    findings = [found(f"board {b} is {n} mm too {'wide' if w else 'long'}", f"board {b}") for b, n, w in rows]
    groups = alike(findings)
    assert sorted(map(str, (f for g in groups for f in g))) == sorted(map(str, findings))
    text = " ".join(told(*findings).split())
    assert all(f"{n} mm" in text and b in text for b, n, _ in rows)


@pytest.mark.parametrize("columns", [40, 60, 200])
def test_lines_keep_to_the_terminal(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    text = told(found("long words " * 40, "board B01", "do this and that " * 30))
    assert max(map(len, text.splitlines())) <= min(columns, 100)


def test_counts_are_words_in_number() -> None:
    kinds = ["note", "fault", "caution", "caution", "mended", "mended"]
    assert counted({"severity": k} for k in kinds) == "1 fault, 2 cautions, 2 mended, 1 note"
    assert counted([]) == ""


def test_findings_that_differ_in_places_alone_have_no_list_of_differences() -> None:
    told = [
        {
            "severity": "note",
            "code": "BW-X-001",
            "says": "two holes meet",
            "where": f"board B0{n}",
            "mend": "",
        }
        for n in (1, 2, 3)
    ]
    stream = io.StringIO()
    tell_findings(told, stream)
    assert stream.getvalue() == "Note BW-X-001: two holes meet.\n  where: boards B01, B02, B03\n"


def test_a_name_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    tell_unknown("stage", "joist", ["joists", "frame"])
    assert capsys.readouterr().err == (
        "There is no stage 'joist'. Did you mean 'joists'? There are: frame, joists.\n"
    )
    tell_unknown("board", "zzz", ["B02", "B01"])
    assert capsys.readouterr().err == "There is no board 'zzz'. There are: B01, B02.\n"


@pytest.mark.parametrize("is_terminal", [True, False])
def test_the_end_is_wrapped_for_people_and_one_line_for_programs(
    is_terminal: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    monkeypatch.setattr("sys.stdout.isatty", lambda: is_terminal)
    text = "Pack written to pack (82 files). Start with pack/index.html."
    tell_end(text)
    said = capsys.readouterr().out
    assert " ".join(said.split()) == text
    assert (max(map(len, said.splitlines())) <= 30) == is_terminal


@pytest.mark.skipif(sys.platform == "win32", reason="another shell's quotation marks")
@pytest.mark.parametrize("name", ["plain", "Our Layout", "Vorführ' Anlage", "$HOME", "a;b"])
def test_a_path_in_a_command_can_be_copied_from_the_screen(name: str) -> None:
    path = Path(name) / "layout.toml"
    assert shlex.split(as_typed(path)) == [str(path)]
    assert as_typed(Path("plain/layout.toml")) == "plain/layout.toml"
