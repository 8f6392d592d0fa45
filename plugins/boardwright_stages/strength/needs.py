"""How far a deck may span between joists by the limits of ``[strength]``.

Claim: the longest span, to a tenth of a millimetre, at which one strip along the grain, its ends free to
turn, keeps the limits for lasting sag, for a hand, for the slope of a level track and for strength. Over more
than one span a deck sags less, so joists no farther apart are on the safe side.

What this does not know: frames that sag themselves, and openings.
"""

from __future__ import annotations

from boardwright_timber.reference import density_kg_m3

from .deck import DeckSag
from .settings import StrengthSettings
from .sums import Wood, deck_figures, deck_stiffness

G_N_KG = 9.81
LEAST_MM, MOST_MM, FINE_MM = 20.0, 5000.0, 0.1


def span_borne_mm(material: str, thickness_mm: float, settings: StrengthSettings) -> float:
    """The longest span; LEAST_MM when even that is too long."""
    wood = Wood(material, thickness_mm)
    stiffness, _ = deck_stiffness(wood, along=True)
    kg_m2 = density_kg_m3(material, thickness_mm) * thickness_mm * 1e-3 + settings.layout_kg_per_m2
    load = kg_m2 * G_N_KG * 1e-6

    def kept(span: float) -> bool:
        one = DeckSag(5 * load * span**4 / (384 * stiffness), span, 0.0, 0.0, load * span**2 / 8)
        found = deck_figures(wood, one, one, True, settings)
        return (
            found.lasting_mm <= settings.deck_sag_mm
            and found.hand_mm <= settings.hand_sag_mm
            and found.slope * 100 <= settings.gradient_percent
            and found.bending <= 1
        )

    low, high = LEAST_MM, MOST_MM
    while high - low > FINE_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if kept(middle) else (low, middle)
    return low
