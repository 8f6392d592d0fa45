"""A board in the hands of those who carry it: held at its two ends, or lifted at one while the other stands.

Claim: either way it is one beam from end to end, under all that stays on it (its own mass and the layout's
allowance) times JOLT. At every station it is as stiff as the members that pass there together, E·I·cos³ of
their angle to the board's length (they bend as one: the deck keeps them from turning over); the sag is M / EI
summed up twice. Each member takes the bending that its stiffness draws. No creep: it does not last; strength
with k_mod for a short load.

Glossary
    station  a place along the board's own length

What this does not know: twist, as when one corner alone is lifted; corners that stand out aside; boards on
edge or turned over, knocks on door frames, and backs: lift with help, by local guidance on handling.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from boardwright.plan.model import Point
from boardwright_timber.model import Member
from boardwright_timber.reference import strength_row

from .grillage import Array
from .net import Net
from .settings import StrengthSettings
from .skins import k_crit
from .sums import LASTING, usable

JOLT = 1.5  # steps, stairs and setting down: judgement, no source
STATIONS = 201
ENDS = 0.03  # this share of the length at each end lies in the hands


class Handled(NamedTuple):
    """Sag (mm) at a station, and the worst use of bending strength with the beam of the net it is in;
    ``bends``: that of each beam."""

    sag_mm: float
    at: Point
    use: float
    beam: int
    bends: Array


def handled(
    net: Net, members: tuple[Member, ...], lasting: Array, settings: StrengthSettings
) -> Handled | None:
    """None: nothing runs along the board from end to end."""
    points = np.array(net.points)
    low, high = points[:, 0].min(), points[:, 0].max()
    at = np.linspace(low, high, STATIONS)
    starts, ends = points[[b.start for b in net.beams]], points[[b.end for b in net.beams]]
    runs = ends - starts
    cosine = np.abs(runs[:, 0]) / np.hypot(*runs.T)
    first, last = np.minimum(starts[:, 0], ends[:, 0]), np.maximum(starts[:, 0], ends[:, 0])
    passes = (first[None] - 1e-6 <= at[:, None]) & (at[:, None] < last[None])
    bending = np.array([b.bending for b in net.beams])
    own = bending * cosine**3
    stiff = (passes * own[None]).sum(axis=1)
    inner = slice(int(ENDS * STATIONS), STATIONS - int(ENDS * STATIONS))
    if stiff[inner].min() <= 0:
        return None
    stiff[: inner.start], stiff[inner.stop :] = stiff[inner.start], stiff[inner.stop - 1]
    moments = _moments(at, points[:, 0], JOLT * lasting)
    bent = moments / stiff
    step = at[1] - at[0]
    slope = np.concatenate(([0.0], np.cumsum((bent[1:] + bent[:-1]) / 2) * step))
    down = np.concatenate(([0.0], np.cumsum((slope[1:] + slope[:-1]) / 2) * step))
    sag = np.abs(down[-1] * (at - low) / (high - low) - down)
    k = int(np.argmax(np.round(sag, 9)))
    strengths = np.array(
        [
            usable(m.material, settings, "short")
            * (k_crit(m) * strength_row(m.material, m.sheet_mm).edgewise_bending_n_mm2)
            for m in members
        ]
    )[[piece.member for piece in net.pieces]]
    most = np.where(passes[inner], np.abs(bent[inner])[:, None], 0.0).max(axis=0) * cosine**2
    moduli = np.array([piece.modulus_mm3 for piece in net.pieces])
    uses = LASTING * most * bending / moduli / strengths
    worst = int(np.argmax(np.round(uses, 9)))
    middle = float(points[:, 1].mean())
    return Handled(float(sag[k]), (float(at[k]), middle), float(uses[worst]), worst, uses)


def _moments(at: Array, xs: Array, loads: Array) -> Array:
    """Bending of a beam held at both ends under point loads, N·mm."""
    low, high = at[0], at[-1]
    left = (loads * (high - xs)).sum() / (high - low)
    pushed = (loads[None] * np.maximum(at[:, None] - xs[None], 0.0)).sum(axis=1)
    found: Array = left * (at - low) - pushed
    return found
