"""A pattern stands where its room is, and one put into rooms laid over one another stands in each of them."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright_stages.joints.bores import bolt_bore, dowel_bore
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.shared_room import alike, in_common, placed, shared
from boardwright_stages.joints.spans import holds
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.model import EndRoom

WIRING = WiringSettings()
stretches = st.lists(
    st.tuples(st.integers(-290, 290), st.integers(1, 120)).map(lambda s: (float(s[0]), float(s[0] + s[1]))),
    min_size=1,
    max_size=6,
)
patterns = st.sampled_from(["symmetric", "handed"])


@st.composite
def rooms(draw: Any, asked: JointSettings) -> EndRoom:
    def spans() -> Any:
        ends = [((-300.0, 300.0),), tuple(sorted(draw(stretches)))]
        return shared(ends, asked)

    bolts = spans()
    return EndRoom(
        ends=("E01",),
        deck_mm=9.0,
        bolts_z_mm=(-24.0, -66.0),
        bolts_wanted=draw(st.integers(1, 4)),
        bolts_mm=bolts,
        handy_mm=tuple(s for s in bolts if draw(st.booleans())),
        dowels_z_mm=-45.0,
        dowels_mm=spans(),
        wires_z_mm=-45.0,
        wires_diameter_mm=20.0,
        wires_mm=spans(),
    )


@settings(max_examples=150)
@given(st.data(), patterns)
def test_what_is_put_in_two_rooms_stands_in_both(data: st.DataObject, pattern: Any) -> None:
    asked = JointSettings(pattern=pattern)
    one, other = data.draw(rooms(asked)), data.draw(rooms(asked))
    made = placed(in_common(one, other), asked, WIRING)
    for room in (one, other):
        assert all(holds(room.bolts_mm, t) for t in made.bolts_mm)
        assert all(holds(room.dowels_mm, t) for t in made.dowels_mm)
        assert all(holds(room.wires_mm, t) for t in made.wires_mm)
    apart = asked.spacing_mm - 1e-6
    assert all(b - a >= apart for a, b in pairwise(made.bolts_mm))
    assert all(abs(t - u) >= apart for t in made.bolts_mm for u in made.dowels_mm)
    for bore, places in ((bolt_bore(asked), made.bolts_mm), (dowel_bore(asked), made.dowels_mm)):
        clear = WIRING.fixing_gap_diameters * (20.0 + bore.diameter_mm) - 1e-6
        assert all(abs(t - u) >= clear for t in places for u in made.wires_mm)
    assert [-t for t in reversed(made.bolts_mm)] == list(made.bolts_mm)  # bolts are mirrored either way
    if pattern == "symmetric":
        assert [-t for t in reversed(made.dowels_mm)] == list(made.dowels_mm)


def test_a_hand_gets_to_the_bolts_where_there_is_room_for_all_of_them() -> None:
    whole = EndRoom(ends=("E01",), bolts_z_mm=(-45.0,), bolts_wanted=2, bolts_mm=((-200.0, 200.0),))
    handy = replace(whole, handy_mm=((-120.0, -60.0), (60.0, 120.0)))
    assert placed(handy, JointSettings(), WIRING).bolts_mm == (-120.0, 120.0)
    assert placed(whole, JointSettings(), WIRING).bolts_mm == (-200.0, 200.0)


def test_rooms_at_other_heights_are_not_alike() -> None:
    one = EndRoom(ends=("E01",), deck_mm=9.0, bolts_z_mm=(-45.0,), dowels_z_mm=-45.0, wires_z_mm=-45.0)
    assert alike(one, replace(one, ends=("E02",), bolts_mm=((0.0, 1.0),)))
    for field, value in (
        ("deck_mm", 12.0), ("bolts_z_mm", (-24.0, -66.0)), ("dowels_z_mm", -50.0),
        ("wires_z_mm", -50.0), ("wires_diameter_mm", 18.0),
    ):  # fmt: skip
        assert not alike(one, replace(one, **{field: value}))
