"""How long a joint must be for its fixings to find room in a row.

Claim: a joint of ``needed_mm`` between two square corners holds the fixings asked for, wherever nothing else
stands behind it. The splitting makes no shorter joint where it has a choice; the advice of the joints names
the same length.

    corner, margin, fixing, spacing, fixing, … fixing, margin, corner

What this does not know: joists and devices behind the joint, and corners that are not square.
"""

from __future__ import annotations

from .advice import SMALLER
from .bores import bolt_bore, dowel_bore
from .settings import JointSettings


def needed_mm(settings: JointSettings, bolts: int, dowels: int = 0) -> float:
    """Least length of a joint with so many bolts and dowels, mm; 0 for none of either."""
    if bolts + dowels == 0:
        return 0.0
    bolt, dowel = (max(b.end_margin_mm, b.room_mm / 2) for b in (bolt_bore(settings), dowel_bore(settings)))
    # bolts take the outermost places; a single one takes the middle, and the dowels lie outside it
    margin = bolt if bolts > 1 or not dowels else max(bolt, dowel) if bolts else dowel
    return 2 * (settings.corner_mm + margin) + (bolts + dowels - 1) * settings.spacing_mm


def bolted_mm(settings: JointSettings) -> float:
    """Least length for the bolts asked for in every joint, mm."""
    return needed_mm(settings, settings.bolts_per_joint)


def located_mm(settings: JointSettings) -> float:
    """Least length for those bolts and the dowels, mm."""
    return needed_mm(settings, settings.bolts_per_joint, settings.dowels_per_joint)


def what_fits(length_mm: float, settings: JointSettings) -> str:
    """The least change of the settings that bolts a joint of this length, in words; "" where none does."""
    thinner = [s for s in SMALLER if float(s.removeprefix("M")) < settings.bolt_diameter_mm]
    for size in thinner:
        if bolted_mm(settings.changed(bolt_size=size)) <= length_mm:
            return f'[joints] bolt_size = "{size}"'
    fewer = range(settings.bolts_per_joint - 1, 0, -1)
    for size in (settings.bolt_size, *thinner):
        for count in fewer:
            if needed_mm(settings.changed(bolt_size=size), count) <= length_mm:
                chosen = "" if size == settings.bolt_size else f' and bolt_size = "{size}"'
                return f"[joints] bolts_per_joint = {count}{chosen}"
    return ""
