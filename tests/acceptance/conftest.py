"""Each fixture is packed once, by the command a user types, in a copy of its folder."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from packs import CASES, FIXTURES, Pack
from running import command


@pytest.fixture(scope="session")
def layouts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Case -> a copy of its folder with a pack in it."""
    found = {}
    for case in CASES:
        folder = tmp_path_factory.mktemp(case)
        for name in ("plan.dxf", "devices.csv", "layout.toml"):
            shutil.copy(FIXTURES / case / name, folder / name)
        done = command("pack", cwd=folder)
        assert done.returncode == 0, done.stderr + done.stdout
        found[case] = folder
    return found


@pytest.fixture(params=CASES)
def layout(request: pytest.FixtureRequest, layouts: dict[str, Path]) -> Path:
    return layouts[request.param]


@pytest.fixture
def pack(layout: Path) -> Pack:
    return Pack(layout / "pack")
