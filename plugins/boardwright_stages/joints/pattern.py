"""Where fixings or wire holes go along a joint: in pairs, mirrored about its middle.

A mirrored pattern fits again when a board is turned round, and it is what a drilling jig can be made for
(common practice, no source). Only where joists or corners leave no room for mirrored pairs is the pattern
allowed to be lopsided.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from .spans import FIT_MM, Spans, common, folded, without

LEAST_HANDED_MM = 10.0  # nearer than this to its own mirror image a pattern could be forced

type Choice = Literal["spread", "innermost"]


class Pattern(msgspec.Struct, frozen=True):
    """Positions along the joint in rising order; ``mirrored`` about the middle they were chosen for."""

    at_mm: tuple[float, ...]
    mirrored: bool = True


def choose(allowed: Spans, middle_mm: float, count: int, spacing_mm: float, first: Choice) -> Pattern:
    """Up to ``count`` positions in ``allowed``, at least ``spacing_mm`` apart.

    ``first`` says which pair is taken first: "spread" takes the outermost and spreads the others evenly
    between (fixings: a wide stance), "innermost" keeps them together (wires).
    """
    mirrored = _mirrored(allowed, middle_mm, count, spacing_mm, first)
    if len(mirrored) == count:
        return Pattern(mirrored)
    lopsided = _lopsided(allowed, middle_mm, count, spacing_mm, first)
    return Pattern(lopsided, False) if len(lopsided) > len(mirrored) else Pattern(mirrored)


def fixed(allowed: Spans, middle_mm: float, places_mm: Sequence[float]) -> tuple[Pattern, tuple[float, ...]]:
    """The places that a rule fixes, from the middle; and those of them that are not clear."""
    at = sorted(middle_mm + p for p in places_mm)
    clear = [t for t in at if any(a - FIT_MM <= t <= b + FIT_MM for a, b in allowed)]
    lost = tuple(round(t - middle_mm, 6) for t in at if t not in clear)
    return Pattern(tuple(clear), not lost), lost


def handed(pattern: Pattern, allowed: Spans, middle_mm: float, spacing_mm: float) -> Pattern:
    """The pattern with its last place moved in by a spacing (or as far as there is room), so that turned
    round it does not fit. A single place on the middle is moved off it. Left as it is where nothing gives."""
    *first, last = pattern.at_mm or (middle_mm,)
    if not pattern.at_mm:
        return pattern
    free = without(allowed, ((t - spacing_mm, t + spacing_mm) for t in first))
    wanted = last - spacing_mm
    if free:
        at = _nearest(free, wanted)
        turned = sorted(2 * middle_mm - t for t in (*first, at))
        moved = tuple(sorted((*first, at)))
        if max(abs(a - b) for a, b in zip(moved, turned, strict=True)) > LEAST_HANDED_MM:
            return Pattern(moved, False)
    return pattern


def _mirrored(
    allowed: Spans, middle_mm: float, count: int, spacing_mm: float, first: Choice
) -> tuple[float, ...]:
    offsets = folded(allowed, middle_mm)
    has_centre = bool(offsets) and offsets[0][0] <= FIT_MM
    chosen: list[float] = []
    if count % 2 and has_centre:
        chosen.append(middle_mm)
        offsets = without(offsets, ((-spacing_mm, spacing_mm),))
    offsets = common(offsets, ((spacing_mm / 2, float("inf")),))
    widest = offsets[-1][1] if offsets else 0.0
    while len(chosen) + 2 <= count and offsets:
        pairs = len(chosen) // 2
        h = _nearest(offsets, widest * (1 - 2 * pairs / (count - 1)) if first == "spread" else 0.0)
        chosen += [middle_mm - h, middle_mm + h]
        offsets = without(offsets, ((h - spacing_mm, h + spacing_mm),))
    if not chosen and count and has_centre:
        chosen.append(middle_mm)
    return tuple(sorted(chosen))


def _nearest(spans: Spans, wanted: float) -> float:
    """The point of ``spans`` nearest to the one wanted; of two equally near, the lower."""
    return min((min(max(wanted, a), b) for a, b in spans), key=lambda p: (abs(p - wanted), p))


def _lopsided(
    allowed: Spans, middle_mm: float, count: int, spacing_mm: float, first: Choice
) -> tuple[float, ...]:
    chosen: list[float] = []
    while len(chosen) < count and allowed:
        ends = [p for span in allowed for p in span]
        if first == "innermost":
            inside = any(a <= middle_mm <= b for a, b in allowed)
            at = middle_mm if inside else min(ends, key=lambda p: (abs(p - middle_mm), p))
        elif len(chosen) % 2 == 0:
            at = ends[0]
        else:
            at = ends[-1]
        chosen.append(at)
        allowed = without(allowed, ((at - spacing_mm, at + spacing_mm),))
    return tuple(sorted(chosen))
