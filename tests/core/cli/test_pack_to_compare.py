"""The pack that a command compares with or marks parts of."""

from __future__ import annotations

from pathlib import Path

import pytest

from boardwright.cli.changes import delivered
from boardwright.errors import InputError


def test_where_there_is_none_those_under_other_names_are_told(tmp_path: Path) -> None:
    """A series writes pack-yard: `boardwright changes yard` finds no yard/pack."""
    with pytest.raises(InputError) as refused:
        delivered(tmp_path / "pack")
    assert refused.value.findings[0].mend.endswith("pack the layout first.")
    (tmp_path / "pack-yard").mkdir()
    (tmp_path / "pack-yard" / "pack.json").write_text("{}")
    with pytest.raises(InputError) as refused:
        delivered(tmp_path / "pack")
    assert f"There is a pack in {tmp_path / 'pack-yard'}: name it with -o." in refused.value.findings[0].mend
