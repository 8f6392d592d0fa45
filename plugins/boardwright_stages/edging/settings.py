"""The ``[fascia]`` and ``[backscene]`` tables: off until the project file asks for them.

Defaults: common practice, no source (a fascia of 3 to 6 mm from a little above the deck to below the frame; a
backscene of 3 to 9 mm that stands 200 to 450 mm above the deck).
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from boardwright import Section
from boardwright.plan.model import Point
from boardwright_timber.model import EdgeKind


class EdgeSettings(Section, frozen=True, kw_only=True):
    """What both tables have."""

    boards: Annotated[
        tuple[str, ...], Meta(description="Names of the boards that edges is for; empty: all.")
    ] = ()
    near: Annotated[
        tuple[Point, ...],
        Meta(
            description="Points [x, y] of the drawing, each near an edge that gets one: from corner to "
            "corner, on over the joints of boards in line."
        ),
    ] = ()
    not_near: Annotated[
        tuple[Point, ...],
        Meta(description="Points near edges that get none; where near names one as well, it gets one."),
    ] = ()
    material: Annotated[str, Meta(min_length=1, description="Material; [stock] must offer it.")] = "birch ply"
    joint_gap_mm: Annotated[
        float,
        Meta(ge=0, le=50, description="Gap between the strips of two boards at their joint."),
    ] = 2.0
    screw_spacing_mm: Annotated[
        float, Meta(ge=50, le=1000, description="Greatest distance between its screws along it.")
    ] = 200.0

    @property
    def chooses(self) -> str:
        """Which edges beside those that are named."""
        raise NotImplementedError

    @property
    def asked(self) -> bool:
        return self.chooses != "none" or bool(self.near)

    @property
    def is_idle(self) -> bool:
        """Whether something is set, and no edge chosen."""
        plain = self.__class__()
        changed = (getattr(self, name) != getattr(plain, name) for name in self.__struct_fields__)
        return not self.asked and any(changed)


class FasciaSettings(EdgeSettings, frozen=True, kw_only=True, table="fascia", optional=True):
    """A thin strip outside the free edges of boards, which hides the edge of the deck and the frame."""

    edges: Annotated[
        Literal["none", "free"],
        Meta(
            description="free: along every outer edge that no joint lies on, and no wall batten or backscene "
            "along; none: only along those that near names."
        ),
    ] = "none"
    wells: Annotated[
        bool, Meta(description="true: the edges of wells count as free; false: only where near names one.")
    ] = False
    thickness_mm: Annotated[
        float,
        Meta(
            ge=1,
            le=12,
            description="Thickness; [stock] must offer it. The board grows by it: draw the edge that much "
            "farther in where room is short.",
        ),
    ] = 4.0
    above_mm: Annotated[
        float, Meta(ge=-50, le=500, description="How far it stands above the top of the deck.")
    ] = 5.0
    below_mm: Annotated[
        float,
        Meta(ge=-500, le=1000, description="How far it reaches down below the frame; negative: less far."),
    ] = 10.0

    @property
    def chooses(self) -> str:
        return self.edges


class BackSettings(EdgeSettings, frozen=True, kw_only=True, table="backscene", optional=True):
    """A board that stands along the back edges, behind deck and frame, for the sky."""

    edges: Annotated[
        Literal["none", "walls"],
        Meta(
            description="walls: along every edge that a wall batten ([supports] battens) lies along; none: "
            "only along those that near names."
        ),
    ] = "none"
    thickness_mm: Annotated[
        float,
        Meta(
            ge=2,
            le=18,
            description="Thickness; [stock] must offer it. It stands outside the edge: the board comes away "
            "from the wall by it.",
        ),
    ] = 6.5
    height_mm: Annotated[
        float, Meta(ge=50, le=1200, description="How far it stands above the top of the deck.")
    ] = 300.0
    lap_mm: Annotated[
        float,
        Meta(
            ge=30,
            le=500,
            description="How far it reaches down below the deck, to be screwed to the frame; no farther than "
            "that is deep.",
        ),
    ] = 80.0

    @property
    def chooses(self) -> str:
        return self.edges


type Tables = dict[EdgeKind, FasciaSettings | BackSettings]
