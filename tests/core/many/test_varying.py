"""What a study varies: lists, ranges and pairs, in a file and on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from boardwright.errors import InputError
from boardwright.many.varying import constructions, read_option, read_study

FILE = """
[vary]
"framing.depth_mm" = [70, 90]
"joists.spacing_mm" = { from = 300, to = 400, step = 50 }
[[pairs]]
keys = ["framing.deck_material", "framing.deck_thickness_mm"]
values = [["birch ply", 9], ["poplar ply", 12.5]]
"""


def test_a_file_and_the_command_line_say_the_same(tmp_path: Path) -> None:
    (tmp_path / "study.toml").write_text(FILE)
    options = [
        "framing.depth_mm=70,90",
        "joists.spacing_mm=300..400/50",
        "framing.deck_material+framing.deck_thickness_mm=birch ply+9,poplar ply+12.5",
    ]
    varied = read_study(tmp_path / "study.toml")
    assert varied == [read_option(text) for text in options]
    every = constructions(varied)
    assert len(every) == len(set(map(repr, every))) == 2 * 3 * 2
    assert every[0] == (
        ("framing.depth_mm", 70),
        ("joists.spacing_mm", 300),
        ("framing.deck_material", "birch ply"),
        ("framing.deck_thickness_mm", 9),
    )
    assert dict(every[-1])["framing.deck_thickness_mm"] == 12.5


def test_values_are_what_toml_would_read() -> None:
    rows = read_option('a.b=true,2,2.5,"9",plain words').rows
    assert rows == ((True,), (2,), (2.5,), ("9",), ("plain words",))


def test_a_range_of_tenths_ends_where_it_says() -> None:
    assert read_option("a.b=0.1..0.5/0.1").rows == ((0.1,), (0.2,), (0.3,), (0.4,), (0.5,))
    assert read_option("a.b=1..2/0.4").rows == ((1,), (1.4,), (1.8,))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("depth_mm=1", "not the name of a setting"),
        ("a.b", "KEY=VALUE"),
        ("a.b=", "KEY=VALUE"),
        ("a.b+a.c=1,2", "needs 2 values"),
        ("a.b=5..1", "goes up"),
        ("a.b=1..5/0", "goes up"),
        ("a.b=1..x", "FROM..TO/STEP"),
        ("a.b=1..1000000", "more than 1000"),
        ("a.b=1,1", "twice"),
        ("stages.local=x.py", "chooses code"),
        ("house.rules=x.toml", "chooses code"),
    ],
)
def test_slips_are_refused(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read_option(text)
    assert caught.value.findings[0].code == "BW-MANY-001"
    assert says in caught.value.findings[0].says


def test_what_cannot_be_combined_is_refused() -> None:
    one = read_option("a.b=1,2")
    for varied, says in (([], "nothing is varied"), ([one, one], "varied twice")):
        with pytest.raises(InputError) as caught:
            constructions(varied)
        assert says in caught.value.findings[0].says
    many = [read_option(f"a.{c}=1..40") for c in "bc"]
    with pytest.raises(InputError) as caught:
        constructions(many)
    assert "1600 constructions" in caught.value.findings[0].says


def test_a_bad_file_is_refused(tmp_path: Path) -> None:
    for text in ("x", "[varied]", '[vary]\n"a.b" = 3', '[vary]\n"a.b" = { from = 1, to = 2 }', ""):
        (tmp_path / "study.toml").write_text(text)
        with pytest.raises(InputError) as caught:
            constructions(read_study(tmp_path / "study.toml"))
        assert caught.value.findings[0].code == "BW-MANY-001"
    with pytest.raises(InputError, match="cannot be read"):
        read_study(tmp_path / "gone.toml")
