"""Spans: sorted, separate stretches of a line, as (from, to) pairs in millimetres.

A span may be a single point (from = to): a hole that just fits still fits.
"""

from __future__ import annotations

from collections.abc import Iterable

type Span = tuple[float, float]
type Spans = tuple[Span, ...]

FIT_MM = 1e-6  # coordinates are stored to this; a stretch short by less still fits


def union(spans: Iterable[Span]) -> Spans:
    joined: list[Span] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + FIT_MM:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return tuple(joined)


def common(a: Spans, b: Spans) -> Spans:
    """What lies in both."""
    met = ((max(p[0], q[0]), min(p[1], q[1])) for p in a for q in b)
    return union(_settle(low, high) for low, high in met if high >= low - FIT_MM)


def without(spans: Spans, gaps: Iterable[Span]) -> Spans:
    """``spans`` less the open stretches ``gaps``: a point on the edge of a gap stays."""
    left = list(spans)
    for g0, g1 in gaps:
        if g1 <= g0:
            continue
        cut: list[Span] = []
        for low, high in left:
            if high <= g0 + FIT_MM or low >= g1 - FIT_MM:
                cut.append((low, high))
                continue
            if low <= g0 + FIT_MM:
                cut.append(_settle(low, g0))
            if high >= g1 - FIT_MM:
                cut.append(_settle(g1, high))
        left = cut
    return tuple(sorted(left))


def shrunk(spans: Spans, by_mm: float) -> Spans:
    """Every span drawn in by ``by_mm`` at both ends; those too short vanish."""
    return tuple(_settle(a + by_mm, b - by_mm) for a, b in spans if b - a - 2 * by_mm >= -FIT_MM)


def folded(spans: Spans, middle_mm: float) -> Spans:
    """Offsets h ≥ 0 for which both ``middle + h`` and ``middle - h`` lie in ``spans``."""
    right = common(tuple((a - middle_mm, b - middle_mm) for a, b in spans), ((0.0, float("inf")),))
    left = common(tuple(sorted((middle_mm - b, middle_mm - a) for a, b in spans)), ((0.0, float("inf")),))
    return common(left, right)


def holds(spans: Spans, at: float) -> bool:
    return any(low - FIT_MM <= at <= high + FIT_MM for low, high in spans)


def _settle(low: float, high: float) -> Span:
    """A span that is negative by less than the fit becomes a point."""
    return (low, high) if high >= low else ((low + high) / 2, (low + high) / 2)
