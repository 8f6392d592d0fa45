"""Strips that were tried for a board."""

from __future__ import annotations

import msgspec


class TriedStrip(msgspec.Struct, frozen=True, kw_only=True):
    """``why`` it fails; empty: it keeps every limit."""

    thickness_mm: float
    depth_mm: float
    material: str
    kg_per_m: float
    why: str


class BoardSizing(msgspec.Struct, frozen=True, kw_only=True):
    """Strips from the lightest on, up to the first that holds the board. Empty: no advice was asked for."""

    board: str
    tried: tuple[TriedStrip, ...] = ()
