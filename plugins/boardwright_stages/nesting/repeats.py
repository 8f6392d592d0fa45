"""Parts that are just alike, on whatever board: sawn in a stack and drilled from one set-up.

Claim: two parts are alike when material, thickness, profile, openings, holes and bevels are the same, to
0.01 mm; what is pencilled on them may differ.

What this does not know: mirrored parts; how many fit under the saw at once.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardwright_timber.model import Hole, Part, Repeat


def repeats(parts: Iterable[Part], copies: int) -> tuple[Repeat, ...]:
    """Groups of two and more, the largest first, parts in name order; ``copies`` of every part are made."""
    alike: dict[tuple[object, ...], list[Part]] = {}
    for part in sorted(parts, key=lambda p: p.id):
        alike.setdefault(_like(part), []).append(part)
    found = [
        Repeat(
            number=copies * len(group),
            material=group[0].material,
            thickness_mm=group[0].thickness_mm,
            length_mm=group[0].length_mm,
            width_mm=group[0].width_mm,
            holes=len(group[0].holes),
            parts=tuple(p.id for p in group),
            boards=tuple(dict.fromkeys(p.board for p in group)),
        )
        for group in alike.values()
        if copies * len(group) > 1
    ]
    return tuple(sorted(found, key=lambda r: (-r.number, r.parts)))


def _like(part: Part) -> tuple[object, ...]:
    return (
        part.material,
        round(part.thickness_mm, 2),
        tuple((round(x, 2), round(y, 2)) for x, y in part.ring),
        tuple(tuple((round(x, 2), round(y, 2)) for x, y in opening) for opening in part.openings),
        tuple(sorted(_drilled(hole) for hole in part.holes)),
        (round(part.left_bevel_deg, 2), round(part.right_bevel_deg, 2)),
    )


def _drilled(hole: Hole) -> tuple[str, float, float, float, float, str, float]:
    depth = -1.0 if hole.depth_mm is None else hole.depth_mm  # right through is no depth at all
    place = (round(hole.x_mm, 2), round(hole.y_mm, 2))
    return (str(hole.kind), *place, hole.diameter_mm, depth, str(hole.face), round(hole.tilt_deg, 2))
