"""Strips along edges as parts: each length flat, the drawn face outward, as long as its longest face; a bent
one as long as its middle line, which keeps its length.

What this does not know: screw holes (drill them in place, by the board's list of them); grain of bent strips:
ply bends most easily with its face grain upright (common practice, no source), so these are cut either way.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from boardwright_timber.geometry import offset_path, path_length
from boardwright_timber.model import (
    BoardEdging,
    EdgePiece,
    EdgeStrip,
    Member,
    MemberRole,
    Part,
)
from boardwright_timber.reference import density_kg_m3

from ..parts.bent import bent_part
from ..parts.members import KG_PER_MM3, member_part


def edging_parts(edging: BoardEdging) -> Iterator[Part]:
    """Each length of each strip; the later lengths are ``of`` the first."""
    for strip in edging.strips:
        begins = 0.0
        for piece in strip.pieces:
            part = (
                _straight(edging.board, strip, piece)
                if piece.is_straight
                else _bent(edging.board, strip, piece)
            )
            yield replace(part, of=strip.id, from_mm=round(begins, 6)) if begins else part
            begins += part.length_mm


def strip_kg(strip: EdgeStrip) -> float:
    """About what a strip weighs, ends not counted."""
    long = sum(path_length(p.inner) for p in strip.pieces)
    wood = long * strip.depth_mm * strip.thickness_mm
    return wood * density_kg_m3(strip.material, strip.thickness_mm) * KG_PER_MM3


def _straight(board: str, strip: EdgeStrip, piece: EdgePiece) -> Part:
    member = Member(
        id=piece.id,
        role=MemberRole.SIDE,
        outer_start=piece.outer[0],
        outer_end=piece.outer[1],
        inner_start=piece.inner[0],
        inner_end=piece.inner[1],
        thickness_mm=strip.thickness_mm,
        depth_mm=strip.depth_mm,
        material=strip.material,
        top_mm=strip.top_mm,
    )
    return replace(member_part(board, member, ()), role=strip.kind.value)


def _bent(board: str, strip: EdgeStrip, piece: EdgePiece) -> Part:
    middle = offset_path(piece.inner, -strip.thickness_mm / 2)
    wood, heights = (strip.material, strip.thickness_mm), (strip.bottom_mm, strip.top_mm)
    return bent_part(board, piece.id, strip.kind.value, wood, heights, round(path_length(middle), 3), middle)
