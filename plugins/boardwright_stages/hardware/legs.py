"""The legs of a board: one for every place where the strength stage puts one, and rails across between pairs.

Claim: a leg is as long as its place is above the floor less its foot, to a whole millimetre; the foot's
thread takes up the rest. A board on trestles, brackets or battens has none, nor has one that lies on its
neighbours.

What this does not know: splayed legs, folding gear, sloping floors.
"""

from __future__ import annotations

import math

from boardwright import stage
from boardwright.plan.model import Point
from boardwright_timber.model import Board, BoardStand, BoardStrength, Frame, Joists, Leg, LegRail

from ..strength.levels import AS_ALL, BoardSupports
from ..strength.settings import SupportSettings

SHORTEST_LEG_MM = 50.0


@stage(each=True)
def stand(
    board: Board,
    frame: Frame,
    joists: Joists,
    strength: BoardStrength,
    settings: SupportSettings,
    level: BoardSupports = AS_ALL,
) -> BoardStand:
    """Legs and rails of one board; none where they would be shorter than SHORTEST_LEG_MM."""
    legs = legs_of(board, frame, joists, strength, level.over(settings))
    if not legs or min(leg.length_mm for leg in legs) < SHORTEST_LEG_MM:
        return BoardStand(board=board.id)
    rails = tuple(
        LegRail(id=f"{board.id}-LR{n}", start=a, end=b, length_mm=float(round(math.dist(a, b))))
        for n, (a, b) in enumerate(_pairs([(leg.x_mm, leg.y_mm) for leg in legs]), 1)
    )
    return BoardStand(board=board.id, legs=legs, rails=rails)


def legs_of(
    board: Board, frame: Frame, joists: Joists, strength: BoardStrength, settings: SupportSettings
) -> tuple[Leg, ...]:
    """Legs however short."""
    if board.lift_out or settings.battens.get(board.id):
        return ()
    if settings.kind != "legs" and board.id not in settings.points:
        return ()
    low = {m.id: m.bottom_mm for m in (*frame.members, *joists.members)}
    above = settings.floor_below_mm + board.level_mm
    return tuple(
        Leg(
            id=f"{board.id}-L{n}",
            member=p.member,
            x_mm=p.x_mm,
            y_mm=p.y_mm,
            top_mm=low[p.member],
            length_mm=float(round(above + low[p.member] - settings.foot_mm)),
            side_mm=settings.leg_mm,
            foot_mm=settings.foot_mm,
        )
        for n, p in enumerate((p for p in strength.points if not p.on), 1)
    )


def _pairs(points: list[Point]) -> list[tuple[Point, Point]]:
    """Legs that stand in one line along or across the board, two by two in the order they were chosen."""
    left, found = list(points), []
    while len(left) > 1:
        a, b = left[:2]
        if min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1.0:
            found.append((a, b))
            left = left[2:]
        else:
            left = left[1:]
    return found
