"""A board's frame as a net with its loads: for its own figures, and for what it lays on a board below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from boardwright.plan.model import Ring
from boardwright_timber.model import (
    Board,
    BoardParts,
    Borne,
    EdgeKind,
    Frame,
    Joists,
    Member,
    MemberRole,
    Part,
)

from ..hardware.settings import HardwareSettings
from .grillage import Array
from .loads import G_N_KG, bearing_of, lasting_loads
from .net import Net, Place, centreline, net_of
from .settings import StrengthSettings

if TYPE_CHECKING:
    from .topping import Deck

DECK = "deck"
#: Their mass is spread over the deck.
ON_DECK = (DECK, "splice plate", "curved side", "layer", *(kind.value for kind in EdgeKind))
LOOSE = (
    MemberRole.RISER,
    MemberRole.FLANGE,
    MemberRole.FISHPLATE,
)  # they carry, but bend with what they are fixed to


class Loaded(NamedTuple):
    """``lasting`` on each node, N: the board's own and its layout's; ``whole``: with what posts lay on it.
    ``hands``: N on each node under a hand on each place of what stands on those posts, a column a place."""

    net: Net
    lasting: Array
    whole: Array
    hands: Array
    deck_n_mm2: float
    ring: Ring
    wells: tuple[Ring, ...]


def bending(frame: Frame, joists: Joists) -> tuple[Member, ...]:
    """The members that carry by bending."""
    return tuple(m for m in (*frame.members, *joists.members) if m.role not in LOOSE)


def deck_of(parts: BoardParts) -> tuple[Part, float]:
    """The first deck, and the area of all of them."""
    decks = [p for p in parts.parts if p.role == DECK]
    return decks[0], sum(p.area_mm2 for p in decks)


def loaded(
    board: Board,
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: StrengthSettings,
    screws: HardwareSettings,
    places: Sequence[Place],
    bears: Sequence[Borne],
) -> Loaded:
    """The net with a node at each of ``places`` and under each post of ``bears``."""
    every = (*frame.members, *joists.members)
    members = bending(frame, joists)
    by_id = parts.by_member
    deck, area = deck_of(parts)
    above = sum(p.mass_kg for p in parts.parts if p.role in ON_DECK)
    deck_n_mm2 = (above / area + settings.layout_kg_per_m2 * 1e-6) * G_N_KG
    flanges = tuple(m for m in every if m.role is MemberRole.FLANGE)
    loose = tuple((m, by_id[m.id].mass_kg) for m in every if m.role in LOOSE)
    feet = [[_foot(members, p.on_member, (p.on_x_mm, p.on_y_mm)) for p in each.posts] for each in bears]
    wanted = [*places, *(f for each in feet for f in each)]
    net = net_of(members, by_id, wanted, flanges, _topping(deck, frame, joists, settings, screws))
    ring = tuple(board.to_local(p) for p in board.ring)
    wells = tuple(tuple(board.to_local(p) for p in well) for well in board.wells)
    bearing = bearing_of(members, loose, frame)
    lasting = lasting_loads(net, tuple(by_id[m.id] for m in members), deck_n_mm2, ring, wells, bearing)
    whole, columns = lasting, [np.zeros((len(lasting), 0))]
    for each, under in zip(bears, feet, strict=True):
        on = np.zeros((len(lasting), len(under)))
        on[[net.node_of[f] for f in under], range(len(under))] = 1.0
        whole = whole + on @ np.array(each.lasting_n)
        columns.append(on @ np.array(each.hands_n).reshape(-1, len(under)).T)
    return Loaded(net, lasting, whole, np.hstack(columns), deck_n_mm2, ring, wells)


def _foot(members: Sequence[Member], on: str, at: tuple[float, float]) -> Place:
    k = next(k for k, m in enumerate(members) if m.id == on)
    return Place(k, centreline(members[k]).nearest(at)[0])


def _topping(
    deck: Part, frame: Frame, joists: Joists, settings: StrengthSettings, screws: HardwareSettings
) -> Deck | None:
    """The deck where it counts: a whole one, glued or screwed as the settings say."""
    if settings.deck_counts == "no" or frame.deck:
        return None
    from .topping import Deck

    glued = settings.deck_counts == "glued"
    return Deck(
        deck, glued, screws.deck_screw_diameter_mm, screws.deck_screw_spacing_mm, joists.spacing_mm / 2
    )
