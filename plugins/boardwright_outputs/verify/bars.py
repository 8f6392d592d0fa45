"""Pieces of a bar as the solids they are: each end by where it lies on the bar's four edges.

Glossary
    edges    of a bar as it lies: upper lower, upper upper, lower lower, lower upper (face, then edge)
    slant    bevel: another place on the lower face; mitre: another place on the upper edge

Claim: with the saw set as told, the cuts leave every part with each of its ends either square at its long
point, to be slanted by hand, or slanted as the part is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from .record import Cut, Part, Placed, Sheet

type Ends = tuple[float, float, float, float]
type Solid = tuple[Ends, Ends]  # left, right

NEAR_MM = 2e-5
PART_MM = 0.01


def square(at: float) -> Ends:
    return (at, at, at, at)


def plane(cut: Cut) -> Ends:
    """Where a cut begins, along the bar."""
    down = cut.lean_mm if cut.slant == "bevel" else 0.0
    up = cut.lean_mm if cut.slant == "mitre" else 0.0
    return (cut.at_mm, cut.at_mm + up, cut.at_mm + down, cut.at_mm + down + up)


def kerf_along(cut: Cut, sheet: Sheet) -> float:
    """What the blade takes along the bar: more where it cuts aslant."""
    across = sheet.thickness_mm if cut.slant == "bevel" else sheet.width_mm
    return sheet.kerf_mm * math.hypot(1.0, cut.lean_mm / across)


def divided(solid: Solid, cut: Cut, sheet: Sheet) -> Iterator[Solid]:
    near, wide = plane(cut), kerf_along(cut, sheet)
    far = tuple(x + wide for x in near)
    assert len(far) == 4
    for left, right in ((solid[0], near), (far, solid[1])):
        if max(b - a for a, b in zip(left, right, strict=True)) > NEAR_MM:
            yield left, right


def holds(solid: Solid, cut: Cut) -> bool:
    """The cut goes through the piece, all round."""
    inside = zip(solid[0], plane(cut), solid[1], strict=True)
    return all(left - NEAR_MM <= at < right - NEAR_MM for left, at, right in inside)


def setting(solid: Solid, cut: Cut, sheet: Sheet) -> float | None:
    """Length kept, long point to long point, measured from the end that is named."""
    near = plane(cut)
    if cut.from_edge == "left":
        return max(near) - min(solid[0])
    if cut.from_edge == "right":
        return max(solid[1]) - min(near) - kerf_along(cut, sheet)
    return None


def ends(part: Part, placed: Placed) -> Solid:
    """Its real ends as it lies on the bar."""
    length, width, thick = part.length_mm, part.width_mm, part.thickness_mm
    low = sorted(x for x, y in part.ring if abs(y) < NEAR_MM)
    high = sorted(x for x, y in part.ring if abs(y - width) < NEAR_MM)
    low, high = low or [0.0, length], high or [0.0, length]
    found: list[list[float]] = [[], []]
    for lower_face in (False, True):
        for upper_edge in (False, True):
            drawn_back = lower_face != placed.rolled
            drawn_high = (upper_edge != placed.rolled) != placed.half_turn
            row = high if drawn_high else low
            left = row[0] + _taken(part.left_bevel_deg, drawn_back, thick)
            right = row[-1] - _taken(part.right_bevel_deg, drawn_back, thick)
            if placed.half_turn:
                left, right = length - right, length - left
            found[0].append(placed.x_mm + left)
            found[1].append(placed.x_mm + right)
    one, two = tuple(found[0]), tuple(found[1])
    assert len(one) == len(two) == 4
    return one, two


def _taken(bevel_deg: float, back: bool, thick: float) -> float:
    """How far from the long point an end lies on one face."""
    run = thick * math.tan(math.radians(abs(bevel_deg)))
    return run if (bevel_deg > 0) == back and bevel_deg else 0.0


def is_part(solid: Solid, part: Part, placed: Placed) -> bool:
    """It is the part, each end slanted already or square at its long point."""
    wanted = ends(part, placed)
    long = (square(placed.x_mm), square(placed.x_mm + placed.length_mm))
    return all(
        any(max(abs(a - b) for a, b in zip(have, want, strict=True)) < PART_MM for want in (w, blank))
        for have, w, blank in zip(solid, wanted, long, strict=True)
    )


def apart(one: Solid, two: Solid) -> float:
    """The least distance of two pieces along the bar; 0 where they meet or overlap."""
    if min(one[0]) > min(two[0]):
        one, two = two, one
    return max(0.0, min(b - a for a, b in zip(one[1], two[0], strict=True)))
