"""The deck as a part of the members below it, where it is glued or screwed on.

Claim: a strip of deck on a member is a T of two materials by EN 1995-1-1 Annex B: glued it is one section;
screwed its screws' slip over their distance takes most of that away. The strip is as wide as the standard
lets a thin flange be, and reaches no farther than half way to the next member.

Glossary
    effective width   on both sides together 0.1 of the span and 20 thicknesses at most, on one side half of
                      that (EN 1995-1-1 9.1.2 and Table 9.1, plywood, the least of all boards: memory)
    span              between supports: alone the distance itself, of several 0.8 of the shortest, and twice
                      an overhang (B.1, memory); a member on none that is known runs from end to end
    slip              half of K_ser (Table 7.1): less than K_u, two thirds of it, which counts for strength
                      (2.2.2), and than what is left when screws creep twice as much as wood (2.3.2.2), which
                      is K_ser (1 + k_def) / (1 + 2 k_def) beside it (memory); a hand finds more

What this does not know: single legs that are added, seams of the deck (a member along which it is parted is
counted whole), wells.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from boardwright_timber.beams import Flat, built_up_stiffness_nmm2
from boardwright_timber.model import Member, MemberRole, Part
from boardwright_timber.reference import density_kg_m3, strength_row
from boardwright_timber.reference.fastening_rules import slip_n_mm

SHARE, THICKNESSES = 0.1, 20.0  # of a flange on both sides of its web
LASTING_SLIP = 0.5
SEVERAL, SMALL = 0.8, 0.1  # of a span beside others; an overhang so short, as a share of its member, is none
ONE_SIDED = (MemberRole.SIDE, MemberRole.END, MemberRole.WELL_SIDE)


def span_mm(length_mm: float, stations: Iterable[float]) -> float:
    """The span that Annex B takes for a member on supports at these stations.

    >>> span_mm(1000.0, [220.0, 780.0])   # 0.8 · 560 = 448, twice the overhang 440
    440.0
    >>> span_mm(1000.0, [6.0, 994.0]), span_mm(1000.0, [0.0, 500.0, 1000.0]), span_mm(1000.0, [])
    (988.0, 400.0, 1000.0)
    """
    stops = sorted(stations)
    gaps = [b - a for a, b in pairwise(stops) if b - a > 1.0]
    if not gaps:
        return length_mm
    over = [2 * o for o in (stops[0], length_mm - stops[-1]) if o > SMALL * length_mm]
    alone = len(gaps) == 1 and not over
    return min([*over, *(g if alone else SEVERAL * g for g in gaps)])


class Deck(NamedTuple):
    """A deck, how it is fixed, and half of the least distance between joists."""

    part: Part
    glued: bool
    screw_mm: float
    screws_apart_mm: float
    half_bay_mm: float

    def on(
        self, member: Member, length_mm: float, stations: Sequence[float] = ()
    ) -> tuple[float, float] | None:
        if not member.carries_deck or member.role in (MemberRole.RISER, MemberRole.FLANGE):
            return None
        length_mm = span_mm(length_mm, stations)
        deck, t, h = self.part, member.bending_mm, member.depth_mm
        row = strength_row(deck.material, deck.thickness_mm)
        along = abs(member.direction[0]) > abs(member.direction[1])
        sides = 1 if member.role in ONE_SIDED else 2
        each = min(SHARE * length_mm / 2, THICKNESSES * deck.thickness_mm / 2, self.half_bay_mm)
        top = Flat(t + sides * each, deck.thickness_mm, row.along_n_mm2 if along else row.across_n_mm2)
        rib = Flat(t, h, strength_row(member.material, member.sheet_mm).edgewise_n_mm2)
        slip = math.inf if self.glued else LASTING_SLIP * self._slip(member) / self.screws_apart_mm
        both = built_up_stiffness_nmm2(top, rib, length_mm, slip)
        top_ea, rib_ea = (f.modulus_n_mm2 * f.width_mm * f.depth_mm for f in (top, rib))
        gamma = 1 / (1 + math.pi**2 * top_ea / (slip * length_mm**2))
        arm = gamma * top_ea * (deck.thickness_mm + h) / 2 / (gamma * top_ea + rib_ea)
        bare = rib.modulus_n_mm2 * t * h**3 / 12
        return both, (h / 2 + arm) / both * bare / (h / 2)

    def _slip(self, member: Member) -> float:
        """K_ser of one screw between deck and member, N/mm."""
        deck = density_kg_m3(self.part.material, self.part.thickness_mm)
        wood = density_kg_m3(member.material, member.sheet_mm)
        return slip_n_mm(self.screw_mm, math.sqrt(deck * wood))
