"""The glue of fishplates and of blocks below skins, where a strip of several lengths bends.

Claim: over a seam the plate alone carries what the strip carried: it is of the same wood, as thick and as
deep, so neither sag nor strength of the strip changes for the worse. What bends there goes into the plate
through the glue on half its face, a rectangle b × h turned about its middle: the stress at its corner is
M·r / J with J = b·h·(b² + h²) / 12 and r half its diagonal, and V / (b·h) more, both in one direction (the
safe side). M is what bends at the seam and V·b / 2: the shear passes the seam, half a face away from the
middle of that glue. Statics; screws are left out, they clamp.

``GLUE_N_MM2``: the wood beside the glue shears first, across the grain at its weakest. Rolling shear of C24,
twice f_t,90 = 0.4 (EN 1995-1-1 6.1.7(3), memory); planar shear of the plies is higher (memory).

A skin of a hollow side (``skin_use``) passes its half of what bends through the glue on half its block and
through the block, which is bent about the same axis, M / (b·h²/6) against its own strength; the other skin
runs on.

What this does not know: the plate on one face only, which turns the strip a little out of line; bad glueing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from boardwright_timber.model import Joined, Member, SkinSeam
from boardwright_timber.reference import strength_row

from .grillage import Array
from .net import Net
from .skins import k_crit

GLUE_N_MM2 = 0.8


class PlateUse(NamedTuple):
    """The worst use of a plate's glue, the plate and the beam of the net at its seam."""

    use: float
    plate: str
    beam: int


def glue_stress_n_mm2(moment_nmm: float, shear_n: float, long_mm: float, deep_mm: float) -> float:
    """At the corner of the glue on one side of the seam, of a plate so long over all.

    >>> round(glue_stress_n_mm2(100e3, 0.0, 360.0, 90.0), 3)   # 100e3 · 100.6 / (180·90·(180² + 90²) / 12)
    0.184
    >>> round(glue_stress_n_mm2(0.0, 100.0, 360.0, 90.0), 4)   # 100 · 90 · 100.6 / 54.675e6 + 100 / 16200
    0.0227
    """
    b, h = long_mm / 2, deep_mm
    polar = b * h * (b * b + h * h) / 12
    return (moment_nmm + shear_n * b / 2) * math.hypot(b, h) / 2 / polar + shear_n / (b * h)


def plate_use(
    net: Net,
    members: Sequence[Member],
    joined: Sequence[Joined],
    plates: Mapping[str, Member],
    bending: Array,
    shear: Array,
) -> PlateUse | None:
    """``bending``, ``shear``: use of strength of each beam of the net; k_mod and γM are in them already."""
    found: list[PlateUse] = []
    for seam in (j for j in joined if j.plate):
        m = next(n for n, member in enumerate(members) if member.id == seam.member)
        member, plate = members[m], plates[seam.plate]
        k = _beam_at(net, m, member, seam.at_mm)
        moment, force = _borne(net, k, member, bending, shear)
        stress = glue_stress_n_mm2(moment, force, plate.length_mm, plate.depth_mm)
        found.append(PlateUse(float(stress / GLUE_N_MM2), seam.plate, k))
    return max(found, key=lambda f: round(f.use, 9), default=None)


def skin_use(
    net: Net, members: Sequence[Member], seams: Sequence[SkinSeam], bending: Array, shear: Array
) -> PlateUse | None:
    """The same of seams in skins; ``plate`` names the side."""
    found: list[PlateUse] = []
    for seam in seams:
        m = next(n for n, member in enumerate(members) if member.id == seam.member)
        member = members[m]
        made = member.sandwich
        assert made is not None, "only hollow sides have skins"
        k = _beam_at(net, m, member, seam.at_mm)
        moment, force = (each / 2 for each in _borne(net, k, member, bending, shear))
        glue = glue_stress_n_mm2(moment, force, seam.block_mm, member.depth_mm) / GLUE_N_MM2
        core = member.thickness_mm - 2 * made.skin_mm
        block = strength_row(made.block_material, core).edgewise_bending_n_mm2
        bent = moment / (core * member.depth_mm**2 / 6) / block
        found.append(PlateUse(float(max(glue, bent)), seam.member, k))
    return max(found, key=lambda f: round(f.use, 9), default=None)


def _beam_at(net: Net, m: int, member: Member, at_mm: float) -> int:
    """The beam of a member whose middle is nearest to a place along it."""
    (dx, dy), (ox, oy) = member.direction, member.datum
    at = (ox + at_mm * dx, oy + at_mm * dy)
    mine = [k for k, piece in enumerate(net.pieces) if piece.member == m]
    return min(mine, key=lambda k: round(_off(net, k, at), 6))


def _borne(net: Net, k: int, member: Member, bending: Array, shear: Array) -> tuple[float, float]:
    """What bends and shears a beam, N·mm and N, over k_mod / γM."""
    row, piece = strength_row(member.material, member.sheet_mm), net.pieces[k]
    moment = bending[k] * piece.modulus_mm3 * k_crit(member) * row.edgewise_bending_n_mm2
    return moment, shear[k] * piece.area_mm2 * row.k_cr * row.shear_strength_n_mm2 / 1.5


def _off(net: Net, beam: int, at: tuple[float, float]) -> float:
    """How far the middle of a beam is from a place."""
    (ax, ay), (bx, by) = net.points[net.beams[beam].start], net.points[net.beams[beam].end]
    return math.dist(((ax + bx) / 2, (ay + by) / 2), at)
