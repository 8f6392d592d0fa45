"""All figures of one board: frame and deck, lasting and under a hand.

Claim: sags are elastic sums with creep on the lasting part, G·(1 + k_def) + Q·ψ2·k_def, the hand's own part
apart; use of strength is 1.35 G + 1.5 Q against k_mod·f/γM, and 1.35 G alone with k_mod of lasting loads
(EN 1990 6.10 and EN 1995-1-1 2.2.3, 2.4.1; factors from memory).

What this does not know: buckling (but of thin skins, see ``skins``), fatigue, screws and glue
in the joints, legs.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from boardwright_timber.model import Member, Part
from boardwright_timber.reference import GAMMA_M, climate_row, strength_row
from boardwright_timber.reference.strengths import Duration

from .deck import DeckSag
from .grillage import Array, Solved, solve
from .net import Net
from .settings import StrengthSettings
from .skins import k_crit

LASTING, PASSING = 1.35, 1.5


class Figure(NamedTuple):
    """A value and the index of the node or beam where it is worst."""

    value: float
    at: int


class FrameFigures(NamedTuple):
    """``bends``, ``shears``: use of strength of each beam; ``sags``: elastic, of each node (rows) under what
    lasts, under a hand on each node in turn, and under one on each place of what stands on posts (columns).
    ``held``: what each support pushes up in the same cases."""

    sag: Figure
    hand: Figure
    slope: Figure
    bending: Figure
    shear: Figure
    most_n: list[float]
    uplift_n: list[float]
    bends: Array
    shears: Array
    sags: Array
    held: Array


def frame_figures(
    net: Net,
    members: tuple[Member, ...],
    supports: list[int],
    lasting: Array,
    settings: StrengthSettings,
    above: Array | None = None,
) -> FrameFigures:
    """``above``: N on each node under a hand on each place of what stands on posts, a column a place.

    Raises ``numpy.linalg.LinAlgError`` when the frame does not stand.
    """
    hands = np.eye(len(net.points)) * settings.hand_n
    cases = (lasting, hands) if above is None else (lasting, hands, above)
    solved = solve(net.points, net.beams, supports, np.column_stack(cases))
    under = hand_sags(solved.sags)
    final = lasting_sags(solved.sags, most_creep(members, settings), settings)
    points = np.array(net.points)
    starts, ends = [b.start for b in net.beams], [b.end for b in net.beams]
    runs = np.hypot(*(points[ends] - points[starts]).T)
    slopes = np.abs(final[ends] - final[starts]) / runs
    bending, shear = _uses(net, members, solved, settings)
    held = solved.held
    push = held[:, :1] + np.maximum(held[:, 1:], 0.0).max(axis=1, keepdims=True)
    pull = held[:, :1] + held[:, 1:].min(axis=1, keepdims=True)
    return FrameFigures(
        _worst(np.abs(final)),
        _worst(under),
        _worst(slopes),
        _worst(bending),
        _worst(shear),
        [float(n) for n in push[:, 0]],
        [float(max(0.0, -n)) for n in pull[:, 0]],
        bending,
        shear,
        solved.sags,
        held,
    )


def most_creep(members: tuple[Member, ...], settings: StrengthSettings) -> float:
    """k_def of the member that creeps most."""
    return max(climate_row(m.material, settings.climate).k_def for m in members)


def hand_sags(sags: Array) -> Array:
    """How far each node gives under the worst hand, on itself or on what stands on posts above."""
    count = len(sags)
    own = np.diag(sags[:, 1 : count + 1])
    above = np.abs(sags[:, count + 1 :])
    return np.maximum(own, above.max(axis=1)) if above.size else own


def lasting_sags(sags: Array, k_def: float, settings: StrengthSettings) -> Array:
    """Final sag of each node, from elastic ones (see ``FrameFigures.sags``): the hand's lasting share too."""
    final: Array = sags[:, 0] * (1 + k_def) + hand_sags(sags) * settings.psi_2 * k_def
    return final


def rounded(values: Array) -> Array:
    """Sags and uses as they are compared: what differs less is equal."""
    found: Array = np.round(values, 6)
    return found


def _worst(values: Array) -> Figure:
    told = rounded(values)
    at = int(np.argmax(told))
    return Figure(float(told[at]), at)


def _uses(
    net: Net, members: tuple[Member, ...], solved: Solved, settings: StrengthSettings
) -> tuple[Array, Array]:
    """Use of bending and of shear strength, a beam each: the worse of lasting alone and with the hand."""
    of = np.array([piece.member for piece in net.pieces], dtype=int)
    modulus = np.array([piece.modulus_mm3 for piece in net.pieces])
    area = np.array([piece.area_mm2 for piece in net.pieces])
    rows = [strength_row(m.material, m.sheet_mm) for m in members]
    bends = np.array([k_crit(m) * r.edgewise_bending_n_mm2 for m, r in zip(members, rows, strict=True)])[of]
    cracks = np.array([r.k_cr for r in rows])[of]
    shears = np.array([r.shear_strength_n_mm2 for r in rows])[of]
    moments, forces = solved.bending, solved.shears
    with_hand = np.abs(LASTING * moments[:, :, :1] + PASSING * moments[:, :, 1:]).max(axis=(1, 2))
    hand_shear = LASTING * forces[:, 0] + PASSING * forces[:, 1:].max(axis=1)
    cases: tuple[tuple[Array, Array, Duration], ...] = (
        (with_hand, hand_shear, "short"),
        (LASTING * np.abs(moments[:, :, 0]).max(axis=1), LASTING * forces[:, 0], "permanent"),
    )
    bending, shear = np.zeros(len(net.beams)), np.zeros(len(net.beams))
    for moment, force, duration in cases:
        share = np.array([usable(m.material, settings, duration) for m in members])[of]
        bending = np.maximum(bending, moment / modulus / (share * bends))
        shear = np.maximum(shear, 1.5 * force / (area * cracks) / (share * shears))
    return bending, shear


def usable(material: str, settings: StrengthSettings, duration: Duration) -> float:
    """Share of the characteristic strength that may be used: k_mod / γM."""
    return climate_row(material, settings.climate).k_mod[duration] / GAMMA_M[material]


class Wood(NamedTuple):
    """A sheet by what it is."""

    material: str
    thickness_mm: float


class DeckFigures(NamedTuple):
    lasting_mm: float
    hand_mm: float
    slope: float
    bending: float


def deck_stiffness(deck: Part | Wood, along: bool) -> tuple[float, float]:
    """E·t³/12 of a strip 1 mm wide along the board (N·mm), and its bending strength (N/mm²)."""
    row = strength_row(deck.material, deck.thickness_mm)
    e = row.along_n_mm2 if along else row.across_n_mm2
    f = row.bending_along_n_mm2 if along else row.bending_across_n_mm2
    return e * deck.thickness_mm**3 / 12, f


def deck_figures(
    deck: Part | Wood, deepest: DeckSag, longest: DeckSag, along: bool, settings: StrengthSettings
) -> DeckFigures:
    stiffness, strength = deck_stiffness(deck, along != longest.turned)
    strength = min(strength, deck_stiffness(deck, along != deepest.turned)[1])
    k_def = climate_row(deck.material, settings.climate).k_def
    wide = min(longest.span_mm, longest.width_mm)
    hand = settings.hand_n * longest.span_mm**3 / (48 * stiffness * wide)
    lasting = deepest.lasting_mm * (1 + k_def) + hand * settings.psi_2 * k_def
    modulus = deck.thickness_mm**2 / 6
    dead, live = deepest.moment_n / modulus, settings.hand_n * longest.span_mm / wide / 4 / modulus
    use = max(
        (LASTING * dead + PASSING * live) / usable(deck.material, settings, "short"),
        LASTING * dead / usable(deck.material, settings, "permanent"),
    )
    return DeckFigures(lasting, hand, 3.2 * lasting / deepest.span_mm, use / strength)
