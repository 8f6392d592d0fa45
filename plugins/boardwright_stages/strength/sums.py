"""All figures of one board: frame and deck, lasting and under a hand.

Claim: sags are elastic sums with creep on the lasting part, G·(1 + k_def) + Q·ψ2·k_def, the hand's own part
apart; use of strength is 1.35 G + 1.5 Q against k_mod·f/γM, and 1.35 G alone with k_mod of lasting loads
(EN 1990 6.10 and EN 1995-1-1 2.2.3, 2.4.1; factors from memory).

What this does not know: buckling (but of thin skins, see ``skins``), fatigue, screws and glue
in the joints, legs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from boardwright.plan.model import Ring
from boardwright_timber.geometry import sides
from boardwright_timber.model import Member, Part
from boardwright_timber.reference import GAMMA_M, climate_row, strength_row
from boardwright_timber.reference.strengths import Duration

from .deck import DeckSag
from .grillage import Array, Solved, solve
from .net import Net
from .settings import StrengthSettings, SupportSettings
from .skins import k_crit

LASTING, PASSING = 1.35, 1.5


class Figure(NamedTuple):
    """A value and the index of the node or beam where it is worst."""

    value: float
    at: int


class FrameFigures(NamedTuple):
    """``bends``, ``shears``: use of strength of each beam."""

    sag: Figure
    hand: Figure
    slope: Figure
    bending: Figure
    shear: Figure
    most_n: list[float]
    uplift_n: list[float]
    bends: Array
    shears: Array


def frame_figures(
    net: Net, members: tuple[Member, ...], supports: list[int], lasting: Array, settings: StrengthSettings
) -> FrameFigures:
    """Raises ``numpy.linalg.LinAlgError`` when the frame does not stand."""
    hands = np.eye(len(net.points)) * settings.hand_n
    solved = solve(net.points, net.beams, supports, np.column_stack((lasting, hands)))
    creep = np.array([climate_row(m.material, settings.climate).k_def for m in members])
    k_def = float(creep.max())
    stays = solved.sags[:, 0] * (1 + k_def)
    under = np.diag(solved.sags[:, 1:])
    final = stays + under * settings.psi_2 * k_def
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
    )


def most_added(supports: SupportSettings, wells: Iterable[Ring], edge_sides: int = 4) -> int:
    """How many single legs may be added under a board with these wells and so many sides.

    A corner between two sides (where a round edge is built of short ones, say) turns like a hinge and may
    need a leg of its own: one for each side, ends counted, more than four (common practice, no source).

    >>> square = ((0, 0), (0, 500), (500, 500), (500, 0))
    >>> most_added(SupportSettings(), []), most_added(SupportSettings(), [square])   # 4, 4 + 2000 / 200
    (4, 14)
    >>> most_added(SupportSettings(), [], 12)   # 4 + 12 - 4
    12
    """
    if not supports.most_added:
        return 0
    most = supports.most_added + max(edge_sides - 4, 0)
    if not supports.well_leg_every_mm:
        return most
    edge = sum(math.dist(a, b) for well in wells for a, b in sides(well))
    return most + math.floor(edge / supports.well_leg_every_mm + 1e-9)


def added_legs(
    net: Net,
    members: tuple[Member, ...],
    supports: list[int],
    lasting: Array,
    settings: StrengthSettings,
    most: int,
) -> tuple[list[int], FrameFigures | None]:
    """Nodes for single legs more: under the place that gives most, one by one, until the limits are kept; and
    the frame's figures on all of them, where they were worked out."""
    added: list[int] = []
    while len(added) < most:
        found = frame_figures(net, members, [*supports, *added], lasting, settings)
        if found.hand.value > settings.hand_sag_mm:
            added.append(found.hand.at)
        elif found.sag.value > settings.frame_sag_mm:
            added.append(found.sag.at)
        elif found.bending.value > 1 and net.beams[found.bending.at].start not in (*supports, *added):
            added.append(net.beams[found.bending.at].start)
        else:
            return added, found
    return added, None


def _worst(values: Array) -> Figure:
    rounded = np.round(values, 6)
    at = int(np.argmax(rounded))
    return Figure(float(rounded[at]), at)


def _uses(
    net: Net, members: tuple[Member, ...], solved: Solved, settings: StrengthSettings
) -> tuple[Array, Array]:
    """Use of bending and of shear strength, a beam each: the worse of lasting alone and with the hand."""
    bending, shear = np.zeros(len(net.beams)), np.zeros(len(net.beams))
    for k, piece in enumerate(net.pieces):
        member = members[piece.member]
        row = strength_row(member.material, member.sheet_mm)
        bends = k_crit(member) * row.edgewise_bending_n_mm2
        moments, shears = solved.bending[k], solved.shears[k]
        with_hand = np.abs(LASTING * moments[:, :1] + PASSING * moments[:, 1:]).max()
        hand_shear = LASTING * shears[0] + PASSING * shears[1:].max()
        cases: tuple[tuple[float, float, Duration], ...] = (
            (with_hand, hand_shear, "short"),
            (LASTING * np.abs(moments[:, 0]).max(), LASTING * shears[0], "permanent"),
        )
        for moment, force, duration in cases:
            share = usable(member.material, settings, duration)
            bending[k] = max(bending[k], moment / piece.modulus_mm3 / (share * bends))
            stress = 1.5 * force / (piece.area_mm2 * row.k_cr)
            shear[k] = max(shear[k], stress / (share * row.shear_strength_n_mm2))
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
    stiffness, strength = deck_stiffness(deck, along is not longest.turned)
    strength = min(strength, deck_stiffness(deck, along is not deepest.turned)[1])
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
