"""Which way an end that mates with the next module faces.

What this does not know: what stands at it.
"""

from __future__ import annotations

from boardwright_timber.model import Joint


def hand_of(joint: Joint) -> int:
    """1 for an end that faces right, -1 for one that faces left; straight up is right, straight down left."""
    dx, dy = joint.end[0] - joint.start[0], joint.end[1] - joint.start[1]
    return 1 if (round(dy, 6), round(-dx, 6)) > (0.0, 0.0) else -1  # the board lies on the left of the line
