"""Lines of the answer: which there are, by which rule, and how their figures are told."""

from __future__ import annotations

import math

from boardwright.plan.model import Point
from boardwright_timber.model import StrengthLine

from .plates import GLUE_N_MM2

SAG_RULE = "members as beams on their supports with bending and shear, holes out; G·(1 + k_def) + Q·ψ2·k_def"
DECK_RULE = "a strip over the real joists, three moments; G·(1 + k_def) + Q·ψ2·k_def"
USE_RULE = "1.35 G + 1.5 Q, or 1.35 G alone, over k_mod·f/γM at the net section"
CARRIED_RULE = "one beam held at its ends, 1.5 times all that stays on it (judgement); M / EI summed up twice"
PLATE_RULE = (
    "(M + V·b / 2)·r / J + V / A on the glue of half a plate, standing or carried; "
    f"{GLUE_N_MM2:g} N/mm² by k_mod/γM"
)
SKIN_RULE = (
    "half of what bends there: (M + V·b / 2)·r / J + V / A on the glue of half a block, "
    f"{GLUE_N_MM2:g} N/mm² by k_mod/γM; M / (b·h²/6) in the block"
)
EC5 = "EN 1995-1-1 2.2.3, tables 3.1 and 3.2 (read second-hand)"
EC0 = "EN 1995-1-1 2.4.1, 6.1.6, 6.1.7 (memory)"
STATICS = "statics"
ORDER = (
    *("frame-sag", "deck-sag", "gradient", "frame-hand", "deck-hand", "bending", "shear", "deck-bending"),
    *("carried-sag", "carried-bending", "plates", "skins", "posts"),
)
FAULTY = ("bending", "shear", "deck-bending", "carried-bending", "plates", "skins", "posts")
CAUTIONS = {
    "frame-sag": "BW-STR-001",
    "deck-sag": "BW-STR-002",
    "frame-hand": "BW-STR-003",
    "deck-hand": "BW-STR-003",
    "gradient": "BW-STR-004",
    "carried-sag": "BW-STR-013",
}


def line_of(
    key: str,
    says: str,
    measured: float,
    limit: float,
    unit: str,
    where: str,
    at: Point,
    rule: str,
    source: str,
) -> StrengthLine:
    """Sags are told in tenths of a millimetre, rounded up: what is said is never less than what was found.

    ``at``: the worst place in the board's own axes, added to ``where`` in words.
    """
    steps = {"mm": 10, "%": 100 if key == "gradient" else 10}[unit]
    told = math.ceil(round(measured * steps, 3)) / steps
    return StrengthLine(
        key=key,
        says=says,
        measured=told,
        limit=limit,
        unit=unit,
        where=f"{where}x {at[0]:.0f}, y {at[1]:.0f} from the board's datum corner",
        rule=rule,
        source=source,
        at=(round(at[0], 3), round(at[1], 3)),
    )


def mend_of(key: str) -> str:
    """What to do about a line that is over its limit."""
    return _CARRIED if key == "carried-sag" else _DECK if key.startswith("deck") else _FRAME


_FRAME = (
    "Make depth_mm under [framing] larger, or set supports closer: max_spacing_mm, most_added or points "
    "in [supports]."
)
_CARRIED = "Carry it nearer its middle or with more hands, or make depth_mm under [framing] larger."
SKINS_MEND = " Sides of skins and blocks: thicker skins (sandwich.skin_thickness_mm)."
POSTS_MEND = " Under a post: thicker posts (leg_mm under [supports])."
_DECK = "Make spacing_mm under [joists] smaller or deck_thickness_mm under [framing] larger."
