"""Places of supports in rows across a board: one trestle or bracket under each."""

from __future__ import annotations

from collections.abc import Iterable

from boardwright_timber.model import SupportPoint


def rows_of(points: Iterable[SupportPoint]) -> list[tuple[SupportPoint, ...]]:
    """Rows across the way in which the places lie farther apart, to a millimetre."""
    every = list(points)
    if not every:
        return []
    xs, ys = [p.x_mm for p in every], [p.y_mm for p in every]
    along = max(xs) - min(xs) >= max(ys) - min(ys)
    rows: dict[int, list[SupportPoint]] = {}
    for p in every:
        rows.setdefault(round(p.x_mm if along else p.y_mm), []).append(p)
    return [tuple(row) for row in rows.values()]
