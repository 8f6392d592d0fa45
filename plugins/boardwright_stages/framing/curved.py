"""Strips bent round the curved edges of a board, in front of its straight members: length, layers, kerfs.

Claim: every curve of a deck's edge is told with its length and mean radius (length over the angle it turns).
A laminated strip is as many layers as its thickness asks for, each thin enough to bend: radius at least
BEND_RATIO times its thickness (judgement). A kerfed strip of thickness t keeps a skin s; a kerf k wide closes
when it has turned by k / (t - s), so kerfs stand radius × k / (t - s) apart (arithmetic).

What this does not know: the sheets they come out of (they are in no cutting plan), steaming, your ply.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from boardwright.plan.model import Ring

from .edges import Traced, trace

LAYER_MM = 3.0
SKIN_MM = 2.0
KERF_MM = 3.0
BEND_RATIO = 60.0
SPARE_MM = 50.0
LEAST_TURN_DEG = 10.0


class Curve(NamedTuple):
    """One curve of an edge; ``turn_deg`` above 0: it bulges outwards."""

    length_mm: float
    turn_deg: float

    @property
    def radius_mm(self) -> float:
        return self.length_mm / math.radians(abs(self.turn_deg))


def curves(ring: Ring) -> list[Curve]:
    """The curves of a ring (deck on the left of travel), each a run of short pieces that turn one way."""
    traced = trace(ring)
    n = len(ring)
    starts = [k for k in range(n) if _bends(traced, k) and not _bends(traced, (k - 1) % n)]
    found = []
    for first in starts or ([0] if all(_bends(traced, k) for k in range(n)) else []):
        run = [first]
        while len(run) < n and _bends(traced, (run[-1] + 1) % n):
            run.append((run[-1] + 1) % n)
        pieces = [(run[0] - 1) % n, *run] if len(run) < n else run
        # a curve drawn in n pieces bends at n - 1 of them, and half as much more at either end
        turn = sum(traced.turns[k] for k in run) * len(pieces) / len(run)
        curve = Curve(sum(traced.lengths[k] for k in pieces), turn)
        if abs(curve.turn_deg) >= LEAST_TURN_DEG:
            found.append(curve)
    return found


def _bends(traced: Traced, k: int) -> bool:
    """Whether vertex k is a bend of a curve."""
    return abs(traced.turns[k]) > 1e-6 and not traced.sharp(k)


def kerf_spacing_mm(radius_mm: float, thickness_mm: float) -> float:
    """Distance between kerfs that close when the strip has this radius at its skin.

    >>> round(kerf_spacing_mm(400.0, 12.0), 1)    # 400 · 3 / 10
    120.0
    """
    return radius_mm * KERF_MM / (thickness_mm - SKIN_MM)


def told(curve: Curve, how: str, thickness_mm: float, depth_mm: float) -> str:
    """One curve in a builder's words."""
    size = f"{curve.length_mm:.0f} mm long, radius {curve.radius_mm:.0f}"
    if how == "laminated":
        layers = math.ceil(thickness_mm / LAYER_MM - 1e-9)
        loose = curve.radius_mm >= BEND_RATIO * LAYER_MM
        tight = "" if loose else f", too tight for {LAYER_MM:g} mm layers dry: take thinner"
        return (
            f"{size}: {layers} layers of {LAYER_MM:g} × {depth_mm:g}, cut "
            f"{curve.length_mm + SPARE_MM:.0f} long{tight}"
        )
    apart = kerf_spacing_mm(curve.radius_mm, thickness_mm)
    kerfs = max(1, math.ceil(curve.length_mm / apart))
    return f"{size}: a strip of {thickness_mm:g} × {depth_mm:g} with {kerfs} kerfs {apart:.0f} apart"
