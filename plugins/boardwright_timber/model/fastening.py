"""Which screws go where, in which holes, and how that stands against the published distances."""

from __future__ import annotations

import msgspec


class FasteningLine(msgspec.Struct, frozen=True, kw_only=True):
    """Screws that are driven alike. Distances in mm: what there is at least, and what the table wants.

    ``first``: why the pilot hole is drilled first. ``glue``: what is glued there; empty: nothing.
    """

    joins: str
    screw: str
    quantity: int
    pilot_mm: float
    countersink_mm: float
    first: str
    edge_mm: float
    edge_wanted_mm: float
    apart_mm: float | None
    apart_wanted_mm: float
    glue: str
    source: str

    @property
    def kept(self) -> bool:
        """Whether both distances are those of the table."""
        apart = self.apart_mm is None or self.apart_mm >= self.apart_wanted_mm - 1e-6
        return apart and self.edge_mm >= self.edge_wanted_mm - 1e-6


class BoardFastening(msgspec.Struct, frozen=True, kw_only=True):
    """All screws of one board."""

    board: str
    lines: tuple[FasteningLine, ...] = ()
