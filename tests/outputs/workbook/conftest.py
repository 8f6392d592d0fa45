"""Lets the tests of this folder import ``two_boards`` and ``little_sums``, and makes one workbook for all."""

import inspect
import io
import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))


def made(**changes: Any) -> bytes:
    import two_boards

    from boardwright_outputs.workbook.outputs import workbook

    nouns = {**two_boards.nouns(), **changes}
    given = {n: nouns[n] for n in inspect.signature(workbook).parameters if n in nouns}
    return workbook(**given).files["workbook.xlsx"]


@pytest.fixture(scope="session")
def saved() -> bytes:
    return made()


@pytest.fixture
def book(saved: bytes) -> Any:
    """The workbook with its formulas."""
    import openpyxl

    return openpyxl.load_workbook(io.BytesIO(saved))


@pytest.fixture
def amounts(saved: bytes) -> Any:
    """The workbook with the amounts stored beside its formulas."""
    import openpyxl

    return openpyxl.load_workbook(io.BytesIO(saved), data_only=True)


@pytest.fixture
def make() -> Any:
    return made
