"""Legs run up beside the member they carry where no other wood stands."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import shapely
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.hardware.legs import legs_of, stand
from boardwright_stages.hardware.supporting import support_lines
from boardwright_stages.strength.leg_room import has_room
from boardwright_stages.strength.net import Place
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import BoardStrength, SupportPoint

ALONG = 1200.0


def stood(given_: dict[str, Any], **asked: Any) -> BoardStrength:
    return strength(**given_, settings=StrengthSettings(), supports=SupportSettings(**asked), notes=Notes())


def test_a_pair_moves_to_where_no_joist_stands(board: Callable[..., dict[str, Any]]) -> None:
    """From 0.22 of 1200 = 264 a leg of 44 takes 242 to 286, and 1 mm more each way; a joist of 12 there takes
    258 to 270: 264 - 6 - 22 - 1 = 235 is clear, and 30 is the nearest step of 5 away."""
    made = stood(board(joists_at=(264.0, 600.0, 900.0)))
    assert sorted({p.x_mm for p in made.points}) == [234.0, 936.0]
    plain = stood(board(joists_at=(264.0, 600.0, 900.0)), leg_lap_mm=0)
    assert sorted({p.x_mm for p in plain.points}) == [264.0, 936.0]
    trestles = stood(board(joists_at=(264.0, 600.0, 900.0)), kind="trestles")
    assert 264.0 in {p.x_mm for p in trestles.points}


def test_a_leg_added_in_a_corner_stands_beside_it(board: Callable[..., dict[str, Any]]) -> None:
    """Along a side of the box, from its end: 12 of the end, 1 of clearance, 22 of the leg; by steps of 5."""
    made = board()
    sides = [m for m in made["frame"].members if abs(m.direction[0]) > 0.5]
    corner = SupportPoint(
        member=sides[0].id, x_mm=6.0, y_mm=sides[0].outer_start[1] + 6.0, load_n=1.0, uplift_n=0.0
    )
    on = replace(stood(made), points=(corner,))
    (leg,) = legs_of(made["board"], made["frame"], made["joists"], on, SupportSettings())
    assert 35.0 <= leg.x_mm <= 40.0
    given_places = SupportSettings(points={"A": ((6.0, 6.0),)})
    (own,) = legs_of(made["board"], made["frame"], made["joists"], on, given_places)
    assert own.x_mm == 6.0  # a place of your own is yours


def test_legs_that_stand_in_one_another_get_no_rail(board: Callable[..., dict[str, Any]]) -> None:
    """A board 10 mm wide, of two joints drawn side by side: its pair stands 2 mm apart, and a rail from inner
    face to inner face would be -10 mm long."""
    made = board()
    sides = [m for m in made["frame"].members if abs(m.direction[0]) > 0.5]
    for far, rails in ((2.0, 0), (300.0, 1)):
        points = tuple(
            SupportPoint(member=m.id, x_mm=300.0, y_mm=y, load_n=1.0, uplift_n=0.0)
            for m, y in zip(sides, (6.0, 6.0 + far), strict=True)
        )
        places = SupportSettings(points={"A": tuple((p.x_mm, p.y_mm) for p in points)})
        on = replace(stood(made), points=points)
        stands = stand(made["board"], made["frame"], made["joists"], on, places)
        assert len(stands.legs) == 2
        assert len(stands.rails) == rails


def test_one_without_room_is_told(board: Callable[..., dict[str, Any]]) -> None:
    """Joists every 50 mm leave 38 between them, and a leg is 44."""
    made = board(joists_at=tuple(50.0 * n for n in range(1, 24)))
    notes = Notes()
    figures = stood(made)
    list(support_lines(made["board"], made["frame"], made["joists"], figures, (), SupportSettings(), notes))
    (told,) = (f for f in notes.findings if f.code == "BW-HARD-008")
    assert len(told.where) == len(figures.points)


def test_room_is_where_a_leg_of_wood_meets_nothing(board: Callable[..., dict[str, Any]]) -> None:
    draw, both = random.Random(5), set()
    for _ in range(20):
        made = board(joists_at=(round(draw.uniform(60, ALONG - 60), 1),))
        members = (*made["frame"].members, *made["joists"].members)
        number, side = next((i, m) for i, m in enumerate(members) if abs(m.direction[0]) > 0.5)
        line = (side.outer_start[1] + side.inner_start[1]) / 2
        inward = 1 if side.inner_start[1] > side.outer_start[1] else -1
        low, high = sorted((line + inward * 6, line + inward * 50))
        others = [shapely.Polygon(m.outline) for m in members if m is not side]
        for at in (draw.uniform(0, ALONG) for _ in range(10)):
            x = side.outer_start[0] + side.direction[0] * at
            leg = shapely.box(x - 22, low, x + 22, high)
            room = has_room(Place(number, at), members, 44.0, 70.0)
            both.add(room)
            if room:
                assert max(leg.intersection(o).area for o in others) == 0
            else:
                assert min(leg.distance(o) for o in others) <= 1.0 + 1e-6
    assert both == {True, False}
