"""Wire of one colour in two thicknesses: bought in the thicker one alone, where that comes cheaper.

Rule (common practice, no source): a thicker conductor carries what a thinner one does. It is told as a choice
and not bought so: holes, plugs and terminals are made to the thinner one's measure, so only a conductor of at
most twice the cross-section is thought of, and the builder is asked to look.

What this does not know: the insulation of what is bought.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from msgspec.structs import replace

from boardwright_timber.model import CostChoice
from boardwright_timber.reference.conductors import conductor

from .near import Need

WIRE = "wire-"
MOST = 2.0  # times the cross-section


def one_thickness(needs: Mapping[str, Need], currency: str) -> Iterator[CostChoice]:
    """What all such merges save together, the largest first; nothing where none saves."""
    left = {
        item: need
        for item, need in needs.items()
        if item.startswith(WIRE)
        and need.bought > 0
        and need.price is not None
        and need.price.currency in ("", currency)
    }
    told, saves = [], Decimal(0)
    while ways := [(saved, thin, thick) for thin, thick, saved in _ways(left)]:
        saved, thin, thick = max(ways)
        gone, kept = left.pop(thin), left[thick]
        left[thick] = replace(kept, bought=kept.bought + gone.bought)
        told.append(f"{thin} as {thick}")
        saves += saved
    if told:
        yield CostChoice(
            says=f"Wire of a colour in one thickness where two are bought: {', '.join(told)}. The thicker "
            "carries more; see that holes, plugs and terminals take it.",
            saves=saves,
        )


def _ways(needs: Mapping[str, Need]) -> Iterator[tuple[str, str, Decimal]]:
    for thin, one in needs.items():
        for thick, two in needs.items():
            if _colour(thin, one) == _colour(thick, two) and _area(one) < _area(two) <= MOST * _area(one):
                saved = one.cost + two.cost - replace(two, bought=two.bought + one.bought).cost
                if saved > 0:
                    yield thin, thick, saved


def _colour(item: str, need: Need) -> str:
    return item.removeprefix(need.first.priced_as)


def _area(need: Need) -> float:
    return conductor(need.first.priced_as.removeprefix(WIRE)).area_mm2
