"""Posts under a narrow deck make way for a fishplate on their side, where it could not be butted otherwise.

Claim: a side too long for the stock that has room for no plate WELL_DEPTHS long gets one where only posts
stand X
then keeps its limits as well as before: joists beside the seam carry it. Else plates down to LEAST_DEPTHS.

What this does not know: that posts could move along their side.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from boardwright_timber.model import Member, MemberRole

from .lengths import LEAST_DEPTHS, WELL_DEPTHS, Lengths
from .narrow import Carried, Narrow

SQUARE = 1e-3  # of a direction
TOUCH_MM = 0.1


def carried_with_room(
    under: Narrow,
    like: Member,
    frame: Sequence[Member],
    joists: Sequence[Member],
    butted: Callable[[Sequence[Member], float], Lengths],
) -> Carried:
    """How a narrow deck is carried; ``butted``: how strips are made of several lengths among what stands on
    and between joists, with plates so many depths long at least."""
    carried = under.carried(like, frame, joists)
    for least in (WELL_DEPTHS, LEAST_DEPTHS):
        whole = butted(carried.standing, least).whole
        if not whole:
            return carried
        rest = [m for m in carried.standing if not any(_post_on(m, each.member) for each in whole)]
        plates = butted(rest, least).plates
        other = under._replace(plates=plates).carried(like, frame, joists)
        before, after = (under.worst((*frame, *joists, *c.standing)) for c in (carried, other))
        if after <= max(before, 1.0) and len(butted(other.standing, least).whole) < len(whole):
            return other
    return carried


def _post_on(riser: Member, side: Member) -> bool:
    import shapely

    (ax, ay), (bx, by) = riser.direction, side.direction
    if riser.role is not MemberRole.RISER or abs(ax * by - ay * bx) > SQUARE:
        return False
    return bool(shapely.Polygon(riser.outline).distance(shapely.Polygon(side.outline)) <= TOUCH_MM)
