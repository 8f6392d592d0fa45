"""Sizes of one thickness share where noggins and risers stand: the same as found anew, and found once."""

from __future__ import annotations

import pytest
from any_shapes import board_of
from climbs import OBLONG

from boardwright import Notes
from boardwright.plan.model import Device, Track
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.sandwich_settings import SandwichSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists import narrow
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.strength import open_deck
from boardwright_timber.model import BoardPlan, FrameSize, Joists, MemberRole, Strip

MOTOR = Device(
    id="M1", kind="servo", x_mm=590, y_mm=210, length_mm=60, width_mm=40, depth_mm=40, clearance_mm=5
)
TRACK = Track(id="T1", points=((0.0, 100.0), (500.0, 120.0), (900.0, 350.0), (1200.0, 420.0)))


def of_size(strip: Strip, *, girders: bool, hollow: bool) -> tuple[Joists, list[str]]:
    board, notes, framing = (
        board_of(OBLONG),
        Notes(),
        FramingSettings(sides="sandwich" if hollow else "solid"),
    )
    plan = BoardPlan(board="B01", tracks=(TRACK,), devices=(MOTOR,), own_devices=("M1",))
    skins, size, open_ = SandwichSettings(), FrameSize(strip=strip), OpenTopSettings()
    made = (
        l_girder_open(board, plan, framing, GirderSettings(), open_, notes, size, skins)
        if girders
        else open_top(board, plan, framing, open_, notes, size, skins)
    )
    found = joists(board, plan, made, framing, JoistSettings(), notes, open_, size=size)
    return found, [f"{f.code} {f.says}" for f in notes.findings]


@pytest.mark.parametrize(("girders", "hollow"), [(False, False), (False, True), (True, False)])
def test_a_shared_answer_is_that_found_anew(girders: bool, hollow: bool) -> None:
    """Ply 12 thick 120 deep, then softwood of the same thickness 70 deep: the second takes over where noggins
    and risers of the first stand, with its own depth and wood."""
    first, then = (
        Strip(thickness_mm=12.0, depth_mm=depth, material=material, kg_per_m=1.0)
        for depth, material in ((120.0, "birch ply"), (70.0, "softwood"))
    )
    anew = []
    for strip in (first, then):
        narrow._best.cache_clear()
        open_deck._held.cache_clear()
        anew.append(of_size(strip, girders=girders, hollow=hollow))
    narrow._best.cache_clear()
    assert [of_size(s, girders=girders, hollow=hollow) for s in (first, then)] == anew
    shared = narrow._best.cache_info()
    assert shared.hits == shared.misses == 1
    standing = [m for m in anew[1][0].members if m.role in (MemberRole.RISER, MemberRole.NOGGIN)]
    assert {m.role for m in standing} == {MemberRole.RISER, MemberRole.NOGGIN}
    assert all(m.material == "softwood" for m in standing if not hollow)
    deep = {m.depth_mm for m in standing if m.role is MemberRole.NOGGIN}
    assert deep == {GirderSettings().joist_depth_mm if girders else 70.0}


def test_another_thickness_is_looked_for_anew() -> None:
    narrow._best.cache_clear()
    for thick in (9.0, 12.0):
        of_size(
            Strip(thickness_mm=thick, depth_mm=90.0, material="birch ply", kg_per_m=1.0),
            girders=False,
            hollow=False,
        )
    assert narrow._best.cache_info().hits == 0
