"""What is left of a thin skin's bending strength: it may buckle sideways between the blocks that hold it.

Claim: lateral torsional buckling by EN 1995-1-1 6.3.3 (memory): σ_crit = π √(E·I_z·G·I_t) / (l·W), E and G
low values, l = 0.65 of the clear length between two blocks: a skin is glued to a block at both ends, and both
skins keep the block from turning (0.5 by theory, 0.65 is judgement), no edge is taken as held by the deck;
λ = √(f / σ_crit); k_crit = 1 below λ 0.75, 1.56 - 0.75 λ up to 1.4, then 1 / λ². A solid strip that deck and
joists hold is not reduced.

What this does not know: skins bowed before they are glued.
"""

from __future__ import annotations

import math

from boardwright_timber.model import Member
from boardwright_timber.reference import strength_row

CLAMPED = 0.65
LOW_SHARE = 0.67  # E and G that 95 % of pieces have, of their means: EN 338 C24 (memory); panels are better


def k_crit(member: Member) -> float:
    """1 for a solid member; of a sandwich by the rule above."""
    made = member.sandwich
    if made is None:
        return 1.0
    row = strength_row(member.material, made.skin_mm)
    t, h, length = made.skin_mm, member.depth_mm, CLAMPED * (made.spacing_mm - made.block_mm)
    sideways, twist = h * t**3 / 12, h * t**3 / 3 * (1 - 0.63 * t / h)
    stiffness = LOW_SHARE * math.sqrt(row.edgewise_n_mm2 * sideways * row.shear_modulus_n_mm2 * twist)
    critical = math.pi * stiffness / (length * t * h**2 / 6)
    slender = math.sqrt(row.edgewise_bending_n_mm2 / critical)
    if slender <= 0.75:
        return 1.0
    return 1.56 - 0.75 * slender if slender <= 1.4 else 1 / slender**2
