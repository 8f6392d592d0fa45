"""A series file says which modules, how many, and which ends are to mate; what it cannot say is refused."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from boardwright.errors import InputError
from boardwright.many.series import read_series

WHOLE = """
name = "Harbour"
spare_ends = 2
first_number = 11
[settings]
"joints.bolts_at_mm" = [-150, 150]
[[modules]]
project = "straight/layout.toml"
copies = 3
[[modules]]
name = "yard left"
project = "yard/small.toml"
settings = { "joints.bolts_at_mm" = [-100, 100], "drawing.mirrored" = true }
[[modules]]
project = "yard/small.toml"
[[mate]]
ends = ["straight/*", "Yard left/E01"]
"""


def test_what_a_series_says(tmp_path: Path) -> None:
    (tmp_path / "series.toml").write_text(WHOLE)
    series, orders = read_series(tmp_path / "series.toml")
    assert (series.name, series.spare_ends) == ("Harbour", 2)
    assert [(m.name, m.copies, m.first) for m in series.modules] == [
        ("straight", 3, 11),
        ("yard left", 1, 14),
        ("small", 1, 15),
    ]
    assert series.mate == (("straight/*", "Yard left/E01"),)
    order = orders["yard left"]
    assert order.file == tmp_path / "yard" / "small.toml"
    assert order.out == tmp_path / "yard" / "pack-yard left"
    assert order.changes == {  # a module's own settings go before those for all
        "joints.bolts_at_mm": [-100, 100],
        "drawing.mirrored": True,
        "series.copies": 1,
        "series.spare_ends": 0,
    }
    assert orders["straight"].changes["series.copies"] == 3


ONE = '[[modules]]\nproject = "a/layout.toml"\n'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("modules = 1", "cannot be used"),
        ("[[modules]", "cannot be used"),
        ("modules = []", "names no module"),
        (ONE + "colour = 1", "colour"),
        (ONE.replace("a/layout.toml", ""), "without a project"),
        (ONE + ONE, "two modules called a"),
        (ONE + 'name = "../b"', "letters, digits"),
        (ONE + "copies = 0", "wants 0 of a"),
        ("spare_ends = -1\n" + ONE, "asks for -1 spare ends"),
        (ONE + 'settings = { "stages.local" = "x.py" }', "chooses code"),
        (ONE + 'settings = { "house.rules" = "x.toml" }', "chooses code or rules"),
        (ONE + "settings = { copies = 2 }", "not the name of a setting"),
        (ONE + 'settings = { "series.copies" = 2 }', "said by the series itself"),
        (ONE + '[[mate]]\nends = ["b/E01"]', "no MODULE/END"),
        (ONE + 'name = "other"', "as the project file other.toml"),
    ],
)
def test_what_is_refused(tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "other.toml").write_text("")
    (tmp_path / "series.toml").write_text(text)
    with pytest.raises(InputError) as refused:
        read_series(tmp_path / "series.toml")
    assert {f.code for f in refused.value.findings} == {"BW-MANY-020"}
    assert any(says in f.says for f in refused.value.findings)


def test_the_series_of_the_page_can_be_read(tmp_path: Path) -> None:
    page = (Path(__file__).parents[3] / "docs" / "many.md").read_text()
    _, _, section = page.partition("## A series of different modules")
    whole, mates = re.findall(r"```toml\n(.+?)```", section.partition("\n## ")[0], flags=re.DOTALL)
    (tmp_path / "series.toml").write_text(whole + mates)
    series, orders = read_series(tmp_path / "series.toml")
    assert list(orders) == [m.name for m in series.modules] == ["straight", "straight left-hand", "yard"]
    assert len(series.mate) == 2


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_series(tmp_path / "series.toml")
