"""What holds a deck that is only where tracks are: noggins by rule, risers, more noggins where it gives.

Claim: after the noggins that tracks want (``noggins``) the deck is measured as ``strength`` will measure it.
Where it is over a limit of ``[strength]`` the worst place in each bay gets a noggin more, as near as devices
allow; and it is measured again, ROUNDS times at most. A noggin on which no riser finds room is taken away
again. What then still gives too much is told by ``strength``.

What this does not know: that a joist more might hold two places at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from boardwright.plan.model import Device, Ring, Track
from boardwright_timber.model import Board, Member, MemberRole, Panel
from boardwright_timber.reference import STRENGTHS

from ..framing.open_settings import OpenTopSettings
from ..framing.settings import FramingSettings
from ..strength.needs import TooFar, spans_too_far
from ..strength.settings import StrengthSettings
from .alike import LIKE, bare, bare_all, clothed, material_by
from .noggins import Bays, noggins
from .region import Region
from .risers import Stood, risers

if TYPE_CHECKING:
    from shapely import Geometry

ANY = FramingSettings()
ROUNDS = 10
BELOW = (MemberRole.GIRDER, MemberRole.FLANGE)  # joists lie on them: no riser stands there
NEAR_MM = 100.0  # a noggin farther from a place than this does not hold it


class Carried(NamedTuple):
    """Noggins, and what stands on all wood."""

    noggins: list[Member]
    stood: Stood

    @property
    def standing(self) -> tuple[Member, ...]:
        return (*self.noggins, *self.stood.risers)


class Narrow(NamedTuple):
    """A narrow deck of one board and how it is held; tracks in the board's own axes."""

    board: Board
    room: Region
    deck: tuple[Panel, ...]
    tracks: tuple[Track, ...]
    devices: tuple[Device, ...]
    settings: OpenTopSettings
    framing: FramingSettings
    limits: StrengthSettings
    outer: tuple[Ring, ...] = ()  # on girders, with no members along the board: out to here risers may stand
    gauge_mm: float = 0.0  # what trains take to each side of a track
    plates: tuple[Member, ...] = ()  # on sides, where no post stands
    squeezed: bool = False  # risers narrower than wanted stand between other wood too

    def carried(self, like: Member, frame: Sequence[Member], joists: Sequence[Member]) -> Carried:
        """``like``: what noggins are made of; ``frame``: the members round the room. Where the deck keeps its
        limits better with risers squeezed between other wood they stand there."""
        f, lap_mm = self.framing, self.settings.riser_lap_mm
        if self.outer:  # a riser's foot stays above the girders
            lap_mm = min([lap_mm, *(m.depth_mm for m in joists)])
        asked = self._replace(
            settings=self.settings.changed(riser_lap_mm=lap_mm),
            framing=ANY.changed(deck_material=f.deck_material, deck_thickness_mm=f.deck_thickness_mm),
            plates=bare_all(self.plates),
        )
        found = _best(asked, bare(like, LIKE), bare_all(frame), bare_all(joists))
        noggins = [replace(m, depth_mm=like.depth_mm, material=like.material) for m in found.noggins]
        materials = material_by(like, (*frame, *joists))
        by_id = {m.id: m for m in (*frame, *joists, *noggins)}
        stood = Stood(
            clothed(found.stood.risers, materials),
            clothed(found.stood.narrow, materials),
            tuple(by_id[m.id] for m in found.stood.bare),
            tuple(by_id[m.id] for m in found.stood.idle),
        )
        return Carried(noggins, stood)

    def best(self, like: Member, frame: Sequence[Member], joists: Sequence[Member]) -> Carried:
        first, pinched = self._carried(like, frame, joists)
        ways, worst = [first], [self.worst((*frame, *joists, *first.standing))]
        if worst[0] > 1 and pinched:  # else squeezed ones would stand where they do
            ways.append(self._replace(squeezed=True)._carried(like, frame, joists)[0])
            worst.append(self.worst((*frame, *joists, *ways[1].standing)))
        return ways[worst.index(min(worst))]

    def _carried(
        self, like: Member, frame: Sequence[Member], joists: Sequence[Member]
    ) -> tuple[Carried, bool]:
        """And whether squeezing risers would have made any difference on the way."""
        around = [m for m in frame if m.role not in BELOW]
        bays = Bays(self.board, self.room, joists, self.devices, around if self.outer else None)
        found = noggins(bays, like, self.tracks, self.deck, self.settings.riser_spacing_mm)
        pinched = False
        for _ in range(ROUNDS if self._known else 0):
            held = self._risen(frame, joists, found)
            pinched = pinched or held.stood.pinched
            found = [m for m in held.noggins if m not in held.stood.idle]
            fresh = self._more(like, bays, (*frame, *joists, *held.stood.risers))
            if not fresh:
                break
            found += fresh
        first = self._risen(frame, joists, bays.ordered(found))
        kept = [m for m in first.noggins if m not in first.stood.idle]
        last = self._risen(frame, joists, kept) if first.stood.idle else first
        return last, pinched or first.stood.pinched or last.stood.pinched

    def _risen(self, frame: Sequence[Member], joists: Sequence[Member], found: Sequence[Member]) -> Carried:
        """Noggins with their names and everything's risers."""
        named = [replace(m, id=f"{self.board.id}-N{n}") for n, m in enumerate(found, 1)]
        around = [m for m in frame if m.role not in BELOW]
        stood = risers(
            self.board,
            self._room(around),
            (*around, *joists, *named),
            self.deck,
            self.devices,
            self.settings.riser_lap_mm,
            self.settings.riser_spacing_mm,
            self.settings.riser_least_mm,
            self.gauge_mm,
            self.plates,
            squeezed=self.squeezed,
        )
        return Carried(named, stood)

    def worst(self, wood: Sequence[Member]) -> float:
        """How many times the limit it keeps least the deck is at its worst place; 1 where it keeps all, or
        nothing is known of its wood."""
        return max((place.times for place in self._too_far(wood)), default=1.0)

    def missed(self, bare: Sequence[Member], wood: Sequence[Member]) -> list[Member]:
        """Which of the members without a riser the deck needs: it gives too much over them, or near; all of
        them where nothing is known of its wood."""
        import shapely

        if not bare or not self._known:
            return list(bare)
        far = shapely.MultiPoint([place.at for place in self._too_far(wood)])
        panels = shapely.union_all([shapely.Polygon(p.ring, p.wells) for p in self.deck])
        return [m for m in bare if panels.intersection(shapely.Polygon(m.outline)).dwithin(far, NEAR_MM)]

    @property
    def _known(self) -> bool:
        return self.framing.deck_material in {row.material for row in STRENGTHS}

    def _too_far(self, wood: Sequence[Member]) -> list[TooFar]:
        """Places where the deck gives too much; none where nothing is known of its wood."""
        f = self.framing
        if not self._known:
            return []
        return spans_too_far(self.deck, tuple(wood), f.deck_material, f.deck_thickness_mm, self.limits)

    def _room(self, around: Sequence[Member]) -> Geometry:
        """Where risers may stand."""
        import shapely

        if not self.outer:
            return self.room.shape
        wood = shapely.union_all([shapely.Polygon(m.outline) for m in around])
        return self.room.shape.union(shapely.Polygon(self.outer[0], self.outer[1:]).difference(wood))

    def _more(self, like: Member, bays: Bays, wood: tuple[Member, ...]) -> list[Member]:
        """One noggin in each bay where the deck gives too much, at the worst place that can have one."""
        fresh: dict[int, Member] = {}
        for place in self._too_far(wood):
            bay = bays.at(place.at, NEAR_MM)
            if bay is None or bay in fresh:
                continue
            noggin = bays.near(bay, place.at, like, NEAR_MM)
            if noggin is not None:
                fresh[bay] = noggin
        return list(fresh.values())


@lru_cache(maxsize=16)  # sizes of one thickness ask for the same again, and so does the board that is made
def _best(under: Narrow, like: Member, frame: tuple[Member, ...], joists: tuple[Member, ...]) -> Carried:
    return under.best(like, frame, joists)
