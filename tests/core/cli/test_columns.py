"""Tables on a terminal: aligned where they fit, paragraphs where not, and no figure lost."""

from __future__ import annotations

import pytest

from boardwright.cli.columns import columns

HEADING = ("no.", "joists.spacing_mm", "cost", "")
ROWS = (("0", "", "604 EUR", "best"), ("12", "300", "99 EUR", "beaten by 0"))


def test_a_table_that_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert columns(HEADING, ROWS, frozenset({0, 2})) == [
        "no.  joists.spacing_mm     cost",
        "--------------------------------------------",
        "  0                     604 EUR  best",
        " 12  300                 99 EUR  beaten by 0",
    ]


@pytest.mark.parametrize("width", [30, 40, 43])
def test_a_narrow_terminal_gets_paragraphs(monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    lines = columns(HEADING, ROWS, frozenset({0, 2}))
    assert max(map(len, lines)) <= width
    assert " ".join(" ".join(lines).split()) == (
        "0: cost 604 EUR, best 12: joists.spacing_mm 300, cost 99 EUR, beaten by 0"
    )
