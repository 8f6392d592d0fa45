"""Sums of beams: a strip over several supports, sag that grows with time, parts glued or screwed together.

Claim: elastic sums for small sags, checked against published values in ``tests/published/test_beams.py``.

Glossary
    strip    a beam of one stiffness running over supports that do not sink; N/mm, mm, N·mm
    sag      deflection down, mm
    sagging  a bending moment that stretches the underside: positive; over a support it is negative

What this does not know: sinking supports, shear, holes, point loads, frames.
"""

from __future__ import annotations

import math
from typing import NamedTuple

STEPS = 32  # points looked at in a span; a parabola through the deepest three finds it to a millionth or so


class Strip(NamedTuple):
    """What a loaded strip does: moments at supports (N·mm), reactions (N), deepest sag of each span (mm)."""

    moments_nmm: tuple[float, ...]
    reactions_n: tuple[float, ...]
    sags_mm: tuple[float, ...]


def strip(spans_mm: tuple[float, ...], loads_n_mm: tuple[float, ...], stiffness_nmm2: float) -> Strip:
    """A strip under an even load in each span, by the three-moment equation (Clapeyron); ends free to turn.

    Raises ``ValueError`` when there is no span, a load is missing or a length or stiffness is not positive.
    """
    if not spans_mm or len(spans_mm) != len(loads_n_mm) or min(*spans_mm, stiffness_nmm2) <= 0:
        raise ValueError("A strip needs spans and stiffness above zero, and a load for each span.")
    moments = _support_moments(spans_mm, loads_n_mm)
    reactions = [0.0] * len(moments)
    sags = []
    for i, (length, load) in enumerate(zip(spans_mm, loads_n_mm, strict=True)):
        left, right = moments[i], moments[i + 1]
        tilt = (right - left) / length
        reactions[i] += load * length / 2 + tilt
        reactions[i + 1] += load * length / 2 - tilt
        sags.append(_deepest(length, load, left, right))
    return Strip(tuple(moments), tuple(reactions), tuple(sag / stiffness_nmm2 for sag in sags))


def _support_moments(spans: tuple[float, ...], loads: tuple[float, ...]) -> list[float]:
    """Moments over all supports, zero at the ends; the tridiagonal system swept once each way."""
    over: list[float] = []
    value: list[float] = []
    for i in range(len(spans) - 1):
        a, b = spans[i], spans[i + 1]
        pull = -(loads[i] * a**3 + loads[i + 1] * b**3) / 4
        before, got = (over[-1], value[-1]) if over else (0.0, 0.0)
        pivot = 2 * (a + b) - a * before
        over.append(b / pivot)
        value.append((pull - a * got) / pivot)
    moments = [0.0]
    for share, got in zip(reversed(over), reversed(value), strict=True):
        moments.append(got - share * moments[-1])
    return [0.0, *reversed(moments)]


def _deepest(length: float, load: float, left: float, right: float) -> float:
    """The greatest sag of a span, times stiffness."""
    step = length / STEPS
    found = [_sag(k * step, length, load, left, right) for k in range(STEPS + 1)]
    k = found.index(max(found))
    if k in (0, STEPS):
        return found[k]
    bend = found[k - 1] - 2 * found[k] + found[k + 1]
    aside = (found[k - 1] - found[k + 1]) / (2 * bend) if bend else 0.0
    return max(found[k], _sag((k + aside) * step, length, load, left, right))


def _sag(x: float, length: float, load: float, left: float, right: float) -> float:
    """Sag times stiffness at ``x`` of one span: even load and the two end moments, added."""
    even = load * x * (length**3 - 2 * length * x**2 + x**3) / 24
    turned = left * x * (length - x) * (2 * length - x) + right * x * (length**2 - x**2)
    return even + turned / (6 * length)


def final_sag_mm(permanent_mm: float, variable_mm: float, k_def: float, psi_2: float) -> float:
    """Sag after creep: G·(1 + k_def) + Q·(1 + ψ2·k_def), EN 1995-1-1 2.2.3 with the leading load alone."""
    return permanent_mm * (1 + k_def) + variable_mm * (1 + psi_2 * k_def)


class Flat(NamedTuple):
    """A rectangle of one material in a built-up section: width and depth in mm, E in N/mm²."""

    width_mm: float
    depth_mm: float
    modulus_n_mm2: float


def built_up_stiffness_nmm2(top: Flat, rib: Flat, span_mm: float, slip_n_mm2: float = math.inf) -> float:
    """EI of a top on a rib, N·mm², EN 1995-1-1 Annex B (from memory; the γ form seen second-hand).

    ``slip_n_mm2`` is stiffness of the fasteners over their spacing, K/s; infinite: glued all along.
    """
    top_ea = top.modulus_n_mm2 * top.width_mm * top.depth_mm
    rib_ea = rib.modulus_n_mm2 * rib.width_mm * rib.depth_mm
    gamma = 1 / (1 + math.pi**2 * top_ea / (slip_n_mm2 * span_mm**2))
    apart = (top.depth_mm + rib.depth_mm) / 2
    rib_arm = gamma * top_ea * apart / (gamma * top_ea + rib_ea)
    own = sum(part.modulus_n_mm2 * part.width_mm * part.depth_mm**3 / 12 for part in (top, rib))
    return own + gamma * top_ea * (apart - rib_arm) ** 2 + rib_ea * rib_arm**2
