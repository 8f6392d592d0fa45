"""Near sizes from one box: a screw or bolt bought a little longer, where another size is bought anyway.

Rule (common practice, no source): same kind and diameter, longer by at most ``share_boxes_mm``, no longer
than the wood allows, and it costs less. Each size is bought as itself or as one other.

Glossary
    need    what is wanted of one item, what of it is bought, and its price
    covers  a line of the bill that is bought for other items too

What this does not know: two sizes bought as a third that nothing asks for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

import msgspec
from msgspec.structs import replace

from boardwright import Notes, Place
from boardwright_timber.model import HardwareLine

from .packs import cents, cheapest_lengths, cheapest_packs, up
from .settings import CostingSettings, Price

SHARED = ("screw-", "bolt-", "hex-bolt-")


class Need(msgspec.Struct, frozen=True):
    """``bought`` is what is not owned, spares included. ``covers``: other items, how many of each.
    ``pieces``: what it is sawn to, with ``kerf_mm`` between them."""

    first: HardwareLine
    needed: Decimal
    owned: Decimal
    bought: Decimal
    price: Price | None
    at_most_mm: float = 0.0
    covers: tuple[tuple[str, Decimal], ...] = ()
    pieces: tuple[tuple[float, int], ...] = ()
    kerf_mm: float = 0.0

    @property
    def packs(self) -> tuple[int, str, Decimal]:
        """Number, name and price of the packs to buy."""
        assert self.price is not None
        if self.pieces and self.bought:
            return cheapest_lengths(self.pieces, self.kerf_mm, float(self.owned), self.price)
        return cheapest_packs(self.bought, self.price)

    @property
    def cost(self) -> Decimal:
        packs, _, each = self.packs
        return packs * cents(each)

    @property
    def by_the_box(self) -> bool:
        """It is priced, and sold several together."""
        return self.price is not None and (self.price.holds > 1 or self.price.smaller is not None)


def shared(needs: Mapping[str, Need], settings: CostingSettings, notes: Notes) -> dict[str, Need]:
    """The needs with near sizes put together where that saves; what saves most comes first."""
    left = dict(needs)
    while True:
        ways = [(saves, short, long) for short, long, saves in _ways(left, settings.share_boxes_mm)]
        if not ways:
            return left
        saves, short, long = max(ways, key=lambda w: (w[0], w[1], w[2]))
        gone, kept = left.pop(short), left[long]
        left[long] = replace(
            kept, bought=kept.bought + gone.bought, covers=(*kept.covers, (short, gone.bought))
        )
        currency = (kept.price.currency if kept.price else "") or settings.currency
        notes.note(
            "BW-COST-007",
            f"{short} ({up(gone.needed)} needed) is bought as {long}, which is needed too: that saves "
            f"{saves} {currency}.",
            Place(key="costing.share_boxes_mm", item=short),
            "Use the longer ones there; the wood is deep enough. costing.share_boxes_mm = 0 buys each size.",
        )


def _ways(needs: Mapping[str, Need], within_mm: float) -> Iterator[tuple[str, str, Decimal]]:
    """(item, item it may be bought as, what that saves), in name order."""
    for short in sorted(needs):
        if not short.startswith(SHARED):
            continue
        kind, _, length = short.rpartition("x")
        one = needs[short]
        for long in sorted(needs):
            same, _, more = long.rpartition("x")
            two = needs[long]
            fits = (
                same == kind
                and float(length) < float(more) <= min(float(length) + within_mm, one.at_most_mm)
                and not one.covers
                and one.bought > 0
                and two.bought > 0
                and one.by_the_box
                and two.by_the_box
                and one.price is not None
                and two.price is not None
                and one.price.currency == two.price.currency
            )
            if fits:
                saves = one.cost + two.cost - replace(two, bought=two.bought + one.bought).cost
                if saves > 0:
                    yield short, long, saves
