"""What must stay in one piece: what stands so close together that no joint passes between.

Claim: a joint keeps the free distance from everything in its way, so whatever joints are made, all that lies
within free distances that run into one another lies on one board. Where that is larger or heavier than a
board may be, nothing parts the stretch, and no search is needed to know it.

What this does not know: stretches that nothing parts for another reason; the search finds those.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from .directions import Array
from .keepaway import KeepAway
from .piece import FIT_MM, Piece, extents
from .settings import SplittingSettings
from .worth import GRAM_KG

ANGLES = 1800  # rectangles tried in a quarter turn
SURELY_MM = 1e-3  # a joint this much nearer than the free distance is surely too near


def surely_stuck(piece: Piece, settings: SplittingSettings, keep_away: KeepAway) -> bool:
    """Is there something on the piece that no joint parts, and no board can hold?"""
    near = [b.clear_mm for b in keep_away.near(piece)]
    area = shapely.Polygon(piece.rings[0], piece.rings[1:])
    if not near or not area.is_valid:
        return False
    kept = keep_away.kept_whole(SURELY_MM)
    lumps = shapely.get_parts(shapely.intersection(kept, area))
    return any(not _may_fit(lump, settings) for lump in lumps if shapely.area(lump) > 0)


def _may_fit(lump: shapely.Polygon, settings: SplittingSettings) -> bool:
    """Could a board hold it? False only where no rectangle of a board's size does, however it is turned."""
    hull = shapely.convex_hull(lump)
    if settings.max_mass_kg is not None:
        kg = settings.thought_kg(float(lump.area), float(hull.length))
        if kg > settings.max_mass_kg + GRAM_KG:
            return False
    points = shapely.get_coordinates(hull)[:-1]
    step = math.pi / 2 / ANGLES
    # between two angles tried an extent is less by no more than the longest way across times half the step
    slack = FIT_MM + math.hypot(*np.ptp(points, axis=0)) * step / 2
    angles: Array = np.linspace(0.0, math.pi / 2, ANGLES + 1)
    along, across = extents(points, angles), extents(points, angles + math.pi / 2)
    long, short = settings.box_mm
    longer, shorter = np.maximum(along, across), np.minimum(along, across)
    return bool(np.any((longer <= long + slack) & (shorter <= short + slack)))
