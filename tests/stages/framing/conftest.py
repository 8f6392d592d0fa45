"""Lets the tests of this folder import ``any_shapes``."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from boardwright_timber.model import Board

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(scope="session")
def make_board() -> Callable[..., Board]:
    from any_shapes import board_of

    return board_of
