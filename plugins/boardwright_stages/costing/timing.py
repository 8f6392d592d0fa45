"""How long the work takes: what is counted, times a rate. Rates: common practice, no source.

What this does not know: track, scenery, glue that dries, a shed that has to be tidied first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from boardwright_timber.model import BoardHardware, BoardParts, CuttingPlan, TimeLine

from .settings import Minutes


def work(
    cutting: CuttingPlan,
    parts: Mapping[str, BoardParts],
    hardware: Iterable[BoardHardware],
    copies: int,
    rates: Minutes,
) -> tuple[TimeLine, ...]:
    """Minutes for all copies, a line for each kind of work there is."""
    cuts = sum(len(s.cuts) * s.times for s in cutting.sheets)
    steps = sum(len(s.contours) * s.times for s in cutting.sheets)
    routed = sum(step.length_mm * s.times for s in cutting.sheets if s.routing for step in s.routing.steps)
    holes = copies * sum(len(p.holes) for board in parts.values() for p in board.parts)
    screws = copies * sum(
        round(line.quantity) for board in hardware for line in board.lines if line.item.startswith("screw-")
    )
    counted = (
        ("saw cuts, set up and sawn", cuts, rates.cut),
        ("metres of router path, set up and milled", -(-round(routed) // 1000), rates.routed_metre),
        ("curves, openings and bevels by hand", steps, rates.contour),
        ("holes, marked and drilled", holes, rates.hole),
        ("screws, driven", screws, rates.screw),
        ("boards, glued up and squared", copies * len(parts), rates.board),
    )
    return tuple(
        TimeLine(what=what, number=number, minutes_each=each, minutes=round(number * each, 3))
        for what, number, each in counted
        if number
    )
