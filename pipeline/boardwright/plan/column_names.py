"""The columns of a device list, by the names this program has for them, and what each means."""

from __future__ import annotations

LENGTHS = (
    *("x_mm", "y_mm", "length_mm", "width_mm", "depth_mm", "clearance_mm"),
    *("hole_mm", "slot_mm", "level_mm"),
)
MEANINGS: dict[str, str] = {
    "id": "the device's name, once in the list; a row and an insert in the drawing of one id are one device",
    "kind": "what it is; may be empty when the drawing says it",
    "x_mm": "its middle, to the right of the drawing's origin; empty: where the drawing has it",
    "y_mm": "its middle, up from the drawing's origin; empty: where the drawing has it",
    "angle_deg": "where its length points, anticlockwise from the x axis",
    "length_mm": "size along that angle; empty: the kind's",
    "width_mm": "size across it; empty: the kind's",
    "depth_mm": "how far it reaches below the deck's underside; empty: the kind's",
    "clearance_mm": "free room all round; empty: the kind's",
    "hole_mm": "width of the hole or slot through the deck over its middle; 0: none; empty: the kind's",
    "slot_mm": "length of that slot, across the device's length; 0: a round hole; empty: the kind's",
    "level_mm": "height of the level it hangs under; empty: its layer's, else it counts on every level",
    "from": "a drawn joint, turnout or other device that x_mm and y_mm count from: from a joint along it "
    "and to its left, else to the right and up; x_mm and y_mm empty: that very place",
    "note": "your own words; kept",
}
COLUMNS = tuple(MEANINGS)
NUMBERS = tuple(c for c in COLUMNS if c in LENGTHS or c == "angle_deg")
