"""Consumables by area: sealer, underlay, abrasive paper. Coverage: common practice, no source.

Claim: each line is an area of this board times what the settings say is needed for a square metre; 0 there
means none is bought.

What this does not know: which faces are hidden by scenery; paint; track.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardwright_timber.model import BoardParts, HardwareLine

from .settings import HardwareSettings


def finish_lines(parts: BoardParts, settings: HardwareSettings) -> Iterator[HardwareLine]:
    """Sealer for both faces of all wood, underlay on the decks, abrasive paper for both faces."""
    faces = 2 * sum(p.area_mm2 for p in parts.parts) / 1e6
    decks = sum(p.area_mm2 for p in parts.parts if p.role == "deck") / 1e6
    counted = (
        ("sealer", "Sealer for bare wood", faces, settings.sealer_ml_per_m2, "ml", "of wood, both faces"),
        ("underlay", "Underlay, whole dm²", decks, settings.underlay_dm2_per_m2, "dm²", "of deck"),
        (
            "abrasive",
            "Abrasive paper, sheets",
            faces,
            settings.abrasive_sheets_per_m2,
            "piece",
            "of wood, both faces",
        ),
    )
    for item, says, area, each, unit, of in counted:
        needed = math.ceil(round(area * each, 6))
        if needed:
            why = f"{area:.3f} m² {of} at {each:g} {'sheets' if unit == 'piece' else unit} a square metre"
            yield HardwareLine(item=item, says=says, quantity=needed, unit=unit, why=why)
