"""The deck as a part of the members below it, where it is glued or screwed on.

Claim: a strip of deck on a member is a T of two materials by EN 1995-1-1 Annex B: glued it is one section;
screwed its screws' slip (K_ser, Table 7.1) over their distance takes most of that away. The strip is as wide
as the standard lets a thin flange be, and reaches no farther than half way to the next member.

Glossary
    effective width   on each side 0.1 of the span and 20 thicknesses at most (Table 9.1, plywood: memory)
    alongside         E of the deck in the member's own direction

What this does not know: seams of the deck (a member along which it is parted is counted whole), wells.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from boardwright_timber.beams import Flat, built_up_stiffness_nmm2
from boardwright_timber.model import Member, MemberRole, Part
from boardwright_timber.reference import density_kg_m3, strength_row
from boardwright_timber.reference.fastening_rules import slip_n_mm

SHARE, THICKNESSES = 0.1, 20.0
ONE_SIDED = (MemberRole.SIDE, MemberRole.END, MemberRole.WELL_SIDE)


class Deck(NamedTuple):
    """A deck, how it is fixed, and half of the least distance between joists."""

    part: Part
    glued: bool
    screw_mm: float
    screws_apart_mm: float
    half_bay_mm: float

    def on(self, member: Member, length_mm: float) -> tuple[float, float] | None:
        if not member.carries_deck or member.role in (MemberRole.RISER, MemberRole.FLANGE):
            return None
        deck, t, h = self.part, member.bending_mm, member.depth_mm
        row = strength_row(deck.material, deck.thickness_mm)
        along = abs(member.direction[0]) > abs(member.direction[1])
        sides = 1 if member.role in ONE_SIDED else 2
        each = min(SHARE * length_mm, THICKNESSES * deck.thickness_mm, self.half_bay_mm)
        top = Flat(t + sides * each, deck.thickness_mm, row.along_n_mm2 if along else row.across_n_mm2)
        rib = Flat(t, h, strength_row(member.material, member.sheet_mm).edgewise_n_mm2)
        slip = math.inf if self.glued else self._slip(member) / self.screws_apart_mm
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
