"""The ``[module_ends]`` table: the profile that ends which mate with other modules are made to.

A profile is the club's own, or a published one by its name. What a published one does not give (where its
holes are) only a profile of the club's own can say, ``based_on`` it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from boardwright import Section
from boardwright_timber.reference import PUBLISHED_ENDS, PublishedEnd

type Places = tuple[tuple[float, float], ...]


class Connector(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is plugged together where two modules meet. Buses have two cores, so two pins."""

    name: Annotated[str, Meta(min_length=1, description="What it is called: track, lights.")]
    run: Annotated[
        Literal["power bus", "accessory bus", "lighting bus", "through"],
        Meta(
            description="The bus that comes out at it; through: its cores pass from one end of the module to "
            "the other."
        ),
    ]
    pins: Annotated[
        tuple[str, ...],
        Meta(min_length=1, max_length=64, description="What each pin carries, from pin 1 on; a text each."),
    ]
    district: Annotated[
        str, Meta(description='For a power bus: of which district ([wires]); left out: "main".')
    ] = "main"
    halves: Annotated[
        Literal["alike", "both", "plug right", "socket right"],
        Meta(
            description="alike: a connector that mates with its like; both: a plug and a socket at each end; "
            "plug right: a plug at ends that face right, a socket at those that face left; or the reverse."
        ),
    ] = "both"
    current_a: Annotated[
        float, Meta(ge=0, le=20, description="The most that passes on through it, amperes.")
    ] = 3.0

    def __post_init__(self) -> None:
        if self.run != "through" and len(self.pins) != 2:
            raise ValueError(f"the connector {self.name} wants two pins: a {self.run} has two cores")

    def halves_at(self, hand: int) -> tuple[str, ...]:
        """What is fitted at an end that faces right (1) or left (-1)."""
        if self.halves == "both":
            return ("plug", "socket")
        if self.halves == "alike":
            return ("connector",)
        return ("plug",) if (hand > 0) == (self.halves == "plug right") else ("socket",)


class EndProfile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How an end is made. Heights are counted down from the rail line."""

    based_on: Annotated[
        str, Meta(description="A published end whose figures hold where this says nothing; docs/joints.md.")
    ] = ""
    width_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None, Meta(description="How wide the end is; left out: any width.")
    ] = None
    depth_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None, Meta(description="How deep the end plate is; left out: any.")
    ] = None
    rail_above_floor_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="Height of the top of the rails; left out: any."),
    ] = None
    rail_above_deck_mm: Annotated[
        float,
        Meta(ge=0, le=200, description="Top of the rails above the deck's upper face: bed, sleepers, rails."),
    ] = 0.0
    bolts: Annotated[
        Places,
        Meta(
            description="[[t, below], …]: each bolt's place from the end's middle, as seen on an end that "
            "faces right, and how far below the top of the rails."
        ),
    ] = ()
    dowels: Annotated[
        Places | None, Meta(description="The same for dowels; []: none; left out: where there is room.")
    ] = None
    wires: Annotated[
        Places | None, Meta(description="The same for wire holes; []: none; left out: where there is room.")
    ] = None
    wire_hole_mm: Annotated[
        Annotated[float, Meta(gt=0, le=100)] | None,
        Meta(description="Diameter of the wire holes; left out: as [wiring] has it."),
    ] = None
    tracks_at_mm: Annotated[
        tuple[float, ...] | None,
        Meta(description="Where tracks cross the end, from its middle; left out: not looked at."),
    ] = None

    connectors: Annotated[
        tuple[Connector, ...], Meta(description="What is plugged together with the next module.")
    ] = ()

    def __post_init__(self) -> None:
        names = [c.name for c in self.connectors]
        if len(set(names)) < len(names):
            raise ValueError(f"two connectors of one profile have one name: {', '.join(names)}")
        if self.based_on and self.based_on not in PUBLISHED_ENDS:
            raise ValueError(f"no published end is called {self.based_on}: {_known(PUBLISHED_ENDS)}")

    @property
    def published(self) -> PublishedEnd | None:
        return PUBLISHED_ENDS.get(self.based_on)


class ModuleEndSettings(Section, frozen=True, kw_only=True, table="module_ends"):
    """What the ends of modules are made to."""

    profile: Annotated[
        str,
        Meta(description="Profile of the ends that mate with other modules: one below, or a published one."),
    ] = ""
    profiles: Annotated[
        dict[str, EndProfile], Meta(description="Profiles of your club's own, by their names.")
    ] = msgspec.field(default_factory=dict)

    def __post_init__(self) -> None:
        known = {**PUBLISHED_ENDS, **self.profiles}
        if self.profile and self.profile not in known:
            raise ValueError(f"no profile is called {self.profile}: {_known(known)}")

    @property
    def connectors(self) -> tuple[Connector, ...]:
        return self.chosen.connectors if self.chosen else ()

    @property
    def chosen(self) -> EndProfile | None:
        """The profile that ends are made to; None: none is asked for."""
        if not self.profile:
            return None
        return self.profiles.get(self.profile) or EndProfile(based_on=self.profile)


def _known(names: Iterable[str]) -> str:
    return "there are " + ", ".join(sorted(names))


AS_CHOSEN = ModuleEndSettings()
