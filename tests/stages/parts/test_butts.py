"""What stands against a face, and what only lies along it."""

from __future__ import annotations

from boardwright.plan.model import Point
from boardwright_stages.parts.butts import butts
from boardwright_timber.model import Member, MemberRole


def strip(id_: str, outer: tuple[Point, Point], inner: tuple[Point, Point]) -> Member:
    return Member(
        id=id_,
        role=MemberRole.SIDE,
        outer_start=outer[0],
        outer_end=outer[1],
        inner_start=inner[0],
        inner_end=inner[1],
        thickness_mm=12.0,
        depth_mm=90.0,
        material="birch ply",
    )


def test_a_strip_along_a_face_stands_against_nothing_there() -> None:
    """Its end is cut along the face of the other; no screw could go from one into the other's end."""
    side = strip("S1", ((0.0, 0.0), (1000.0, 0.0)), ((0.0, 12.0), (1000.0, 12.0)))
    along = strip("S2", ((300.0, 12.0), (600.0, 12.0)), ((300.0, 24.0), (588.0, 12.0)))
    upright = strip("S3", ((300.0, 12.0), (300.0, 400.0)), ((288.0, 12.0), (288.0, 400.0)))
    assert butts((side, along)) == ()
    (found,) = butts((side, upright))
    assert (found.butting.id, found.at_end, found.skew_deg) == ("S3", False, 0.0)
