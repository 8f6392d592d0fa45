"""A profile for ends that do not mate: proven where rooms can be compared, else told as only a guess."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright_stages.costing.settings import CostingSettings
from boardwright_stages.joints.module_ends import EndProfile, ModuleEndSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.shared_room import shared
from boardwright_stages.joints.spans import Spans, holds
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings
from boardwright_stages.together.packs import Bought
from boardwright_stages.together.proposing import End, propose
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.model import EndRoom

WIDE: Spans = ((-200.0, 200.0),)
ENDS = [
    End(
        name="a/E01",
        hand=1,
        length_mm=400.0,
        deck_above_floor_mm=1009.0,
        holes=(("bolt", 9.0, -10.0, -54.0),),
        rails_mm=(),
    )
]


def module(name: str, bolts: Spans = WIDE, **changed: Any) -> Bought:
    room = EndRoom(
        ends=("E01",),
        deck_mm=9.0,
        bolts_z_mm=(-45.0,),
        bolts_wanted=2,
        bolts_mm=bolts,
        handy_mm=bolts,
        dowels_z_mm=-45.0,
        dowels_mm=WIDE,
        wires_z_mm=-45.0,
        wires_diameter_mm=20.0,
        wires_mm=WIDE,
    )
    return Bought(
        mark=name,
        label=name,
        name=name,
        parts={},
        hardware={},
        boards={},
        rails={},
        plugs=(),
        copies=1,
        currency="EUR",
        alone=Decimal(0),
        sheets=0,
        spare=(),
        floor_mm=1000.0,
        room=msgspec.structs.replace(room, **changed),
        joints=JointSettings(),
        wiring=WiringSettings(),
        stock=StockSettings(),
        cutting=CuttingSettings(),
        costing=CostingSettings(),
    )


def told(*modules: Bought) -> str:
    notes = Notes()
    propose(modules, ENDS, notes)
    (one,) = notes.findings
    assert one.code == "BW-MANY-027"
    return one.says


def profile(says: str) -> EndProfile:
    written = tomllib.loads(says[says.index('"module_ends') : says.rindex("} }") + 3])
    asked = {"profile": "ours", "profiles": written["module_ends.profiles"]}
    chosen = msgspec.convert(asked, ModuleEndSettings).chosen
    assert chosen
    return chosen


stretches = st.lists(
    st.tuples(st.floats(-190, 190), st.floats(0.5, 150)).map(lambda s: (s[0], s[0] + s[1])),
    min_size=1,
    max_size=5,
)


@settings(max_examples=60)
@given(st.lists(stretches, min_size=2, max_size=4))
def test_what_is_written_has_room_everywhere(every: list[list[tuple[float, float]]]) -> None:
    """To a hundredth, as it is written; where there is none, no place is told."""
    modules = [module(f"m{n}", shared([tuple(sorted(s))], JointSettings())) for n, s in enumerate(every)]
    says = told(*modules)
    if says.startswith("No profile"):
        return
    for t, below in profile(says).bolts:
        assert below == 54.0
        assert all(holds(m.room.bolts_mm, t) for m in modules)


def test_outermost_places_that_all_have() -> None:
    says = told(module("a", ((-150.0, 150.0),)), module("b", ((-120.5, -80.0), (80.0, 120.5))))
    assert says.startswith("A profile that has room on every end of every module: ")
    assert profile(says).bolts == ((-120.5, 54.0), (120.5, 54.0))


def test_what_there_is_no_room_for_is_told_and_written_as_none() -> None:
    """Else each module would put its own dowels."""
    says = told(module("a"), module("b", ((-10.0, 10.0),), dowels_mm=()))
    assert "though for 1 of 2 bolts in a row and 0 of 2 dowels only" in says
    chosen = profile(says)
    assert (chosen.bolts, chosen.dowels) == (((0.0, 54.0),), ())


def test_the_module_that_is_in_the_way_is_named() -> None:
    one, other = ((-160.0, -110.0), (110.0, 160.0)), ((-60.0, -30.0), (30.0, 60.0))
    says = told(module("a", one), module("b", one), module("c", other))
    assert says == (
        "No profile can serve all these modules: their ends have no place for a bolt in common; all others "
        "have one where c is left out"
    )


@pytest.mark.parametrize(
    ("other", "why"),
    [
        (module("b", ends=()), "the pack of b does not tell where its ends have room."),
        (module("b", deck_mm=12.0), "decks, depths or heights of holes of a and b differ."),
        (
            msgspec.structs.replace(module("b"), joints=JointSettings(bolt_size="M10")),
            "[joints] or [wiring] of a and b differ.",
        ),
    ],
)
def test_rooms_that_cannot_be_compared_are_told(other: Bought, why: str) -> None:
    says = told(module("a"), other)
    assert says.startswith("A profile that all may be able to take, from the narrowest end: ")
    assert says.endswith(f"Whether all have room for it is not known: {why}")
    assert profile(says).bolts == ((-10.0, 54.0),)
