"""What `boardwright new` writes, `boardwright pack` accepts."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from packs import FIXTURES, Pack
from running import here


def test_a_begun_layout_packs_at_once(tmp_path: Path) -> None:
    begun = here("new", "it", "--drawing", FIXTURES / "exhibition-module" / "plan.dxf", cwd=tmp_path)
    assert begun.returncode == 0, begun.stderr
    done = here("pack", cwd=tmp_path / "it")
    assert done.returncode == 0, done.stderr
    assert list(Pack(tmp_path / "it" / "pack").boards) == ["B01"]
