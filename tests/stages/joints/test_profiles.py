"""Ends made to a profile: drilled there and nowhere else, and held against what is published."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.joints.ends import places_of
from boardwright_stages.joints.module_ends import EndProfile, ModuleEndSettings
from boardwright_stages.joints.profiled import EndFace, profiled
from boardwright_stages.joints.settings import JointSettings
from boardwright_timber.model import EndPattern, Joint
from boardwright_timber.reference import PUBLISHED_ENDS

CHOSEN = EndPattern(
    ends=("E01", "E02"), bolts_mm=(-206.0, 206.0), bolts_z_mm=(-45.0,), wires_diameter_mm=22.0
)
DECK_MM = 9.0


def face(name: str = "E01", width_mm: float = 600.0, **changed: Any) -> EndFace:
    """90 mm deep, its deck's upper face 1109 above the floor, one track over its middle; a joist stands where
    t is 100 to 130."""
    free = ((32.0 - width_mm / 2, 85.0), (145.0, width_mm / 2 - 32.0))
    plain = EndFace(
        id=name,
        board="B01",
        width_mm=width_mm,
        depth_mm=90.0,
        deck_above_floor_mm=1109.0,
        rails_mm=(0.0,),
        bolted=lambda bore, z_mm: free,
        clear=lambda bore, z_mm: free,
    )
    return replace(plain, **changed)


def made(profile: EndProfile, *ends: EndFace, **how: Any) -> tuple[EndPattern, Notes]:
    notes = Notes()
    return profiled(CHOSEN, ends or (face(),), profile, DECK_MM, JointSettings(**how), notes), notes


OURS = EndProfile(
    rail_above_deck_mm=6.0,
    bolts=((-200.0, 45.0), (0.0, 75.0), (200.0, 45.0)),
    dowels=((-60.0, 50.0), (60.0, 50.0)),
    wires=((-30.0, 60.0), (30.0, 60.0)),
    wire_hole_mm=20.0,
    width_mm=600.0,
    rail_above_floor_mm=1115.0,
    tracks_at_mm=(0.0,),
)


def test_holes_are_where_the_profile_has_them() -> None:
    """The rails lie 6 + 9 = 15 above the deck's underside: 45 below them is z = -30, 75 is -60."""
    pattern, notes = made(OURS)
    assert pattern.bolts == ((-200.0, -30.0), (0.0, -60.0), (200.0, -30.0))
    assert pattern.dowels == ((-60.0, -35.0), (60.0, -35.0))
    assert (pattern.wires, pattern.wires_diameter_mm) == (((-30.0, -45.0), (30.0, -45.0)), 20.0)
    assert notes.findings == []
    left = Joint(id="E01", boards=("B01", "B01"), start=(0.0, 600.0), end=(0.0, 0.0))
    assert places_of(left, pattern.bolts) == ((100.0, -30.0), (300.0, -60.0), (500.0, -30.0))


def test_what_it_does_not_say_is_chosen() -> None:
    pattern, _ = made(EndProfile(tracks_at_mm=(0.0,)))
    assert pattern.bolts == ((-206.0, -45.0), (206.0, -45.0))
    assert pattern.wires_diameter_mm == 22.0


def test_a_place_that_is_not_clear_is_a_fault() -> None:
    _, notes = made(replace(OURS, bolts=((-110.0, 45.0), (110.0, 45.0))))
    (found,) = notes.findings
    assert (found.code, found.severity.value) == ("BW-JOINT-012", "fault")
    assert "110 mm" in found.says
    assert "-110" not in found.says
    _, notes = made(replace(OURS, bolts=((-200.0, 14.0), (200.0, 14.0))))  # above the frame
    assert [f.code for f in notes.findings] == ["BW-JOINT-012"]
    _, notes = made(replace(OURS, bolts=((-200.0, 100.0), (200.0, 100.0))))  # 85 down of 90
    assert [f.code for f in notes.findings] == ["BW-JOINT-012"]


def test_lopsided_places_are_for_handed_ends() -> None:
    lopsided = replace(OURS, bolts=((-200.0, 45.0), (160.0, 45.0)))
    assert [f.code for f in made(lopsided)[1].findings] == ["BW-JOINT-014"]
    assert made(lopsided, pattern="handed")[1].findings == []


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"width_mm": 620.0}, "620 mm wide, its profile 600"),
        ({"deck_above_floor_mm": 1100.0}, "rails 1106 mm above the floor, its profile 1115"),
        ({"rails_mm": (-20.0,)}, "tracks at -20 mm from its middle, its profile has 0"),
        ({"rails_mm": ()}, "no place"),
    ],
)
def test_an_end_that_is_otherwise_is_told(changed: dict[str, Any], says: str) -> None:
    notes = made(OURS, face(), face("E02", **changed))[1]
    (found,) = notes.findings
    assert (found.code, found.severity.value) == ("BW-JOINT-014", "caution")
    assert says in found.says
    assert "E02" in found.says


def test_the_height_is_mended_by_what_is_missing() -> None:
    (found,) = made(OURS, face(deck_above_floor_mm=1100.0))[1].findings
    assert "by +9" in found.mend  # 1115 - 1106


def test_published_holes_are_never_guessed() -> None:
    """Read, NEM 934 E (2015): 600 or 400 wide, five holes of 10 for M8, rails 1150 above the floor."""
    settings = ModuleEndSettings(profile="NEM 934 E")
    assert settings.chosen is not None
    _, notes = made(settings.chosen, face(deck_above_floor_mm=1150.0), bolt_fit="coarse")
    assert [(f.code, f.severity.value) for f in notes.findings] == [
        ("BW-JOINT-015", "note"),
        ("BW-JOINT-014", "fault"),
    ]
    told, wrong = notes.findings
    assert "NEM 934 E (2015, national sheet), read" in told.says
    assert "where the holes are" in told.says
    assert "5 holes for bolts; where they are is not given" in wrong.says
    five = tuple((t, 45.0) for t in (-200.0, -60.0, 0.0, 60.0, 200.0))
    ours = replace(settings.chosen, bolts=five)
    _, notes = made(ours, face(deck_above_floor_mm=1150.0), bolt_fit="coarse")
    (told,) = notes.findings
    assert "where the holes are" not in told.says
    medium = made(ours, face(deck_above_floor_mm=1150.0))[1]  # M8 in a medium fit: 9 mm
    assert any('joints.bolt_fit = "coarse"' in f.mend for f in medium.findings)
    wide = made(ours, face(deck_above_floor_mm=1150.0, width_mm=500.0), bolt_fit="coarse")[1]
    assert any("profile 600 or 400" in f.says for f in wide.findings)


def test_published_height_of_holes() -> None:
    """Read, NEM 961 D / 909 D: holes 67 below the rails."""
    low = EndProfile(based_on="NEM 961 D", bolts=((-200.0, 67.0), (200.0, 67.0)))
    assert [f.code for f in made(low)[1].findings] == ["BW-JOINT-015"]
    other = replace(low, bolts=((-200.0, 60.0), (200.0, 60.0)))
    assert any("67 mm below the rails; yours are 60" in f.says for f in made(other)[1].findings)


def test_every_published_end_names_its_source_and_what_it_leaves_open() -> None:
    for name, row in PUBLISHED_ENDS.items():
        assert row.name == name
        assert row.source.endswith("read")
        assert row.says
        assert any("where the holes are" in words for words in row.open)


def test_the_profile_of_the_page_can_be_read() -> None:
    page = (Path(__file__).parents[3] / "docs" / "joints.md").read_text()
    _, _, section = page.partition("### A profile of the ends")
    profile, connectors = re.findall(r"```toml\n(.+?)```", section, flags=re.DOTALL)[:2]
    tables = tomllib.loads(profile + connectors)
    chosen = msgspec.convert(tables["module_ends"], ModuleEndSettings).chosen
    assert chosen is not None
    free = ((-168.0, 168.0),)
    seen = face(
        width_mm=400.0,
        deck_above_floor_mm=1009.0,
        **dict.fromkeys(("bolted", "clear"), lambda bore, z_mm: free),
    )
    assert made(chosen, seen)[1].findings == []
    assert [c.name for c in chosen.connectors] == ["track"]


def test_a_profile_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="no profile is called ours: there are NEM 934 E, NEM 961 D"):
        ModuleEndSettings(profile="ours")
    with pytest.raises(ValueError, match="no published end"):
        EndProfile(based_on="NEM 1")
    own = ModuleEndSettings(profile="ours", profiles={"ours": OURS})
    assert own.chosen == OURS
    assert ModuleEndSettings().chosen is None
