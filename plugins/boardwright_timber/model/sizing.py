"""Strips and decks that were tried for boards, and the sizes that count."""

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


class Strip(msgspec.Struct, frozen=True, kw_only=True):
    """A strip that sides, ends and joists are ripped to. ``price``: of a metre; None: not known."""

    thickness_mm: float
    depth_mm: float
    material: str
    kg_per_m: float
    price: float | None = None

    def __str__(self) -> str:
        return f"{self.thickness_mm:g} × {self.depth_mm:g} {self.material}"


class FrameSize(msgspec.Struct, frozen=True, kw_only=True):
    """Sizes that were chosen for all boards. None: as the project file has it."""

    strip: Strip | None = None
    deck_mm: float | None = None
