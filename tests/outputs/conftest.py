"""The layout of two joined boards (``joined``) and its drawings, for the tests of outputs."""

from __future__ import annotations

import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from boardwright_outputs.drawings.drawing import Drawing

sys.path.insert(0, str(Path(__file__).parent))

from joined import all_drawings, make_layout


@pytest.fixture
def layout() -> SimpleNamespace:
    return make_layout()


@pytest.fixture
def hostile() -> SimpleNamespace:
    """The same layout with names nobody should trust."""
    return make_layout(
        name="<script>alert(1)</script>\n=cmd|'x'!A1", part_label='"><img src=x onerror=alert(2)> ../../x'
    )


@pytest.fixture
def drawings(layout: SimpleNamespace) -> dict[str, Drawing]:
    """Every drawing of the layout, by file name."""
    return all_drawings(layout)


@pytest.fixture
def hostile_drawings(hostile: SimpleNamespace) -> dict[str, Drawing]:
    return all_drawings(hostile)
