"""What `boardwright new` writes, `boardwright pack` accepts."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from packs import FIXTURES, Pack
from running import here


def test_a_begun_layout_packs_at_once(tmp_path: Path) -> None:
    """In a folder with a blank in its name, by the very command that is told."""
    begun = here("new", "on a shelf", "--drawing", FIXTURES / "exhibition-module" / "plan.dxf", cwd=tmp_path)
    assert begun.returncode == 0, begun.stderr
    told = begun.stdout.splitlines()[-1].removeprefix("Look it over, then: boardwright ")
    done = here(*shlex.split(told), cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert list(Pack(tmp_path / "on a shelf" / "pack").boards) == ["B01"]
