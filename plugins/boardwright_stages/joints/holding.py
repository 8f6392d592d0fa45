"""How many bolts hold a joint, and in how many rows: by its length, by the moment on it, by its depth.

Claim: the bolts asked for bear the moment of a hand that leans on the joint, with the layout and the frame
about it, though nothing else held the boards together between their nearest legs:

    span a + b from leg to leg, w on every millimetre, P at the joint:  M = (P + w (a + b) / 2) a b / (a + b)

The ends press together along their top edges; a bolt h below them pulls with the lever h, one that is nearer
to the edge in proportion less: with n bolts in each row, M ≤ n T Σ h² / h_max. What one bolt may pull, T, is
the least of its steel and of the wood under its washer or head.

Sources: pressure under a washer 3 f_c,90,k (EN 1995-1-1 8.5.2, read) with f_c,90,k = 2.5 N/mm² (C24, EN 338,
read; plywood bears more), k_mod 0.9 (short) and γ_M 1.3 (solid timber) as in ``strengths``; tension 0.9 f_u
A_s / 1.25 (EN 1993-1-8, memory). Rows lie four diameters apart (EN 1995-1-1 Table 8.4, a2, read). Legs at
``supports.from_end`` of a board's reach from the joint; 10 kg/m² of frame: our judgement, no source.

What this does not know: how far a thin end bends between its bolts, legs where they really stand, and posts
of a board above.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from boardwright_timber.model import Joint
from boardwright_timber.reference import (
    CUP_HEAD_BOLTS,
    NUTS,
    TIMBER_WASHERS,
    bolt_tension_n,
)
from boardwright_timber.reference.strengths import C90_N_MM2

from ..strength.settings import StrengthSettings
from .mating import Half, plan_to_joint
from .settings import Bore, Fastener, Grade, JointSettings
from .spans import Spans

ROWS_APART_DIAMETERS = 4.0  # EN 1995-1-1 Table 8.4, a2 = 4d (read)
UNDER_WASHER = 3.0  # EN 1995-1-1 8.5.2 (read)
K_MOD, GAMMA_M = 0.9, 1.3  # short load, solid timber: EN 1995-1-1 tables 3.1 and 2.3
FRAME_KG_PER_M2 = 10.0  # our judgement, no source
G_N_KG = 9.81


class Rows(msgspec.Struct, frozen=True):
    """Heights of the rows of bolts (negative, from the top), the highest first, and bolts wanted in each."""

    z_mm: tuple[float, ...]
    wanted: int


def leaning_nmm(
    joint: Joint, halves: tuple[Half, Half], strength: StrengthSettings, from_ends: Sequence[float]
) -> float:
    """The moment on a joint that a hand and the layout make between the nearest legs of both boards, N mm.

    ``from_ends``: ``supports.from_end`` of each of them.
    """
    reaches = [max(plan_to_joint(joint, half, p)[1] for p in half.board.ring) for half in halves]
    a, b = (share * max(reach, 0.0) for share, reach in zip(from_ends, reaches, strict=True))
    if a + b <= 0:
        return 0.0
    mass = (strength.layout_kg_per_m2 + FRAME_KG_PER_M2) / 1e6
    along = mass * G_N_KG * joint.length_mm
    return (strength.hand_n + along * (a + b) / 2) * a * b / (a + b)


def pull_n(size: str, fastener: Fastener, hole_mm: float, grade: Grade = "4.6") -> float:
    """What one bolt may pull: the least of its steel and of the wood under its washer and its head."""
    faces = [TIMBER_WASHERS[size].diameter_mm if size in TIMBER_WASHERS else NUTS[size].across_flats_mm]
    if fastener == "cup bolt" and size in CUP_HEAD_BOLTS:
        faces.append(CUP_HEAD_BOLTS[size].head_diameter_max_mm)
    bearing = math.pi / 4 * (min(faces) ** 2 - hole_mm**2)
    return min(bolt_tension_n(size, grade), UNDER_WASHER * C90_N_MM2 * K_MOD / GAMMA_M * bearing)


def held_nmm(z_mm: tuple[float, ...], in_a_row: int, pull: float) -> float:
    """The moment that rows at these heights hold: n T Σ h² / h_max."""
    levers = [-z for z in z_mm]
    return in_a_row * pull * sum(h * h for h in levers) / max(levers) if levers else 0.0


def rows(
    moment_nmm: float, depth_mm: float, places: Spans, bore: Bore, settings: JointSettings, fastener: Fastener
) -> Rows:
    """Rows and bolts in each: two rows in a deep frame, or where one cannot hold the moment.

    A row gets ``bolts_per_joint``, more where they would stand further apart than ``bolt_gap_mm``, and more
    where the moment asks for them.
    """
    middle = settings.fixings_below_mm
    one = (-(depth_mm / 2 if middle is None else middle),)
    count = by_length(places, settings)
    if not count or middle is not None or settings.bolts_at_mm:
        return Rows(one, count)
    pull = pull_n(settings.bolt_size, fastener, bore.diameter_mm, settings.bolt_grade)
    edge = bore.edge_margin_mm
    two = (-edge, -(depth_mm - edge))
    apart = max(ROWS_APART_DIAMETERS * settings.bolt_diameter_mm, bore.room_mm)
    room = depth_mm - 2 * edge >= apart - 1e-9
    most = _most(places, settings)
    needed = [max(count, math.ceil(moment_nmm / held_nmm(z, 1, pull) - 1e-9)) for z in (one, two)]
    deep = 0 < settings.two_rows_from_mm <= depth_mm
    if room and (deep or needed[0] > most):
        return Rows(two, needed[1])
    return Rows(one, needed[0])


def by_length(places: Spans, settings: JointSettings) -> int:
    """``bolts_per_joint``, or more on a joint so long that bolts would stand too far apart."""
    if not settings.bolts_per_joint or not places:
        return settings.bolts_per_joint
    reach = places[-1][1] - places[0][0]
    return max(settings.bolts_per_joint, math.ceil(reach / settings.bolt_gap_mm - 1e-9) + 1)


def _most(places: Spans, settings: JointSettings) -> int:
    """Bolts that find room in one row beside the dowels."""
    room = sum(math.floor((b - a) / settings.spacing_mm + 1e-9) + 1 for a, b in places)
    return max(room - settings.dowels_per_joint, settings.bolts_per_joint)
