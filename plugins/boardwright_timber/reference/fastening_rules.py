"""Rules for screws and bolts in wood by EN 1995-1-1: distances, pilot holes, strength of one, slip.

Claim: each function is one rule of the standard; every one says how well it was seen. N, mm, kg/m³.

Glossary
    a1, a2       distance between fasteners along and across the grain
    a3,t  a3,c   distance to a loaded and to an unloaded end
    a4,t  a4,c   distance to a loaded and to an unloaded edge
    alpha        angle of the force to the grain, degrees
    rho_k        characteristic density; rho_m mean density
    read, memory, read second-hand   as in ``materials``

What this does not know: panels' own edges (3 d unloaded in plywood, read second-hand), screws thicker than
6 mm in their root, densities above 500 without a pilot hole (not allowed there).
"""

from __future__ import annotations

import math

import msgspec


class Distances(msgspec.Struct, frozen=True, kw_only=True):
    """Least distances, mm."""

    a1_mm: float
    a2_mm: float
    a3_loaded_mm: float
    a3_unloaded_mm: float
    a4_loaded_mm: float
    a4_unloaded_mm: float


def screw_distances(
    d_mm: float, alpha_deg: float = 0.0, *, pilot: bool = True, rho_k: float = 350.0
) -> Distances:
    """Nails and screws up to 6 mm, Table 8.2 (read: a handbook and an open-source code agree).

    >>> screw_distances(4.0).a1_mm, screw_distances(4.0, pilot=False).a1_mm
    (20.0, 40.0)
    """
    c, s = math.cos(math.radians(alpha_deg)), math.sin(math.radians(alpha_deg))
    thin = d_mm < 5
    if pilot:
        row = (4 + abs(c), 3 + abs(s), 7 + 5 * c, 7.0, 3 + (2 if thin else 4) * s, 3.0)
    elif rho_k <= 420:
        row = (5 + (5 if thin else 7) * abs(c), 5.0, 10 + 5 * c, 10.0, 5 + (2 if thin else 5) * s, 5.0)
    else:
        row = (7 + 8 * abs(c), 7.0, 15 + 5 * c, 15.0, 7 + (2 if thin else 5) * s, 7.0)
    return _distances(row, d_mm)


def bolt_distances(d_mm: float, alpha_deg: float = 0.0) -> Distances:
    """Bolts, Table 8.4 (M8 and M12 columns read)."""
    c, s = math.cos(math.radians(alpha_deg)), math.sin(math.radians(alpha_deg))
    ends = (4 + abs(c), 4.0, max(7.0, 80 / d_mm), max(1 + 6 * s, 4.0), max(2 + 2 * s, 3.0), 3.0)
    return _distances(ends, d_mm)


def _distances(row: tuple[float, ...], d_mm: float) -> Distances:
    a1, a2, a3t, a3c, a4t, a4c = (round(n * d_mm, 6) for n in row)
    return Distances(
        a1_mm=a1, a2_mm=a2, a3_loaded_mm=a3t, a3_unloaded_mm=a3c, a4_loaded_mm=a4t, a4_unloaded_mm=a4c
    )


def pilot_needed_below_mm(d_mm: float, rho_k: float) -> float:
    """Thinner timber is drilled first: max(7 d, (13 d - 30)·rho_k/400), 8.3.1.2(6) (read second-hand).

    >>> pilot_needed_below_mm(4.0, 350.0)
    28.0
    """
    return max(7 * d_mm, (13 * d_mm - 30) * rho_k / 400)


def effective_number(n: int, a1_mm: float, d_mm: float) -> float:
    """How many bolts of a row along the grain count, (8.34) (read second-hand)."""
    return min(float(n), float(n**0.9 * (a1_mm / (13 * d_mm)) ** 0.25))


def yield_moment_nmm(d_mm: float, f_u: float) -> float:
    """Of a round fastener: 0.3 f_u d^2.6, (8.30) (read second-hand)."""
    return float(0.3 * f_u * d_mm**2.6)


def bolt_embedment(d_mm: float, rho_k: float, alpha_deg: float = 0.0, *, plywood: bool = False) -> float:
    """N/mm² under a bolt: timber (8.31, 8.32, softwood), plywood (8.36) at any angle (read second-hand)."""
    if plywood:
        return 0.11 * (1 - 0.01 * d_mm) * rho_k
    along = 0.082 * (1 - 0.01 * d_mm) * rho_k
    s2 = math.sin(math.radians(alpha_deg)) ** 2
    return along / ((1.35 + 0.015 * d_mm) * s2 + 1 - s2)


def slip_n_mm(d_mm: float, rho_m: float) -> float:
    """K_ser of a bolt, screw or dowel in a shear plane: rho_m^1.5·d/23, Table 7.1 (read second-hand).

    ``rho_m`` of two woods: the root of their product.
    """
    return float(rho_m**1.5 * d_mm / 23)


def sanded_limits_mm(thickness_mm: float) -> tuple[float, float]:
    """How much more and less a sanded sheet may measure, EN 315 (formula: memory; a mill's table agrees).

    >>> sanded_limits_mm(18.0)
    (0.74, -0.94)
    """
    return round(0.2 + 0.03 * thickness_mm, 6), round(-(0.4 + 0.03 * thickness_mm), 6)
