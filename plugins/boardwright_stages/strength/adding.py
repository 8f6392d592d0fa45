"""Single legs that stand by themselves under the places of a frame that give most.

Claim: the legs are those that working out the whole frame anew after each one would choose. A leg more that
does not sink takes from every sag what its own push makes there, s_ij - s_in·s_nj / s_nn (statics: the push
that keeps place n where it is), so the frame is solved once for several legs. Where what was summed up could
have been rounded the other way the frame is solved anew.

What this does not know: legs that sink, and two legs that would hold more than one after the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from boardwright.plan.model import Ring
from boardwright_timber.geometry import sides
from boardwright_timber.model import Member

from .grillage import Array
from .net import Net
from .settings import StrengthSettings, SupportSettings
from .sums import FrameFigures, frame_figures, hand_sags, lasting_sags, most_creep, rounded

TRUSTED = 1e-11  # of the largest sag: what summing up may be off (measured: less than 2e-12)


def most_added(supports: SupportSettings, wells: Iterable[Ring], edge_sides: int = 4) -> int:
    """How many single legs may be added under a board with these wells and so many sides.

    A corner between two sides (where a round edge is built of short ones, say) gives like a hinge, however
    stiff it is made: bending has to go on as twist there, and a thin strip twists (``docs/strength.md``). It
    may need a leg of its own: one for each side, ends counted, more than four (common practice, no source).
    On girders the two sides along the board, which are not there, count among the four.

    >>> square = ((0, 0), (0, 500), (500, 500), (500, 0))
    >>> most_added(SupportSettings(), []), most_added(SupportSettings(), [square])   # 4, 4 + 2000 / 200
    (4, 14)
    >>> most_added(SupportSettings(), [], 12)   # 4 + 12 - 4
    12
    """
    if not supports.most_added:
        return 0
    most = supports.most_added + max(edge_sides - 4, 0)
    if not supports.well_leg_every_mm:
        return most
    edge = sum(math.dist(a, b) for well in wells for a, b in sides(well))
    return most + math.floor(edge / supports.well_leg_every_mm + 1e-9)


def added_legs(
    net: Net,
    members: tuple[Member, ...],
    supports: list[int],
    lasting: Array,
    settings: StrengthSettings,
    most: int,
    above: Array | None = None,
) -> tuple[list[int], FrameFigures | None]:
    """Nodes for single legs more: under the place that gives most, one by one, until the limits are kept; and
    the frame's figures on all of them, where they were worked out."""
    added: list[int] = []
    sags: Array | None = None
    slack = 0.0
    creep = most_creep(members, settings)
    while len(added) < most:
        if sags is None or (at := gives_most(sags, slack, creep, settings)) is None:
            found = frame_figures(net, members, [*supports, *added], lasting, settings, above)
            at = worst_place(net, found, [*supports, *added], settings)
            if at is None:
                return added, found
            sags, slack = found.sags, TRUSTED * float(np.abs(found.sags).max())
        added.append(at)
        sags = with_leg(sags, at)
    return added, None


def worst_place(net: Net, found: FrameFigures, under: list[int], settings: StrengthSettings) -> int | None:
    """Where one more leg is to stand; None: all limits are kept, or no leg helps."""
    if found.hand.value > settings.hand_sag_mm:
        return found.hand.at
    if found.sag.value > settings.frame_sag_mm:
        return found.sag.at
    start = net.beams[found.bending.at].start
    return start if found.bending.value > 1 and start not in under else None


def with_leg(sags: Array, at: int) -> Array:
    """Sags under what lasts and under a hand on each node (columns) once node ``at`` does not sink."""
    left: Array = sags - np.outer(sags[:, 1 + at], sags[at] / sags[at, 1 + at])
    return left


def gives_most(sags: Array, slack_mm: float, creep: float, settings: StrengthSettings) -> int | None:
    """The node that sags farthest over a limit, by sags so far off at most; None: it cannot be told."""
    for values, slack, limit in (
        (hand_sags(sags), slack_mm, settings.hand_sag_mm),
        (np.abs(lasting_sags(sags, creep, settings)), (1 + 2 * creep) * slack_mm, settings.frame_sag_mm),
    ):
        least, most = rounded(values - slack), rounded(values + slack)
        at = int(np.argmax(least))
        if most.max() <= limit:
            continue
        clear = bool((most[:at] < least[at]).all() and (most[at + 1 :] <= least[at]).all())
        return at if clear and least[at] > limit else None
    return None
