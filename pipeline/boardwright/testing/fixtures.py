"""The ``bench`` fixture. In your ``conftest.py``: ``pytest_plugins = ["boardwright.testing.fixtures"]``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from .bench import Bench


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """An empty bench with a store in a folder of its own."""
    with Bench(tmp_path / "bench.sqlite") as empty:
        yield empty
