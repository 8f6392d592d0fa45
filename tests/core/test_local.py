"""The one-file plugin: loaded only when named, told clearly when it does not load."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from boardwright.errors import PluginError
from boardwright.local import MODULE, load
from boardwright.plugins import make_plugin_manager


@pytest.fixture(autouse=True)
def forget(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(sys.modules, MODULE, raising=False)


def test_a_named_file_is_a_plugin(tmp_path: Path) -> None:
    path = tmp_path / "house.py"
    path.write_text(
        "from boardwright import hookimpl\n@hookimpl\ndef boardwright_stages():\n    return ['mine']\n"
    )
    assert ["mine"] in make_plugin_manager((), path).hook.boardwright_stages()


@pytest.mark.parametrize(
    ("text", "code"), [(None, "BW-PLUG-013"), ("1/0", "BW-PLUG-014"), ("def (", "BW-PLUG-014")]
)
def test_what_does_not_load_is_told(tmp_path: Path, text: str | None, code: str) -> None:
    path = tmp_path / "house.py"
    if text is not None:
        path.write_text(text)
    with pytest.raises(PluginError) as error:
        load(path)
    assert error.value.findings[0].code == code


def test_a_mistyped_hook_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "house.py"
    path.write_text("from boardwright import hookimpl\n@hookimpl\ndef boardwright_stagse():\n    return []\n")
    with pytest.raises(PluginError) as error:
        make_plugin_manager((), path)
    assert error.value.findings[0].code == "BW-PLUG-006"


def test_a_plugin_that_is_not_installed() -> None:
    with pytest.raises(PluginError) as error:
        make_plugin_manager(["no-such-club"])
    assert error.value.findings[0].code == "BW-PLUG-015"
    assert "A file beside the project file is named another way" in error.value.findings[0].mend
