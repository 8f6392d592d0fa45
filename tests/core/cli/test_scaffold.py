"""Names that no package can have are refused before anything is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from boardwright.cli import main


@pytest.mark.parametrize("name", ["Harbour Wood", "3boards", "json", "a_b", "x-", ".."])
def test_names_no_package_can_have(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["plugins", "--scaffold", name]) == 2
    assert "BW-PLUG-019" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
