"""Risers one by one, by hand: which face of a noggin takes one, and how wide it is; and what bears a deck."""

from __future__ import annotations

import math

import pytest
import shapely
from any_shapes import board_of

from boardwright import Notes
from boardwright.plan.model import Device, Ring, Track
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists.risers import Stood, risers
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.joists.stands import Face, Stand, hair_more
from boardwright_stages.strength.needs import span_borne_mm
from boardwright_stages.strength.open_deck import open_deck_places
from boardwright_stages.strength.settings import StrengthSettings
from boardwright_timber.model import BoardPlan, Member, MemberRole, Panel

OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0))


def strip(role: MemberRole, x0: float, x1: float, y: float, top_mm: float = -60.0) -> Member:
    """12 mm thick along the board, its outer face at y."""
    return Member(
        id=f"B01-{role}",
        role=role,
        outer_start=(x0, y),
        outer_end=(x1, y),
        inner_start=(x0, y + 12),
        inner_end=(x1, y + 12),
        thickness_mm=12.0,
        depth_mm=90.0,
        material="birch ply",
        top_mm=top_mm,
    )


def deck_from(y: float, left: float = 0.0) -> Panel:
    """80 mm wide."""
    return Panel(ring=((left, y), (1200.0, y), (1200.0, y + 80), (left, y + 80)))


def motor(x0: float, x1: float, y0: float, y1: float) -> Device:
    return Device(
        id="D1",
        kind="servo",
        x_mm=(x0 + x1) / 2,
        y_mm=(y0 + y1) / 2,
        length_mm=x1 - x0,
        width_mm=y1 - y0,
        depth_mm=40,
        clearance_mm=0,
    )


def stood(deck: Panel, *motors: Device, least_mm: float = 30.0) -> Stood:
    noggin = strip(MemberRole.NOGGIN, 450, 750, 64)
    room = shapely.box(12, 12, 1188, 488)
    return risers(board_of(OBLONG), room, (noggin,), (deck,), motors, 30.0, 250.0, least_mm)


@pytest.mark.parametrize("taken_mm", [50, 200])
def test_a_riser_stands_below_the_deck_where_it_can(taken_mm: float) -> None:
    """A noggin at 64 to 76 along the edge of a deck that begins at 60: on its outer face a riser at 52 to 64
    would have 4 mm of its 12 below the deck, so it is none, however much a device leaves on the inner one."""
    found = stood(deck_from(60), motor(450, 450 + taken_mm, 78, 122))
    (riser,) = found.risers
    assert riser.outer_start[1] == 76
    assert math.dist(riser.outer_start, riser.outer_end) == pytest.approx(300 - taken_mm, abs=0.1)
    assert found[1:4] == ((), (), ())


@pytest.mark.parametrize("beside", [True, False])
def test_what_squeezing_would_change_is_known(beside: bool) -> None:
    """Other wood on the noggin's inner face leaves 20 mm of it, less than the 30 wanted: none stands there
    unless squeezed. With no such wood squeezing changes nothing, and nothing says that it would."""
    noggin, other = strip(MemberRole.NOGGIN, 450, 750, 64), strip(MemberRole.END, 470, 750, 76)
    holders = (noggin, other) if beside else (noggin,)
    given = (
        board_of(OBLONG),
        shapely.box(12, 12, 1188, 488),
        holders,
        (deck_from(60),),
        (),
        30.0,
        250.0,
        30.0,
    )
    loose, tight = (risers(*given, squeezed=squeezed) for squeezed in (False, True))
    assert (loose.pinched, tight.pinched) == (beside, False)
    if beside:
        on_noggin = [r for r in tight.risers if r.outer_start[1] == 76]
        assert [r.length_mm for r in on_noggin] == pytest.approx([20], abs=0.1)
        assert len(loose.risers) == len(tight.risers) - 1
    else:
        assert loose == tight


@pytest.mark.parametrize(("begins", "inner"), [(57, False), (59, True)])
def test_half_of_its_thickness_makes_a_bearing(begins: float, inner: bool) -> None:
    """Devices take the inner face. A deck that begins at 57 covers 7 of the 12 mm of a riser at 52 to 64; one
    that begins at 59 covers 5, and that is none: the noggin is told to be bare."""
    found = stood(deck_from(begins), motor(440, 760, 77, 122))
    assert [r.outer_start[1] for r in found.risers] == ([] if inner else [52])
    assert [m.role for m in found.bare] == ([MemberRole.NOGGIN] if inner else [])


@pytest.mark.parametrize("thick_mm", [12.0, 15.0])
def test_a_joist_without_a_riser_is_a_caution_only_where_its_deck_needs_one(thick_mm: float) -> None:
    """A motor takes both faces of the joist at 486 to 498. The risers beside it, 12 thick, stand at 260 and
    736: over 476 mm from middle to middle 12 mm birch ply 80 mm wide gives too much, 15 mm does not."""
    borne = span_borne_mm("birch ply", thick_mm, StrengthSettings(), 80.0)
    assert (borne > 476) == (thick_mm == 15)
    board, notes = board_of(OBLONG), Notes()
    tracks = (Track(id="T1", points=((0.0, 250.0), (1200.0, 250.0))),)
    plan = BoardPlan(board="B01", tracks=tracks, devices=(motor(472, 512, 200, 300),), own_devices=("D1",))
    wood = FramingSettings(member_thickness_mm=12, deck_thickness_mm=thick_mm)
    made = open_top(board, plan, wood, OpenTopSettings(), notes)
    found = joists(board, plan, made, wood, JoistSettings(), notes)
    stations = {round(m.outer_start[0]) for m in found.members if m.role is MemberRole.RISER}
    assert {260, 736} <= stations
    assert not {s for s in stations if 260 < s < 736}
    (told,) = (f for f in notes.findings if f.code == "BW-JOIST-007")
    assert told.severity == ("note" if borne > 476 else "caution")
    assert [p.item for p in told.where] == ["B01-J2"]
    assert told.says.startswith("No riser can stand on joist B01-J2 under the deck")


def test_a_narrow_stretch_of_deck_gets_a_riser_beside_it() -> None:
    """The deck begins at 732: 18 mm of the noggin's end are below it. The riser is 30 wide, its end flush
    with the noggin's: 18 of 30 below, 60 %. At 50 wanted it is 36, twice what is below, and that is told."""
    (riser,) = stood(deck_from(30, left=732)).risers
    assert (riser.outer_start[0], riser.outer_end[0]) == pytest.approx((720, 750))
    wide = stood(deck_from(30, left=732), least_mm=50)
    assert [r.length_mm for r in wide.narrow] == pytest.approx([36])
    assert wide.narrow == wide.risers
    assert not stood(deck_from(30, left=736)).risers, "14 mm hold nothing"


def test_a_narrow_riser_is_better_than_none_and_told() -> None:
    """Devices on both faces leave 22 mm: at 450 to 472. No room is left to widen it."""
    found = stood(deck_from(30), motor(472, 760, 40, 63), motor(472, 760, 77, 122))
    assert [r.length_mm for r in found.narrow] == pytest.approx([22], abs=0.02)
    assert found.narrow == found.risers
    assert [r.length_mm for r in stood(deck_from(30), motor(472, 760, 40, 63)).risers] == pytest.approx([300])


def test_none_is_widened_into_a_lower_deck() -> None:
    """Beside a deck from 732 on, one that lies 20 mm lower ends at 729: the riser begins 0.01 mm after that,
    not at 720, and 21 mm is told. If the neighbour is as high, the riser may reach below it."""
    heights = {"low": -20.0, "level": 0.0}
    for name, z in heights.items():
        ring: Ring = ((0.0, 30.0), (729.0, 30.0), (729.0, 110.0), (0.0, 110.0))
        beside = Panel(ring=ring, ways=(((0, 70, z), (729, 70, z)),))
        own = Panel(ring=deck_from(30, left=732).ring, ways=(((732, 70, 0), (1200, 70, 0)),))
        noggin, room = strip(MemberRole.NOGGIN, 450, 750, 64), shapely.box(12, 12, 1188, 488)
        found = risers(board_of(OBLONG), room, (noggin,), (own, beside), (), 30.0, 250.0, 30.0)
        first = found.risers[0]
        assert first.outer_end[0] == pytest.approx(750)
        assert first.length_mm == pytest.approx(21 if name == "low" else 30, abs=0.02)
        assert (first in found.narrow) == (name == "low")


@pytest.mark.parametrize(("begins", "span"), [(57, 168.5), (59, None)])
def test_strength_counts_no_bearer_that_is_half_beside_the_deck(begins: float, span: float | None) -> None:
    """Two risers along the board, their middle lines at 58 and at 234: a deck that begins at 57 spans between
    them (the lower one counts from the edge to 10 mm past its face, 57 to 74, its middle at 65.5: the
    span is 168.5). Of one that begins at 59 the lower one bears nothing, and one alone holds no strip."""
    low, high = (strip(MemberRole.RISER, 0, 400, y, 0.0) for y in (52.0, 228.0))
    panel = Panel(ring=((0.0, begins), (400.0, begins), (400.0, 260.0), (0.0, 260.0)))
    measured = open_deck_places((panel,), (low, high), 1e-4, 1e5, 1e5)
    assert bool(measured.loose) == (span is None), "what nothing holds is told, not left out"
    middle = [one for one, _ in measured.held if abs(one.y_mm - 146) < 30 and abs(one.x_mm - 200) < 50]
    assert bool(middle) == (span is not None)
    assert all(one.span_mm == pytest.approx(span, abs=0.1) for one in middle)


def test_two_stretches_on_one_face_are_not_widened_into_each_other() -> None:
    """A saw cut 5 mm wide in the deck, 134 to 139 from the left, parts it over a joist; at 158 another strip
    begins. The stretch right of the cut, 19 mm, grows left as far as the first one, not to 30 mm."""
    joist = strip(MemberRole.JOIST, 0, 200, 0.0, -60.0)
    deck = shapely.box(0, -40, 200, 60).difference(shapely.box(134, -40, 139, 40))
    place = Stand(joist, deck, hair_more(shapely.box(0, -40, 200, 60)))
    face = Face(False, [(0.0, 134.0), (139.0, 170.0)])
    _, spans = place.best([face], [shapely.box(158, -12, 200, 0)], 15.0, 30.0)
    assert spans == [pytest.approx((0.0, 134.0)), pytest.approx((134.01, 157.99))]
    assert place.best([face], [shapely.box(158, -12, 200, 0)], 30.0, 30.0).spans == spans[:1]
