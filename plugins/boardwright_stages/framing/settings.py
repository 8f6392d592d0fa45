"""The ``[framing]`` table: what a box frame and its deck are made of, how far one may stand over the other.

Thicknesses and depth: common practice, no source (frames of 9 to 18 mm ply ripped to 70 to 100 mm strips,
decks of 6 to 12 mm ply). A corner that turns by less than 55° would be butted more than 35° off square, too
skewed to screw (see ``parts``), so it is mitred, at no more than 27.5°. Hand circular saws tilt to 45°
as a rule (common practice, no source).
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from boardwright import Section


class FramingSettings(Section, frozen=True, kw_only=True, table="framing"):
    """A box frame of straight strips on edge, with a closed deck on top."""

    style: Annotated[
        str,
        Meta(
            min_length=1,
            description="How boards are framed: box, l-girder, l-girder-open, open-top, or a style that a "
            "plugin offers (docs/framing-styles.md).",
        ),
    ] = "box"
    member_material: Annotated[str, Meta(min_length=1, description="Material of sides, ends and joists.")] = (
        "birch ply"
    )
    member_thickness_mm: Annotated[
        float, Meta(gt=0, le=100, description="Thickness of sides, ends and joists.")
    ] = 12.0
    depth_mm: Annotated[
        float, Meta(gt=0, le=1000, description="Depth of sides, ends and joists: the strip's width.")
    ] = 90.0
    joist_material: Annotated[
        str,
        Meta(
            description="Material of joists and noggins where it is another than that of sides and ends, as "
            "ply between sides of solid timber. Left empty: member_material."
        ),
    ] = ""
    joist_thickness_mm: Annotated[
        float, Meta(ge=0, le=100, description="Thickness of joists and noggins; 0: member_thickness_mm.")
    ] = 0.0
    sides: Annotated[
        Literal["solid", "sandwich"],
        Meta(
            description="Sides and ends: solid strips, or sandwich: two thin skins with blocks between them "
            "([sandwich]), straighter sideways for their mass."
        ),
    ] = "solid"
    deck_material: Annotated[str, Meta(min_length=1, description="Material of the deck.")] = "birch ply"
    deck_thickness_mm: Annotated[float, Meta(gt=0, le=100, description="Thickness of the deck.")] = 9.0
    max_overhang_mm: Annotated[
        float,
        Meta(
            ge=0,
            le=500,
            description="How far the deck may stand out over the straight member below it, at curved edges, "
            "small notches and rounded corners.",
        ),
    ] = 25.0
    curved_edge: Annotated[
        Literal["chords", "laminated", "kerfed"],
        Meta(
            description="Curved edges: chords leaves them to straight members below the deck; laminated or "
            "kerfed bends a strip round each as well, flush with the deck, in front of the members."
        ),
    ] = "chords"
    bend_layer_mm: Annotated[
        float,
        Meta(
            gt=0.3,
            le=12,
            description="Thickness of one layer of a laminated strip; [stock] must offer it. It bends dry to "
            "a radius of about 60 times its thickness (common practice, no source).",
        ),
    ] = 4.0
    shortest_member_mm: Annotated[
        float,
        Meta(
            ge=0,
            description="Edges shorter than this get no member of their own if the overhang allows it.",
        ),
    ] = 60.0
    max_mitre_deg: Annotated[
        float,
        Meta(
            ge=0,
            le=90,
            description="Where the edge turns by less than this, members are mitred; else one runs through.",
        ),
    ] = 55.0
    max_bevel_deg: Annotated[
        float,
        Meta(gt=0, lt=90, description="The most your saw can be tilted or turned off a square cut."),
    ] = 45.0
    sharpest_corner_deg: Annotated[
        float,
        Meta(ge=0, lt=90, description="Sharper corners of a board are refused: nothing holds them."),
    ] = 20.0

    @property
    def joist_wood(self) -> tuple[str, float]:
        """Material and thickness of joists and noggins.

        >>> FramingSettings(joist_material="softwood", joist_thickness_mm=18).joist_wood
        ('softwood', 18.0)
        """
        return (
            self.joist_material or self.member_material,
            float(self.joist_thickness_mm or self.member_thickness_mm),
        )

    def __post_init__(self) -> None:
        """Raises ValueError for strips that would lie flat: every rule here is for strips on edge."""
        if self.depth_mm < self.member_thickness_mm:
            raise ValueError(
                f"depth_mm ({self.depth_mm:g}) must be at least member_thickness_mm "
                f"({self.member_thickness_mm:g}): members stand on edge"
            )
