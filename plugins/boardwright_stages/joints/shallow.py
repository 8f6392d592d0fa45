"""Frames too shallow for their fixings: said with the mend that helps where they are.

What counts is the height that both frames have in common: in a step between levels it is less than either
frame is deep, so a frame "at least so deep" would be no mend there.
"""

from __future__ import annotations

from boardwright import Notes, Place
from boardwright_timber.model import Joint

from .bores import bolt_bore, dowel_bore
from .settings import JointSettings


def tell_shallow(
    joint: Joint, common_mm: float, below_mm: float, settings: JointSettings, here: Place, notes: Notes
) -> None:
    """Holes ``below_mm`` under the top of what both frames have in common come near its edges, if they do."""
    wanted = max(
        bolt_bore(settings).edge_margin_mm if settings.bolts_per_joint else 0.0,
        dowel_bore(settings).edge_margin_mm if settings.dowels_per_joint else 0.0,
    )
    edge_mm = min(below_mm, common_mm - below_mm)
    if edge_mm >= wanted:
        return
    there = f"{edge_mm:g} mm from their middle to the edge, {wanted:g} mm wanted"
    missing = 2 * wanted - common_mm
    if missing <= 0:
        says = f"The fixings of joint {joint.id} are near an edge of its frames: {there}."
        mend = (
            f"Set joints.fixings_below_mm from {wanted:g} to {common_mm - wanted:g}, or choose thinner bolts "
            "and dowels."
        )
    elif joint.drop_mm:
        says = (
            f"The frames at joint {joint.id} have {common_mm:g} mm of height in common, shallow for its "
            f"fixings: {there}."
        )
        mend = (
            f"Make the frames {missing:g} mm deeper, or the step between the two levels {missing:g} mm less, "
            "or choose thinner bolts and dowels."
        )
    else:
        says = f"The frame at joint {joint.id} is shallow for its fixings: {there}."
        mend = f"Make the frame at least {2 * wanted:g} mm deep, or choose thinner bolts and dowels."
    notes.caution("BW-JOINT-005", says, here, mend)
