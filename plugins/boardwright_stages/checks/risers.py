"""Whether risers stand below the deck that they carry, measured on finished parts in their places.

What this does not know: which of two decks that pass over each other a riser carries; either will do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from boardwright_timber.model import MemberRole

from .geometry import Worst, worst
from .reassembly import Solid

WHOLE_PERCENT = 100.0


def stood_below(solids: Mapping[str, Sequence[Solid]], decks: Mapping[str, Sequence[Solid]]) -> Worst:
    """How much of a riser's plan lies below its board's deck, at least (per cent)."""
    import shapely

    found = []
    for name, each in solids.items():
        stood = [s for s in each if s.part.role == MemberRole.RISER]
        roof = shapely.union_all([deck.shape for deck in decks[name]]) if stood else None
        for s in stood:
            share = s.shape.intersection(roof).area / s.shape.area
            found.append((WHOLE_PERCENT * share, f"riser {s.part.id}"))
    return worst(found, least=True, nothing=WHOLE_PERCENT)
