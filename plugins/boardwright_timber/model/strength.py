"""What holds a board up, how far it sags, and how much of its strength is used."""

from __future__ import annotations

import msgspec

from boardwright.plan.model import Point


class SupportPoint(msgspec.Struct, frozen=True, kw_only=True):
    """A place where something stands under a member, local coordinates.

    ``load_n`` is the most it carries; ``uplift_n`` the most it must hold down (0: it only carries).
    ``on``: the neighbour on whose legs the board lies there, bolted to it, or the board below on which its
    post stands; empty: something stands under it on the floor or hangs on a wall.
    """

    member: str
    x_mm: float
    y_mm: float
    load_n: float
    uplift_n: float
    on: str = ""


class StrengthLine(msgspec.Struct, frozen=True, kw_only=True):
    """One figure against its limit, both in ``unit``; ``rule`` says how it was worked out, ``source`` whose
    rule that is. ``where`` names the worst place, ``at`` is its point in local coordinates."""

    key: str
    says: str
    measured: float
    limit: float
    unit: str
    where: str
    rule: str
    source: str
    at: Point | None = None

    @property
    def passed(self) -> bool:
        return self.measured <= self.limit

    @property
    def use_percent(self) -> float:
        """How much of the limit is used, %."""
        return round(self.measured / self.limit * 100, 1)


class BoardStrength(msgspec.Struct, frozen=True, kw_only=True):
    """Sag and strength of one board on its supports.

    ``support`` is what stands under it; ``mass_kg`` its wood with the allowance for what stands on it.
    Without ``lines`` nothing could be worked out, and a finding says why.
    """

    board: str
    support: str
    points: tuple[SupportPoint, ...] = ()
    mass_kg: float
    service_class: int
    lines: tuple[StrengthLine, ...] = ()


class StandingGroup(msgspec.Struct, frozen=True, kw_only=True):
    """Boards bolted together that stand on legs or trestles of their own, and what tips them.

    ``push_n``: sideways at the deck, ``height_mm`` above the floor; ``edge_n``: down on the worst edge (None:
    no edge reaches beyond the legs). Empty and bare, the worst case: ``mass_kg`` is the wood alone.
    """

    boards: tuple[str, ...]
    mass_kg: float
    height_mm: float
    push_n: float
    edge_n: float | None = None


class Standing(msgspec.Struct, frozen=True, kw_only=True):
    """Every group of boards that nothing but its own legs holds upright."""

    groups: tuple[StandingGroup, ...] = ()
