"""Ends of a series face to face, against a brute comparison of the wood."""

from __future__ import annotations

import math
import tomllib
from typing import Literal

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright_stages.joints.module_ends import Connector, ModuleEndSettings
from boardwright_stages.together.mating import NO_MATE_MM, meeting, plugged
from boardwright_stages.together.proposing import End, of_the_narrowest
from boardwright_timber.model import JointPlug, Pin

PLACE = st.integers(-3, 3).map(lambda n: 50.0 * n)
HOLES = st.lists(
    st.tuples(st.sampled_from(["bolt", "dowel"]), st.sampled_from([9.0, 10.0]), PLACE, st.just(-45.0)),
    max_size=4,
).map(tuple)


def end(holes: tuple[tuple[str, float, float, float], ...], rails: tuple[float, ...] = (0.0,)) -> End:
    return End(name="a/E01", hand=1, length_mm=400.0, deck_above_floor_mm=1009.0, holes=holes, rails_mm=rails)


def stood(one: End, x_mm: float, facing: int) -> list[tuple[str, float, float, float]]:
    """Holes in a room: the end stands at x_mm and faces right (1) or left (-1)."""
    return [(kind, d, x_mm, facing * t) for kind, d, t, _ in one.holes]


@given(HOLES, HOLES)
@settings(deadline=None, max_examples=100, derandomize=True)
def test_holes_meet_where_the_wood_does(mine: tuple, theirs: tuple) -> None:  # type: ignore[type-arg]  # drawn
    one, other = end(mine), end(theirs)
    here, there = stood(one, 0.0, 1), stood(other, 0.0, -1)
    alike = set(here) == set(there)
    met = meeting(one, other)
    assert met.mates == (alike and bool(mine))
    if not alike:
        lone = set(here) ^ set(there)
        distances = [
            min(
                (math.dist(a[2:], b[2:]) for b in (there if a in here else here) if b[:2] == a[:2]),
                default=NO_MATE_MM,
            )
            for a in lone
        ]
        assert met.apart_mm == max(distances)
    assert meeting(other, one).mates == met.mates


def test_handed_ends_meet_only_their_mirror_image() -> None:
    right = end((("dowel", 10.0, 100.0, -45.0), ("dowel", 10.0, -60.0, -45.0)))
    left = end(tuple((k, d, -t, h) for k, d, t, h in right.holes))
    assert meeting(right, left).mates
    assert meeting(right, right).apart_mm == 40.0
    assert not meeting(left, left).mates


def test_decks_of_other_thickness_are_seen() -> None:
    one = end((("bolt", 9.0, 0.0, -54.0),))
    other = replace(one, holes=(("bolt", 9.0, 0.0, -57.0),))
    assert meeting(one, other).apart_mm == 3.0


def test_rails_that_do_not_meet() -> None:
    bolt = (("bolt", 9.0, 0.0, -54.0),)
    assert meeting(end(bolt, (-20.0, 30.0)), end(bolt, (-30.0, 20.0))).mates
    assert meeting(end(bolt, (-20.0, 30.0)), end(bolt, (-20.0, 30.0))).rails_mm == 10.0
    assert meeting(end(bolt, (0.0,)), end(bolt, ())).rails_mm is None


def fitted(
    halves: Literal["alike", "both", "plug right"], hand: int, pins: tuple[str, ...] = ("front", "back")
) -> tuple[JointPlug, ...]:
    connector = Connector(name="track", run="power bus", pins=pins, halves=halves)
    carried = tuple(Pin(number=n, run="", core=0, colour="", carries=p) for n, p in enumerate(pins, 1))
    return tuple(
        JointPlug(id=h, joint="E01", boards=("B01", "B01"), ways=2, pins=carried, half=h, name="track")
        for h in connector.halves_at(hand)
    )


def test_connectors_of_ends_that_meet() -> None:
    """Either way round: two halves at each end, or halves that mate with their like; else right to left."""
    for halves in ("both", "alike"):
        assert plugged(fitted(halves, 1), fitted(halves, 1)) == ""
        assert plugged(fitted(halves, 1), fitted(halves, -1)) == ""
    assert plugged(fitted("plug right", 1), fitted("plug right", -1)) == ""
    assert plugged(fitted("plug right", 1), fitted("plug right", 1)) == "track: plug comes to plug"
    assert "alone" in plugged(fitted("both", 1), ())
    assert "do not carry the same" in plugged(fitted("both", 1), fitted("both", 1, ("back", "front")))
    assert plugged((), ()) == ""


def test_what_is_amiss_with_connectors_keeps_ends_from_mating() -> None:
    bolt = end((("bolt", 9.0, 0.0, -54.0),))
    one, other = replace(bolt, plugs=fitted("plug right", 1)), replace(bolt, plugs=fitted("plug right", -1))
    assert meeting(one, other).mates
    assert meeting(one, other).connectors == 1
    assert not meeting(one, one).mates


def test_the_profile_proposed_is_that_of_the_narrowest_end() -> None:
    """Seen on an end that faces right: on one that faces left, places are turned over."""
    narrow = end((("bolt", 9.0, -140.0, -54.0), ("bolt", 9.0, 100.0, -54.0), ("wire", 20.0, 30.0, -60.0)))
    left = replace(narrow, hand=-1, holes=tuple((k, d, -t, h) for k, d, t, h in narrow.holes))
    wide = end((("bolt", 9.0, 0.0, -54.0),))
    for one in (narrow, left):
        written = tomllib.loads(of_the_narrowest([replace(wide, length_mm=500.0), one]))
        settings_ = {"profile": "ours", "profiles": written["module_ends.profiles"]}
        chosen = msgspec.convert(settings_, ModuleEndSettings).chosen
        assert chosen is not None
        assert chosen.bolts == ((-140.0, 54.0), (100.0, 54.0))
        assert (chosen.dowels, chosen.wires) == ((), ((30.0, 60.0),))
