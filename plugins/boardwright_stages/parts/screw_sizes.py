"""Which screw a butt joint gets, chosen from how thick its two members really are.

Claims, with their sources:
    diameter   at most a third of the strip whose end it enters: common practice, no source. 4 mm at most in
               sheet; 5 mm in strips of 25 mm and more, which are solid timber as a rule
    length     through the first member and 9 diameters into the second, the next length sold: common
               practice, no source (4 × 50 in 12 mm strips)
    pilot      0.7 × the screw's diameter, EN 1995-1-1 10.4.5 (memory), to the nearest half millimetre
    from edge  3 diameters at least: unloaded edge, predrilled, EN 1995-1-1 Table 8.2 (read)
    apart      4 diameters at least between two screws across the strip: (3 + sin α) d at α = 90°, predrilled,
               same table (read)

Not kept: the same table wants 7 diameters (3 in plywood) to the end of a strip, and 3 on either side of a
screw in an edge. No corner of a box in thin strips can give that: half a thickness is all there is. Hence
the pilot hole against splitting, and the glue that carries the joint.

What this does not know: loads; a published rule gives a screw in end grain no strength in withdrawal.
"""

from __future__ import annotations

import math

import msgspec

# Diameters and lengths wood screws are sold in, mm: memory.
SOLD_DIAMETERS_MM = (3.0, 3.5, 4.0, 5.0)
SOLD_LENGTHS_MM = (16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120)
THIRD = 3.0
STOUT_MM = 25.0
MOST_IN_SHEET_MM = 4.0
INTO_DIAMETERS = 9.0
LEAST_INTO_DIAMETERS = 6.0  # where the longest screw sold is too short for 9: EN 1995-1-1 8.7.2 (memory)
PILOT_SHARE = 0.7
DRILL_STEP_MM = 0.5
EDGE_DIAMETERS = 3.0
APART_DIAMETERS = 4.0


class Screw(msgspec.Struct, frozen=True):
    """A wood screw. ``str`` of it is what the drilling note and the shopping list call it."""

    diameter_mm: float
    length_mm: float

    def __str__(self) -> str:
        return f"{self.diameter_mm:g} × {self.length_mm:g}"

    @property
    def pilot_mm(self) -> float:
        return round(self.diameter_mm * PILOT_SHARE / DRILL_STEP_MM) * DRILL_STEP_MM

    @property
    def from_edge_mm(self) -> float:
        return self.diameter_mm * EDGE_DIAMETERS

    @property
    def apart_mm(self) -> float:
        return self.diameter_mm * APART_DIAMETERS


def screw_for(through_mm: float, butting_mm: float, skew_deg: float = 0.0) -> Screw | None:
    """The screw for a strip of ``butting_mm`` against one of ``through_mm``; None: nothing sold will do.

    >>> str(screw_for(12, 12))    # a third of 12 is 4; 12 + 9 × 4 = 48
    '4 × 50'
    """
    most = butting_mm / THIRD if butting_mm >= STOUT_MM else min(butting_mm / THIRD, MOST_IN_SHEET_MM)
    diameter = max((d for d in SOLD_DIAMETERS_MM if d <= most + 1e-9), default=None)
    if diameter is None:
        return None
    wood = through_mm / math.cos(math.radians(skew_deg))
    wanted = wood + INTO_DIAMETERS * diameter
    length = next((n for n in SOLD_LENGTHS_MM if n >= wanted - 1e-9), SOLD_LENGTHS_MM[-1])
    if length - wood < LEAST_INTO_DIAMETERS * diameter:
        return None
    return Screw(diameter, float(length))


def heights(depth_mm: float, usual_from_edge_mm: float, screw: Screw) -> tuple[float, ...]:
    """Heights of the screws below the top of a joint ``depth_mm`` deep: two, one in the middle, or none.

    >>> heights(90, 30, Screw(4.0, 50.0))
    (-30.0, -60.0)
    """
    if depth_mm < 2 * screw.from_edge_mm:
        return ()
    if depth_mm < 2 * screw.from_edge_mm + screw.apart_mm:
        return (-depth_mm / 2,)
    edge = max(min(usual_from_edge_mm, depth_mm / 3, (depth_mm - screw.apart_mm) / 2), screw.from_edge_mm)
    return (-edge, -depth_mm + edge)
