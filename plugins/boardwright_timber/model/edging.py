"""Thin boards along a board's edge, outside its frame: the fascia in front, the backscene behind."""

from __future__ import annotations

from enum import StrEnum

import msgspec

from boardwright.plan.model import Point, Ring


class EdgeKind(StrEnum):
    """Also the role of the parts."""

    FASCIA = "fascia"
    BACKSCENE = "backscene"


class EdgeRun(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch of a board's edge that gets a strip, from corner to corner or to a joint: the strip's inner
    face, which stands on the edge of the deck, and its outer face to the right of that. Local coordinates,
    the board on the left of the way."""

    kind: EdgeKind
    inner: tuple[Point, ...]
    outer: tuple[Point, ...]

    @property
    def is_straight(self) -> bool:
        return len(self.inner) == 2

    @property
    def is_closed(self) -> bool:
        """Whether it goes all round, its end at its beginning."""
        return self.inner[0] == self.inner[-1]


class EdgeRuns(msgspec.Struct, frozen=True, kw_only=True):
    """The stretches of one board, in the order of its edge."""

    board: str
    runs: tuple[EdgeRun, ...] = ()


class EdgePiece(msgspec.Struct, frozen=True, kw_only=True):
    """One length of a strip that butts square on the next; ``from_mm``: where it begins along the strip.
    ``on``: the member that the seam at its beginning lies over; empty: none, it lies between two holds."""

    id: str
    inner: tuple[Point, ...]
    outer: tuple[Point, ...]
    from_mm: float = 0.0
    on: str = ""

    @property
    def is_straight(self) -> bool:
        return len(self.inner) == 2

    @property
    def outline(self) -> Ring:
        """Plan shape, anticlockwise."""
        return (*self.outer, *reversed(self.inner))


class HoldKind(StrEnum):
    """What the screws go into: a member's face or end, a block glued upright to a member behind or flat
    below the deck."""

    FACE = "face"
    END = "end"
    UPRIGHT = "upright block"
    UNDER = "flat block"


class EdgeHold(msgspec.Struct, frozen=True, kw_only=True):
    """Screws one above the other through a strip, ``at_mm`` along it and at ``heights_mm``. ``on``: the
    member they or the block are on; empty: the deck. ``screw``: diameter and length, mm."""

    kind: HoldKind
    at_mm: float
    heights_mm: tuple[float, ...]
    screw: tuple[float, float]
    on: str = ""

    @property
    def is_block(self) -> bool:
        return self.kind in (HoldKind.UPRIGHT, HoldKind.UNDER)


class EdgeStrip(msgspec.Struct, frozen=True, kw_only=True):
    """A strip on edge outside a board's edge, between z = top_mm - depth_mm and z = top_mm (0: the deck's
    underside); what is along it is measured along its inner face from where that begins."""

    id: str
    kind: EdgeKind
    material: str
    thickness_mm: float
    top_mm: float
    depth_mm: float
    pieces: tuple[EdgePiece, ...]
    holds: tuple[EdgeHold, ...] = ()

    @property
    def bottom_mm(self) -> float:
        return self.top_mm - self.depth_mm


class BoardEdging(msgspec.Struct, frozen=True, kw_only=True):
    """Strips along the edges of one board. ``block_mm``: length of each block that stands behind them."""

    board: str = ""
    strips: tuple[EdgeStrip, ...] = ()
    block_mm: float = 0.0

    @property
    def blocks(self) -> int:
        """How many blocks there are."""
        return sum(h.is_block for s in self.strips for h in s.holds)

    def of(self, kind: EdgeKind) -> BoardEdging:
        """Those of one kind alone."""
        strips = tuple(s for s in self.strips if s.kind is kind)
        return BoardEdging(board=self.board, strips=strips, block_mm=self.block_mm)
