"""What a board may measure and weigh: lengths, openings, sheet, reach and lifting, as one set of limits.

Glossary
    opening   a box width × height × length a board must pass; length is what there is to turn it in
              (a landing, a car); left out, the opening is a plain hole such as a door in a wall
    height    of a board: frame and deck together with what stands above the deck

A board passes a plain opening when some face of its box goes through the hole, turned about if need be. A
p × q rectangle (p ≥ q) lies within an a × b one (a ≥ b) when p ≤ a and q ≤ b, or when p > a, q ≤ b and
((a + b)/(p + q))² + ((a − b)/(p − q))² ≥ 2 (a published result of plane geometry, here from memory; the
tests try turns one by one).

Lifting: a guideline for one person at arm's length between elbow and knuckle is 15 kg (HSE filter, from
memory); two people take two thirds of the sum of both, so 20 kg (the two-thirds rule was read). A filter,
not a safe limit.

What this does not know: bends in a passage, tilting about two axes at once, handles, stairs, the lifter.
"""

from __future__ import annotations

import math
from typing import Annotated, Any

import msgspec

Meta = msgspec.Meta
ONE_PERSON_KG = 15.0
TEAM_OF_TWO = 2 / 3
LIFTING_KG = {1: ONE_PERSON_KG, 2: TEAM_OF_TWO * 2 * ONE_PERSON_KG}


class Opening(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One opening every board must pass."""

    name: Annotated[str, Meta(min_length=1, description="What you call it: hatch, stair, car.")]
    width_mm: Annotated[float, Meta(gt=0, description="Clear width.")]
    height_mm: Annotated[float, Meta(gt=0, description="Clear height.")]
    length_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(description="Length there is for the board; left out: any length passes."),
    ] = None


def lies_within(p: float, q: float, a: float, b: float) -> bool:
    """Does a p × q rectangle lie within an a × b one, turned as one likes?"""
    p, q, a, b = max(p, q), min(p, q), max(a, b), min(a, b)
    if p <= a and q <= b:
        return True
    if p <= a or q > b or p - q < 1e-9:
        return False
    return bool(((a + b) / (p + q)) ** 2 + ((a - b) / (p - q)) ** 2 >= 2.0)


def passes(box: tuple[float, float, float], opening: Opening) -> bool:
    """Does a board of this length, width and height pass, any face first?"""
    length = math.inf if opening.length_mm is None else opening.length_mm
    for k in range(3):
        p, q = (side for i, side in enumerate(box) if i != k)
        if box[k] <= length and lies_within(p, q, opening.width_mm, opening.height_mm):
            return True
    return False


def spare_mm(box: tuple[float, float, float], opening: Opening) -> float:
    """How much wider the board could be and still pass, mm: infinite where it passes end first, however wide;
    negative: how much too wide it is."""
    length, width, height = box
    low, high = -width, opening.width_mm + opening.height_mm + (opening.length_mm or 0.0)
    if passes((length, math.inf, height), opening):
        return math.inf
    if not passes((length, 0.0, height), opening):
        return -width
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if passes((length, width + middle, height), opening) else (low, middle)
    return low


def widest(length: float, height: float, opening: Opening) -> float:
    """The widest board of this length and height that passes, 0 where none does, infinite where all do."""
    return max(0.0, spare_mm((length, 0.0, height), opening))


def mass_kg(area_mm2: Any, edge_mm: Any, kg_per_m2: float, kg_per_m: float) -> Any:
    """Finished mass thought of before there is a frame: by deck area and by length of edge."""
    return area_mm2 / 1e6 * kg_per_m2 + edge_mm / 1e3 * kg_per_m
