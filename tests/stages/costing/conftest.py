"""The small calculator of the workbook's tests, here too."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

LITTLE_SUMS = Path(__file__).parents[2] / "outputs" / "workbook" / "little_sums.py"


@pytest.fixture
def calculator() -> type:
    spec = importlib.util.spec_from_file_location("little_sums_of_the_workbook", LITTLE_SUMS)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    kind = module.Calculator
    assert isinstance(kind, type)
    return kind
