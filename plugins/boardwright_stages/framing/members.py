"""Members of one outline, and how they meet at its corners.

Glossary
    through   at a butt the longer member runs through and the other stands against it (common practice, no
              source: long sides run through, ends fit between). Of two equally long ones a side goes before
              an end, then the one that lies more along the board
    mitred    where the edge turns only little both are cut along the bisector

At an outward corner the through member ends on the other's outer line, and the butting one on the through
member's inner line; at an inward corner the through member ends on the other's inner line and the butting one
on its outer line. So the members' plan shapes fill the band between outer and inner polygon exactly once.

What this does not know: screws, and members that collide across a narrow neck (see ``stages``).
"""

from __future__ import annotations

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import Line, line_through, meet, sides, snap_point
from boardwright_timber.model import Member, MemberRole


class Strip(msgspec.Struct, frozen=True):
    """What the members of a frame are cut from."""

    thickness_mm: float
    depth_mm: float
    material: str


class Corner(msgspec.Struct, frozen=True):
    """``inner``: where the inner lines meet. ``arriving``, ``leaving``: (outer, inner) member ends."""

    at: Point
    inner: Point
    turn_deg: float
    arriving: tuple[Point, Point]
    leaving: tuple[Point, Point]


class Spot(msgspec.Struct, frozen=True):
    """A member wanted on one edge."""

    id: str
    role: MemberRole


def corners(ring: Ring, places: list[Spot], strip: Strip, max_mitre_deg: float) -> list[Corner]:
    """Corner k is where edge k begins."""
    outer = [line_through(a, b) for a, b in sides(ring)]
    inner = [line.moved_left(strip.thickness_mm) for line in outer]
    lengths = [line.along(b) for line, (_, b) in zip(outer, sides(ring), strict=True)]

    def rank(k: int) -> tuple[float, bool, float, int]:
        return (
            round(lengths[k], 1),
            places[k].role is not MemberRole.END,
            round(abs(outer[k].dx), 3),
            -k,
        )

    found = []
    for k, at in enumerate(ring):
        before = (k - 1) % len(ring)
        a, b, a_in, b_in = outer[before], outer[k], inner[before], inner[k]
        turn, inside = a.turn_to(b), _meet(a_in, b_in, at)
        if abs(turn) < max_mitre_deg:
            arriving = leaving = (at, inside)
        else:
            first_through = rank(before) > rank(k)
            through, butting = (a, b) if first_through else (b, a)
            through_in, butting_in = (a_in, b_in) if first_through else (b_in, a_in)
            if turn > 0:
                shared = _meet(through_in, butting, at)
                ends = ((at, shared), (shared, inside))
            else:
                shared = _meet(through, butting_in, at)
                ends = ((shared, inside), (at, shared))
            arriving, leaving = ends if first_through else (ends[1], ends[0])
        found.append(Corner(at, inside, turn, arriving, leaving))
    return found


def _meet(p: Line, q: Line, otherwise: Point) -> Point:
    found = meet(p, q)
    return otherwise if found is None else found


def member_on(place: Spot, start: Corner, end: Corner, strip: Strip) -> Member:
    return Member(
        id=place.id,
        role=place.role,
        outer_start=snap_point(start.leaving[0]),
        outer_end=snap_point(end.arriving[0]),
        inner_start=snap_point(start.leaving[1]),
        inner_end=snap_point(end.arriving[1]),
        thickness_mm=strip.thickness_mm,
        depth_mm=strip.depth_mm,
        material=strip.material,
    )


def face_lengths(member: Member, line: Line) -> tuple[float, float]:
    """Lengths of the outer and the inner face along the edge; not above 0 when there is no room for it."""
    return (
        line.along(member.outer_end) - line.along(member.outer_start),
        line.along(member.inner_end) - line.along(member.inner_start),
    )
