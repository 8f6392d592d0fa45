"""How each role looks: its DXF layer (colour number, line weight) and its colour in pictures on a page.

Two roles never differ by colour alone: line weight and dashes differ too, and machine roles have layers of
their own. Picture colours come in pairs (light page, dark page) and keep apart for red-green colour
blindness: blues and oranges carry the meaning, greys the background. Colour numbers are from the format's own
table, chosen to show on white and on black; 7 is black or white, whichever shows. Weights are hundredths of a
millimetre, from the list the format allows.
"""

from __future__ import annotations

import msgspec

from .drawing import Role


class Look(msgspec.Struct, frozen=True, kw_only=True):
    """``pixels`` is the line width in pictures; ``dash`` a pattern of dash and gap in picture pixels, empty
    for a full line. Roles a machine follows have full lines in DXF whatever the picture shows."""

    colour_number: int
    weight: int
    light: str
    dark: str
    pixels: float
    dash: str = ""
    says: str


LOOKS: dict[Role, Look] = {
    Role.THROUGH_CUT: Look(
        colour_number=7,
        weight=50,
        light="#111111",
        dark="#f2f2f2",
        pixels=1.8,
        says="cut right through: closed contours, the finished edge of a part",
    ),
    Role.HOLE: Look(
        colour_number=150,
        weight=35,
        light="#0b4fa8",
        dark="#7db4ff",
        pixels=1.4,
        says="hole drilled right through: circles",
    ),
    Role.POCKET: Look(
        colour_number=140,
        weight=25,
        light="#0a6e80",
        dark="#5fd0e6",
        pixels=1.2,
        dash="4 2",
        says="hole or recess part way through, from the face that is drawn: circles",
    ),
    Role.BACK_HOLE: Look(
        colour_number=6,
        weight=25,
        light="#5b3f9e",
        dark="#c3aaff",
        pixels=1.2,
        dash="2 2",
        says="hole from the other face: do not drill it from the drawn face",
    ),
    Role.MARK: Look(
        colour_number=8,
        weight=13,
        light="#6b6b6b",
        dark="#a8a8a8",
        pixels=0.8,
        dash="6 2 1 2",
        says="pencil line on the drawn face, or the start of a hole drilled by hand off square; not cut",
    ),
    Role.HATCH: Look(
        colour_number=9,
        weight=9,
        light="#868686",
        dark="#7a7a7a",
        pixels=0.5,
        says="opening: no wood there",
    ),
    Role.TEXT: Look(
        colour_number=7, weight=18, light="#111111", dark="#f2f2f2", pixels=1.0, says="labels and notes"
    ),
    Role.DIMENSION: Look(
        colour_number=8,
        weight=13,
        light="#4a4a4a",
        dark="#c4c4c4",
        pixels=0.7,
        says="dimension lines, their figures in millimetres, and leaders",
    ),
    Role.SHEET_EDGE: Look(
        colour_number=7,
        weight=70,
        light="#333333",
        dark="#d8d8d8",
        pixels=2.4,
        says="edge of the sheet as bought",
    ),
    Role.SAW_CUT: Look(
        colour_number=30,
        weight=30,
        light="#b34700",
        dark="#ffa45c",
        pixels=1.2,
        dash="7 3",
        says="straight saw cut with its number in sawing order, on the middle of the kerf",
    ),
    Role.HELIX: Look(
        colour_number=170,
        weight=35,
        light="#3949ab",
        dark="#aab6ff",
        pixels=1.5,
        dash="8 2",
        says="hole milled on a helix from the drawn face: circles of the finished hole",
    ),
    Role.TOOL_PATH: Look(
        colour_number=30,
        weight=15,
        light="#b34700",
        dark="#ffa45c",
        pixels=0.9,
        says="middle of a router's cutter: outlines clockwise, openings anticlockwise, numbered in order",
    ),
    Role.RELIEF: Look(
        colour_number=40,
        weight=20,
        light="#8a5a00",
        dark="#e8c07a",
        pixels=1.0,
        says="bite of the cutter into an inside corner; the tool path already goes there",
    ),
    Role.LEAD_IN: Look(
        colour_number=94,
        weight=25,
        light="#2e7d32",
        dark="#8fd694",
        pixels=1.4,
        says="where a router's cutter goes down, in the waste, and its way to the tool path",
    ),
    Role.TAB: Look(
        colour_number=10,
        weight=60,
        light="#b00020",
        dark="#ff8a95",
        pixels=3.0,
        says="bridge left under the cutter, over this stretch of the tool path",
    ),
    Role.OUTLINE: Look(
        colour_number=7,
        weight=40,
        light="#222222",
        dark="#e4e4e4",
        pixels=1.5,
        says="edge for reference: layout edge, deck edge, trim line of a sheet",
    ),
    Role.JOINT: Look(
        colour_number=30,
        weight=60,
        light="#b34700",
        dark="#ffa45c",
        pixels=2.6,
        says="line where two boards meet",
    ),
    Role.MEMBER: Look(
        colour_number=32,
        weight=18,
        light="#8a6a34",
        dark="#d2b276",
        pixels=0.9,
        says="frame members: sides, ends and joists",
    ),
    Role.FIXING: Look(
        colour_number=150,
        weight=25,
        light="#0b4fa8",
        dark="#7db4ff",
        pixels=1.4,
        says="bores of bolts, dowels and wire holes seen from above",
    ),
    Role.TRACK: Look(
        colour_number=253,
        weight=20,
        light="#5f6f7f",
        dark="#9fb0c2",
        pixels=1.1,
        says="track centrelines",
    ),
    Role.TURNOUT: Look(
        colour_number=253,
        weight=13,
        light="#5f6f7f",
        dark="#9fb0c2",
        pixels=0.8,
        dash="3 2",
        says="ground a turnout (point/switch) stands on",
    ),
    Role.DEVICE: Look(
        colour_number=114,
        weight=25,
        light="#00695c",
        dark="#4fd6c0",
        pixels=1.2,
        dash="5 2 1 2",
        says="things below the deck",
    ),
}


#: Roles from the back to the front of a picture.
PAINT_ORDER = (
    Role.HATCH,
    Role.THROUGH_CUT,
    Role.MEMBER,
    Role.TURNOUT,
    Role.TRACK,
    Role.DEVICE,
    Role.MARK,
    Role.FIXING,
    Role.OUTLINE,
    Role.JOINT,
    Role.SHEET_EDGE,
    Role.SAW_CUT,
    Role.TOOL_PATH,
    Role.RELIEF,
    Role.LEAD_IN,
    Role.TAB,
    Role.BACK_HOLE,
    Role.POCKET,
    Role.HOLE,
    Role.HELIX,
    Role.DIMENSION,
    Role.TEXT,
)

#: Roles a machine follows.
MACHINED = frozenset({Role.THROUGH_CUT, Role.HOLE, Role.POCKET})

#: Roles that only a sheet for the router has.
ROUTED = frozenset({Role.HELIX, Role.TOOL_PATH, Role.RELIEF, Role.LEAD_IN, Role.TAB})

#: One picture pixel of dash is this long in DXF, and on paper.
DASH_MM_PER_PIXEL = 3.0
PAPER_DASH_MM_PER_PIXEL = 0.75


def layer(role: Role) -> str:
    """The role's DXF layer name."""
    return role.value.upper().replace(" ", "_")


def css_class(role: Role) -> str:
    """The role's class in pictures."""
    return "r-" + role.value.replace(" ", "-")
