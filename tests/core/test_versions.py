"""A plugin of a version that does not fit is refused before its code is loaded."""

from __future__ import annotations

from pathlib import Path

import pytest

from boardwright.door import enabled, split
from boardwright.errors import PluginError
from boardwright.plugins import make_plugin_manager


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> object:
    """Puts a distribution on the path as an installer leaves it; its module must not be loaded in vain."""

    def put(version: str, needs: str = "") -> None:
        info = tmp_path / f"house_rules-{version}.dist-info"
        info.mkdir()
        requires = f"Requires-Dist: {needs}\n" if needs else ""
        (info / "METADATA").write_text(
            f"Metadata-Version: 2.1\nName: house-rules\nVersion: {version}\n{requires}"
        )
        (info / "entry_points.txt").write_text("[boardwright]\nhouse = house_rules_of_a_test\n")
        (tmp_path / "house_rules_of_a_test.py").write_text("1 / 0\n")
        monkeypatch.syspath_prepend(tmp_path)

    return put


@pytest.mark.parametrize(
    ("entry", "parts"),
    [
        ("house", ("house", "")),
        ("house>=1.2", ("house", ">=1.2")),
        ("house >= 1.2, < 2", ("house", ">= 1.2, < 2")),
        ("house~=1.4", ("house", "~=1.4")),
    ],
)
def test_an_entry_is_a_name_and_a_condition(entry: str, parts: tuple[str, str]) -> None:
    assert split(entry) == parts


@pytest.mark.parametrize(
    ("version", "needs", "named", "says"),
    [
        ("1.1", "", "house >= 1.2", "the project asks for house >= 1.2, and house-rules 1.1 is installed"),
        ("1.3", "", "house >= 1.2, < 1.3", "house-rules 1.3 is installed"),
        ("1.3", "boardwright >= 90", "house", "house-rules 1.3 was written for Boardwright >=90; this is"),
        ("1.3", "boardwright < 0.1", "house >= 1", "was written for Boardwright <0.1"),
        ("1.3", "", "house >= one", "'>= one' after plugin 'house' is no condition on a version"),
    ],
)
def test_what_does_not_fit_is_refused(install, version: str, needs: str, named: str, says: str) -> None:
    install(version, needs)
    with pytest.raises(PluginError) as error:
        make_plugin_manager([named])
    assert [f.code for f in error.value.findings] == ["BW-PLUG-017"]
    assert says in error.value.findings[0].says


@pytest.mark.parametrize(
    ("needs", "named"),
    [
        ("", "house"),
        ("boardwright", "house >= 1.2"),
        ("boardwright >= 0.1, < 1", "house == 1.3"),
        ('boardwright >= 90 ; extra == "test"', "house"),  # asked for only with that extra
    ],
)
def test_what_fits_is_loaded(install, needs: str, named: str) -> None:
    install("1.3", needs)
    assert "house" in [p.name for p in enabled([named])]
    with pytest.raises(PluginError) as error:
        make_plugin_manager([named])
    assert error.value.findings[0].code == "BW-PLUG-005"  # its code was reached: 1 / 0
