"""Parts that are just alike, on whatever board: sawn in a stack and drilled from one set-up.

Claim: two parts are alike when they are the same piece of wood (``likeness``): material, thickness, profile,
openings, holes and bevels to 0.01 mm, perhaps turned end for end; what is pencilled on them may differ.

What this does not know: mirrored parts; how many fit under the saw at once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from boardwright_timber.likeness import shape
from boardwright_timber.model import BoardParts, EndPattern, HoleKind, Part, Repeat


def repeats(parts: Iterable[Part], copies: int, spare: Sequence[str] = ()) -> tuple[Repeat, ...]:
    """Groups of two and more, the largest first, parts in name order; ``copies`` of every part are cut, and
    one more for each time it is among the ``spare`` ones."""
    alike: dict[tuple[object, ...], list[Part]] = {}
    for part in sorted(parts, key=lambda p: p.id):
        alike.setdefault(shape(part), []).append(part)
    more = Counter(spare)
    counted = [(copies * len(group) + sum(more[p.id] for p in group), group) for group in alike.values()]
    found = [
        Repeat(
            number=number,
            material=group[0].material,
            thickness_mm=group[0].thickness_mm,
            length_mm=group[0].length_mm,
            width_mm=group[0].width_mm,
            holes=len(group[0].holes),
            parts=tuple(p.id for p in group),
            boards=tuple(dict.fromkeys(p.board for p in group)),
        )
        for number, group in counted
        if number > 1
    ]
    return tuple(sorted(found, key=lambda r: (-r.number, r.parts)))


def spare_ends(parts: Mapping[str, BoardParts], ends: EndPattern) -> tuple[str, ...]:
    """One part of each kind among the end plates that mate with the next module."""
    kinds: dict[object, str] = {}
    for board in sorted(parts):
        for part in parts[board].parts:
            if any(h.kind is HoleKind.BOLT and h.joint in ends.ends for h in part.holes):
                kinds.setdefault(shape(part), part.id)
    return tuple(sorted(kinds.values()))
