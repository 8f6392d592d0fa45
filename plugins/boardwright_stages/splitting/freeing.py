"""The least longer board that would free a stretch no joint can part.

Tried in steps of STEP_MM with rows of joints (``row``); what this does not know: side boards, and whether the
longer board still passes the door.
"""

from __future__ import annotations

import math

from msgspec.structs import replace

from . import worth
from .keepaway import KeepAway
from .piece import Piece
from .search import Search
from .settings import SplittingSettings
from .tracks import Tracks

STEP_MM = 10.0


def least_length(
    piece: Piece, most_mm: float, settings: SplittingSettings, keep_away: KeepAway, tracks: Tracks
) -> float | None:
    """Shortest ``max_length_mm`` (in steps of STEP_MM up to ``most_mm``) that parts a piece; None: none."""

    def parts(steps: int) -> bool:
        longer = replace(settings, max_length_mm=steps * STEP_MM)
        if worth.fits(piece, longer):
            return True
        return Search(longer, keep_away, tracks, piece.main_directions).row(piece) is not None

    low, high = math.floor(settings.box_mm[0] / STEP_MM), math.ceil(most_mm / STEP_MM)
    if high <= low or not parts(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if parts(middle) else (middle, high)
    return high * STEP_MM
