"""`why` in lines: boards with one reason together, a reason told once, nothing wider than the terminal."""

from __future__ import annotations

from boardwright.cli.why import in_short, in_turn, lines
from boardwright.engine.reasons import Reason

SPACING = "setting joists.spacing_mm was 400.0, is 350.0"
CHANGED = [
    *(Reason("joists", b, False, (SPACING,), (("code", "a", "b"),)) for b in ("B01", "B02")),
    *(Reason("parts", b, True, ("if joists changes",), (), (SPACING,)) for b in ("B01", "B02")),
    Reason("cutting", "", True, ("if parts changes",), (), (SPACING,)),
]


def test_boards_together_and_a_reason_once() -> None:
    assert lines(CHANGED, 100) == [
        f"joists of B01, B02 would run: {SPACING}",
        "parts of B01, B02 may run, if joists changes (reasons above)",
        "cutting may run, if parts changes (reasons above)",
    ]


def test_asked_for_one_stage_the_root_is_named() -> None:
    assert lines(CHANGED[-1:], 200) == [f"cutting may run, if parts changes: {SPACING}"]


def test_many_reasons_are_a_list() -> None:
    reason = Reason("cost", "", False, ("board B03 is new", "board B04 is new"))
    assert lines([reason], 80) == ["cost would run:", "  - board B03 is new", "  - board B04 is new"]
    later = Reason("checks", "", False, ("board B04 is new", "board B05 is new"))
    assert lines([reason, later], 80)[3:] == [
        "checks would run:",
        "  - board B05 is new",
        "  - and reasons above",
    ]


def test_a_developer_sees_the_parts_of_each_key() -> None:
    assert lines(CHANGED[:2], 100, with_parts=True)[1:] == ["    B01 code: a → b", "    B02 code: a → b"]


def test_what_waits_is_told_in_one_line_for_all_boards_alike() -> None:
    assert in_turn([r for r in CHANGED if r.waits], 120) == [
        "After it, where what it made is not as before, what reads that runs in turn, and so on; at most:",
        "  the whole layout: cutting",
        "  boards B01, B02: parts",
        "What one of them waits for: boardwright why STAGE[@BOARD]",
    ]
    assert in_turn([], 120) == []


def test_no_line_is_wider_than_a_narrow_terminal() -> None:
    told = [*in_turn([r for r in CHANGED if r.waits], 44), *in_short(CHANGED, 44), *lines(CHANGED, 44)]
    assert max(map(len, told)) <= 44


def test_what_was_made_again_is_told_for_boards_alike_together() -> None:
    more = Reason("frame", "B03", False, (SPACING,), (), (SPACING,))
    assert in_short([*CHANGED, more], 100)[3:-1] == [
        "  the whole layout: cutting",
        "  boards B01, B02: joists, parts",
        "  board B03: frame",
    ]


def test_narrow() -> None:
    assert max(map(len, lines(CHANGED, 40))) <= 40
