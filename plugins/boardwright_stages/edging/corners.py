"""How two strips meet at a corner of the edge: how far each reaches past it, at its inner and outer face.

Claim: both are sawn so that they touch all along and neither stands in the other's place.

Glossary
    turn     of the edge at the corner, degrees; positive: an outer corner
    past     the strip that runs past the other: at an outer corner its end covers the other's end, at an
             inner one it reaches the board's edge and the other ends at its face
    ext      (at the inner face, at the outer face): how far a strip ends beyond the corner; negative: before

Corners that turn by less than MITRE_BELOW_DEG are mitred: each end half the turn off square. At sharper ones
a strip runs past the other: a thin mitre of 45 degrees is easily bruised (common practice, no source), and
the front shows no end grain. A bent strip is cut square, and so are two of different thickness that would be
mitred.
"""

from __future__ import annotations

import math
from typing import NamedTuple

MITRE_BELOW_DEG = 75.0
STEEPEST_DEG = 45.0  # no saw tilts farther (common practice, no source)


class Ext(NamedTuple):
    inner: float
    outer: float

    @property
    def square(self) -> Ext:
        """As far as both faces go, cut square."""
        least = min(self)
        return Ext(least, least)


class Strip(NamedTuple):
    thick: float
    straight: bool


SQUARE = Ext(0.0, 0.0)


def meeting(turn_deg: float, past: Strip, other: Strip) -> tuple[Ext, Ext]:
    """The end of what runs past, then of what meets it.

    >>> meeting(90.0, Strip(4.0, True), Strip(6.5, True))        # outer: one covers the other's end
    (Ext(inner=6.5, outer=6.5), Ext(inner=0.0, outer=-0.0))
    """
    turn, thickest = math.radians(abs(turn_deg)), max(past.thick, other.thick)
    if abs(turn_deg) < MITRE_BELOW_DEG:
        half = Ext(0.0, math.copysign(thickest * math.tan(turn / 2), turn_deg))
        mitred = past.straight and other.straight and past.thick == other.thick
        both = half if mitred else half.square
        return both, both
    sine, cosine = math.sin(turn), math.cos(turn)
    bevelled = abs(90.0 - abs(turn_deg)) <= STEEPEST_DEG
    if turn_deg > 0:
        over = other.thick / sine if bevelled else other.thick
        first, second = Ext(over, over), Ext(0.0, -other.thick * cosine / sine)
    else:
        first = Ext(0.0, past.thick * cosine / sine)
        second = Ext(-past.thick / sine, -(past.thick - other.thick * cosine) / sine)
    return (
        first if past.straight and bevelled else first.square,
        second if other.straight and bevelled else second.square,
    )


def alone(turn_deg: float, thick: float) -> Ext:
    """A strip that ends at a corner behind which there is none: square, clear of the edge beyond."""
    if turn_deg > -90.0:
        return SQUARE
    turn = math.radians(-turn_deg)
    return Ext(0.0, thick * math.cos(turn) / math.sin(turn)).square
