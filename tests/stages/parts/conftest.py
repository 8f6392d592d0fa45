"""Lets the tests of this folder import ``part_making``, and makes the plain box most of them look at."""

import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture
def plain_box(boxes: Any) -> Any:
    return boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (), (350.0,))
