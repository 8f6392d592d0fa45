"""Each fixture is packed once, by the command a user types, in a copy of its folder."""

from __future__ import annotations

import contextlib
import os
import shutil
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from packs import CASES, FIXTURES, Pack
from running import command

PATIENCE_S = 600


@pytest.fixture(scope="session")
def layouts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Case -> a copy of its folder with a pack in it.

    Made once: test processes that run side by side share them, and each packs what no other has begun.
    """
    around = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        around = around.parent
    for case in CASES:
        with contextlib.suppress(FileExistsError):
            _packed(case, around)
    end = time.monotonic() + PATIENCE_S
    while not all((around / f"{case}.packed").is_dir() for case in CASES):
        assert time.monotonic() < end, "another test process could not pack a fixture"
        time.sleep(0.2)
    return {case: around / case for case in CASES}


def _packed(case: str, around: Path) -> None:
    """Pack a fixture in a folder of its name. Raises FileExistsError when somebody else does."""
    folder = around / case
    folder.mkdir()
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / case / name, folder / name)
    done = command("pack", cwd=folder)
    assert done.returncode == 0, done.stderr + done.stdout
    (around / f"{case}.packed").mkdir()


@pytest.fixture(params=CASES)
def layout(request: pytest.FixtureRequest, layouts: dict[str, Path]) -> Path:
    return layouts[request.param]


@pytest.fixture
def pack(layout: Path) -> Pack:
    return Pack(layout / "pack")
