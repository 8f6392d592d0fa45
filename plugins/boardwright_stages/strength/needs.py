"""How far a deck may span by the limits of ``[strength]``, and where a narrow one spans too far.

Claim: the longest span, to a tenth of a millimetre, at which one strip along the grain, its ends free to
turn, keeps the limits for lasting sag, for a hand, for the slope of a level track and for strength. Over more
than one span a deck sags less, so joists no farther apart are on the safe side.

What this does not know: frames that sag themselves, and openings.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.model import Member, Panel
from boardwright_timber.reference import density_kg_m3

from .deck import DeckSag, edge_width_mm
from .open_deck import open_deck_places
from .settings import StrengthSettings
from .sums import Wood, deck_figures, deck_stiffness

G_N_KG = 9.81
LEAST_MM, MOST_MM, FINE_MM = 20.0, 5000.0, 0.1


class TooFar(NamedTuple):
    """A place of a narrow deck and how many times the limit it keeps least is there; inf: loose."""

    times: float
    at: Point


def span_borne_mm(
    material: str,
    thickness_mm: float,
    settings: StrengthSettings,
    width_mm: float = math.inf,
    *,
    open_sides: bool = False,
) -> float:
    """The longest span of a deck so wide; LEAST_MM when even that is too long.

    ``open_sides``: nothing holds its long edges.
    """
    wood = Wood(material, thickness_mm)
    stiffness, _ = deck_stiffness(wood, along=True)
    load = _load_n_mm2(wood, settings)

    def kept(span: float) -> bool:
        sag, moment = 5 * load * span**4 / (384 * stiffness), load * span**2 / 8
        wide = min(width_mm, edge_width_mm(span)) if open_sides else width_mm
        return _times(wood, DeckSag(sag, span, 0.0, 0.0, moment, wide), settings) <= 1

    low, high = LEAST_MM, MOST_MM
    while high - low > FINE_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if kept(middle) else (low, middle)
    return low


def spans_too_far(
    panels: tuple[Panel, ...],
    members: tuple[Member, ...],
    material: str,
    thickness_mm: float,
    settings: StrengthSettings,
) -> list[TooFar]:
    """Places of a narrow deck on these members that do not keep the limits, the worst first."""
    wood = Wood(material, thickness_mm)
    along, across = (deck_stiffness(wood, along=way)[0] for way in (True, False))
    places = open_deck_places(panels, members, _load_n_mm2(wood, settings), along, across)
    found = [TooFar(round(_times(wood, one, settings), 6), (one.x_mm, one.y_mm)) for one, _ in places.held]
    found += [TooFar(math.inf, at) for at in places.loose]
    return sorted((f for f in found if f.times > 1), key=lambda f: (-f.times, f.at))


def _load_n_mm2(wood: Wood, settings: StrengthSettings) -> float:
    kg_m2 = density_kg_m3(wood.material, wood.thickness_mm) * wood.thickness_mm * 1e-3
    return (kg_m2 + settings.layout_kg_per_m2) * G_N_KG * 1e-6


def _times(wood: Wood, one: DeckSag, settings: StrengthSettings) -> float:
    """The greatest of sag, give, slope and use of strength, each as a share of what is allowed."""
    found = deck_figures(wood, one, one, True, settings)
    return max(
        found.lasting_mm / settings.deck_sag_mm,
        found.hand_mm / settings.hand_sag_mm,
        found.slope * 100 / settings.gradient_percent,
        found.bending,
    )
