"""What holds a board's battens to the wall: anchors, placed and counted.

Claim: every batten gets an anchor near each of its ends and others between, evenly, never further apart than
``supports.anchor_spacing_mm``, in the middle of its height.

Spacing, sizes and the distance to the ends: common practice, no source. Whether an anchor holds is for the
wall, local codes and a competent person: no load of an anchor is reckoned here.

What this does not know: what the wall is made of, where its studs, pipes and cables are, and the screws that
come up through the batten into the frame (anchors go between them).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardwright import Notes, Place
from boardwright_timber.model import Board, Frame, WallAnchor

from ..strength.settings import BATTEN_MM, SupportSettings


def anchors_along(length_mm: float, settings: SupportSettings) -> tuple[float, ...]:
    """Places along a batten, from its start.

    >>> anchors_along(1200, SupportSettings())   # 1200 - 2 × 50 = 1100, in ceil(1100 / 400) = 3 gaps
    (50.0, 416.666667, 783.333333, 1150.0)
    """
    first = min(settings.anchor_from_end_mm, length_mm / 4)
    apart = length_mm - 2 * first
    gaps = max(1, math.ceil(apart / settings.anchor_spacing_mm - 1e-9))
    return tuple(round(first + apart * n / gaps, 6) for n in range(gaps + 1))


def wall_anchors(board: Board, frame: Frame, settings: SupportSettings, notes: Notes) -> Iterator[WallAnchor]:
    """Anchors of all battens of one board, batten by batten; they stand under the frame."""
    battens = settings.battens.get(board.id, ())
    under = min((m.bottom_mm for m in frame.members), default=0.0)
    number = 0
    for batten, (a, b) in enumerate(battens, 1):
        length = math.dist(a, b)
        for along in anchors_along(length, settings) if length else ():
            number += 1
            share = along / length
            x, y = board.to_plan((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
            yield WallAnchor(
                id=f"{board.id}-A{number}",
                batten=batten,
                along_mm=along,
                x_mm=round(x, 6),
                y_mm=round(y, 6),
                z_mm=round(under - BATTEN_MM / 2, 6),
                screw=settings.anchor_screw,
                plug=settings.anchor_plug,
            )
    if number:
        notes.note(
            "BW-JOINT-013",
            f"Board {board.id} is held to the wall by {number} anchors, counted by a rule of thumb: nothing "
            "says that they hold in your wall.",
            Place(board=board.id),
            "Find out what the wall is made of and what runs in it, choose screws and plugs that are made "
            "for it ([supports] anchor_screw, anchor_plug), and follow local codes and a competent person.",
        )
