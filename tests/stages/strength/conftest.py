"""A box board with its parts, and the strength stage run on it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from boardwright import Notes
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring, WireHole

sys.path.insert(0, str(Path(__file__).parents[1] / "framing"))


@pytest.fixture
def board(boxes: Any) -> Callable[..., dict[str, Any]]:
    """Arguments of the stage but its settings, for a box 1200 × 600 with joists 300 apart."""

    def make(
        length: float = 1200.0,
        width: float = 600.0,
        joists_at: tuple[float, ...] = (300.0, 600.0, 900.0),
        holes: tuple[WireHole, ...] = (),
        framing: FramingSettings | None = None,
    ) -> dict[str, Any]:
        made = boxes.box("A", ((0, 0), (length, 0), (length, width), (0, width)), (), joists_at)
        cut = parts(
            made.board,
            BoardPlan(board="A"),
            made.frame,
            made.joists,
            BoardFixings(board="A"),
            BoardWiring(board="A", holes=holes),
            framing or FramingSettings(),
            Notes(),
        )
        return {"board": made.board, "frame": made.frame, "joists": made.joists, "parts": cut}

    return make
