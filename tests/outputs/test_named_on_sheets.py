"""A part too small for its name is named in the list below its sheet, with its place."""

from __future__ import annotations

import pytest

from boardwright_outputs.verify.profiles import is_named

CORNERS = (324.5, 736.0, 281.6, 826.4)  # opposite ones of a part turned a quarter


@pytest.mark.parametrize(
    ("texts", "named"),
    [
        (["B07-S8-I"], True),
        (["B07-S8-I (at 327, 738)"], False),  # beside it
        (["B07-S8-I (at 303, 780)"], True),
        (["B07-S8-I (at 303, 700)"], False),
        (["B07-S8-I-2 (at 303, 780)", "B07-S8"], False),
        ([], False),
    ],
)
def test_named_on_it_or_in_the_list(texts: list[str], named: bool) -> None:
    assert is_named("B07-S8-I", texts, CORNERS) == named
