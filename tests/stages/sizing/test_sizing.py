"""Sizing: the lightest or cheapest that holds, and the next that does not, checked against single runs."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal, NamedTuple

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright.plan.model import Device, Track
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.parts.stages import parts
from boardwright_stages.sizing.candidates import strips as candidates
from boardwright_stages.sizing.settings import SizingSettings, StripSize
from boardwright_stages.sizing.stages import frame_size, sizing
from boardwright_stages.sizing.trying import Rules, tried, tried_together
from boardwright_stages.strength.levels import board_supports
from boardwright_stages.strength.settings import LevelSupports, StrengthSettings, SupportSettings
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardSizing,
    BoardWiring,
    FrameSize,
    Strip,
)

BOARD = Board(
    id="A",
    outline="O1",
    level_mm=0.0,
    ring=((0.0, 0.0), (1800.0, 0.0), (1800.0, 600.0), (0.0, 600.0)),
    origin=(0.0, 0.0),
    angle_deg=0.0,
    length_mm=1800.0,
    width_mm=600.0,
)
SUPPORTS = SupportSettings(most_added=0)


def advice(
    *strips: tuple[float, float], limits: StrengthSettings | None = None, style: str = "box", on: bool = True
) -> tuple[BoardSizing, Notes]:
    notes = Notes()
    found = sizing(
        BOARD,
        BoardPlan(board="A"),
        SizingSettings(advise=on, strips=tuple(StripSize(thickness_mm=t, depth_mm=d) for t, d in strips)),
        FramingSettings(style=style),
        JoistSettings(),
        limits or StrengthSettings(),
        SUPPORTS,
        notes,
    )
    return found, notes


def test_the_lightest_that_holds_and_the_next_that_does_not() -> None:
    strips = ((18.0, 90.0), (12.0, 120.0), (12.0, 70.0))
    found, notes = advice(*strips)
    *failed, chosen = found.tried
    assert chosen.why == ""
    assert all(strip.why for strip in failed)
    weights = [strip.kg_per_m for strip in found.tried]
    assert weights == sorted(weights)
    (finding,) = notes.findings
    assert finding.code == "BW-SIZE-001"
    assert f"{chosen.thickness_mm:g} × {chosen.depth_mm:g}" in finding.says
    for strip in (failed[-1], chosen):  # by itself the answer is the same
        alone, _ = advice((strip.thickness_mm, strip.depth_mm))
        assert alone.tried[0].why == strip.why


def test_a_tighter_limit_never_gives_a_lighter_strip() -> None:
    strips = ((9.0, 90.0), (18.0, 120.0))
    weights = []
    for sag in (2.0, 0.1):
        found, _ = advice(*strips, limits=StrengthSettings(frame_sag_mm=sag, hand_sag_mm=20.0))
        weights.append(found.tried[-1].kg_per_m)
    assert weights[0] < weights[1]


def test_none_holds() -> None:
    found, notes = advice((9.0, 50.0), limits=StrengthSettings(frame_sag_mm=0.01))
    assert found.tried[-1].why
    assert [f.code for f in notes.findings] == ["BW-SIZE-002"]


@pytest.mark.parametrize(("style", "on"), [("ladder", True), ("box", False)])
def test_no_advice(style: str, on: bool) -> None:
    found, notes = advice((12.0, 90.0), style=style, on=on)
    assert (found.tried, notes.findings) == ((), [])


def ply(thickness: float, price: str | None) -> StockSheet:
    return StockSheet(
        name=f"ply {thickness:g}",
        material="birch ply",
        thickness_mm=thickness,
        price=None if price is None else Decimal(price),
    )


#: The thin sheet is the dear one, so that light and cheap differ.
STOCK = StockSettings(sheets=(ply(9.0, "90"), ply(12.0, "40"), ply(18.0, None)))


def chosen(
    choose: Literal["fixed", "lightest", "cheapest"],
    depths: tuple[float, ...] = (120.0,),
    limits: StrengthSettings | None = None,
    stock: StockSettings = STOCK,
    style: str = "box",
) -> tuple[FrameSize, Notes]:
    notes = Notes()
    plans = {"A": BoardPlan(board="A")}
    found = frame_size(
        {"A": BOARD},
        plans,
        SizingSettings(choose=choose, depths_mm=depths),
        FramingSettings(style=style),
        JoistSettings(),
        limits or StrengthSettings(),
        SUPPORTS,
        notes,
        stock=stock,
    )
    return found, notes


def test_the_lightest_and_the_cheapest_are_taken_and_built() -> None:
    """9 × 120 holds and is lighter than 12 × 120, but of a dearer sheet."""
    light, told = chosen("lightest")
    cheap, _ = chosen("cheapest")
    assert light.strip is not None
    assert cheap.strip is not None
    assert cheap.strip.price is not None
    assert light.strip.price is not None
    assert light.strip.kg_per_m < cheap.strip.kg_per_m
    assert cheap.strip.price < light.strip.price
    assert (light.deck_mm, cheap.deck_mm) == (9.0, 12.0)
    assert [f.code for f in told.findings] == ["BW-SIZE-003"]
    notes, framing, plan = Notes(), FramingSettings(), BoardPlan(board="A")
    made = frame(BOARD, framing, notes, light)
    found = joists(BOARD, plan, made, framing, JoistSettings(), notes, size=light)
    cut = parts(
        BOARD, plan, made, found, BoardFixings(board="A"), BoardWiring(board="A"), framing, notes, size=light
    )
    wood = {(m.thickness_mm, m.depth_mm) for m in (*made.members, *found.members)}
    assert wood == {(light.strip.thickness_mm, light.strip.depth_mm)}
    assert [p.thickness_mm for p in cut.parts if p.role == "deck"] == [light.deck_mm]


def test_nothing_is_chosen_when_sizes_are_fixed_or_the_style_is_foreign() -> None:
    for found, notes in (chosen("fixed"), chosen("lightest", style="ladder")):
        assert (found, notes.findings) == (FrameSize(), [])


def test_sizes_of_the_project_file_stay_when_nothing_holds() -> None:
    tight, one = (
        StrengthSettings(frame_sag_mm=0.001, deck_sag_mm=0.001),
        StockSettings(sheets=(ply(9.0, "90"),)),
    )
    found, notes = chosen("lightest", (50.0,), tight, one)
    assert found == FrameSize()
    assert [f.code for f in notes.findings] == ["BW-SIZE-004", "BW-SIZE-004"]
    assert "fails by" in notes.findings[1].says


def test_the_price_of_a_strip_is_its_share_of_the_sheet() -> None:
    """40 for 2440 × 1220: 13.437 a square metre; 120 and a kerf of 3 wide: 1.653 a metre. A bar: its own."""
    bar = StockSheet(
        name="bar",
        material="softwood",
        thickness_mm=18.0,
        length_mm=2400.0,
        width_mm=70.0,
        price=Decimal(6),
        bar=True,
    )
    found = candidates(
        SizingSettings(depths_mm=(120.0,)), StockSettings(sheets=(ply(12.0, "40"), bar)), CuttingSettings()
    )
    assert [(s.thickness_mm, s.depth_mm, s.price) for s in found] == [
        (12.0, 120.0, pytest.approx(40 / 2.44 / 1.22 * 0.123)),
        (18.0, 70.0, 2.5),
    ]


def test_boards_that_stand_on_others_are_tried_together() -> None:
    """A shelf over the rear of a yard, both 870 long: on legs 9 × 50 would do for both; on posts, that stand
    where joists of the yard are, a hand on the shelf's end presses it in too far, and 9 × 70 is taken."""
    low, high = ((0.0, 0.0), (870.0, 700.0)), ((0.0, 400.0), (870.0, 700.0))
    boards = {
        name: replace(
            BOARD,
            id=name,
            level_mm=level,
            ring=((x, y), (u, y), (u, v), (x, v)),
            origin=(x, y),
            length_mm=u - x,
            width_mm=v - y,
        )
        for name, level, ((x, y), (u, v)) in (("A", 0.0, low), ("B", 400.0, high))
    }
    plans = {n: BoardPlan(board=n) for n in boards}
    kinds: tuple[Any, ...] = ("legs", "posts")
    table = FramingSettings(), GirderSettings(), OpenTopSettings(), JoistSettings(), StrengthSettings()
    taken = {}
    for kind in kinds:
        supports = SupportSettings(levels=(LevelSupports(level_mm=400.0, kind=kind),))
        levels = {n: board_supports(b, supports) for n, b in boards.items()}
        size = SizingSettings(choose="lightest", depths_mm=(50.0, 70.0))
        own = (FramingSettings(), JoistSettings(), StrengthSettings(), supports, Notes())
        taken[kind] = frame_size(boards, plans, size, *own, levels=levels)
    strips = {kind: (f.strip.thickness_mm, f.strip.depth_mm) for kind, f in taken.items() if f.strip}
    assert strips == {"legs": (9.0, 50.0), "posts": (9.0, 70.0)}
    for kind, holds in (("legs", False), ("posts", True)):
        size_of = taken[kind].strip, taken[kind].deck_mm
        tries = dict(tried_together(boards, plans, *size_of, Rules(*table, supports), levels))
        assert sorted(tries) == ["A", "B"]
        assert all(t.lines for t in tries.values())
        assert (not any(t.breaks(deck=False) for t in tries.values())) is holds


@pytest.mark.parametrize("style", ["box", "open-top", "l-girder", "l-girder-open"])
@pytest.mark.parametrize(
    ("thick", "depth", "wide", "styles"),
    [
        (6.5, 90.0, 600.0, ("box", "open-top", "l-girder", "l-girder-open")),
        (12.0, 50.0, 600.0, ("box",)),
        (12.0, 90.0, 600.0, ()),
        (45.0, 90.0, 80.0, ("box", "open-top", "l-girder", "l-girder-open")),
    ],
)
def test_what_the_frame_alone_shows_ends_a_try(
    style: str, thick: float, depth: float, wide: float, styles: tuple[str, ...]
) -> None:
    """Too thin for screws; shallower than a motor that hangs 60 below the deck, where the frame reaches up to
    it; two sides of 45 on a board 80 wide. The whole try fails by the same, and one that is not ended has
    nothing of the kind."""
    motor = Device(
        id="M1", kind="servo", x_mm=700, y_mm=40, length_mm=40, width_mm=40, depth_mm=60, clearance_mm=0
    )
    track = Track(id="T1", points=((0.0, 40.0), (1800.0, 40.0)))
    board = replace(BOARD, ring=((0.0, 0.0), (1800.0, 0.0), (1800.0, wide), (0.0, wide)), width_mm=wide)
    plan = BoardPlan(board="A", tracks=(track,), devices=(motor,), own_devices=("M1",))
    table = FramingSettings(style=style), GirderSettings(), OpenTopSettings(), JoistSettings()
    rules = Rules(*table, StrengthSettings(), SUPPORTS)
    strip = Strip(thickness_mm=thick, depth_mm=depth, material="birch ply", kg_per_m=1.0)
    soon, whole = (tried(board, plan, strip, None, rules, alone=alone) for alone in (True, False))
    assert soon.early is (style in styles)
    assert bool(whole.wrong) is soon.early
    assert soon.early or soon == whole


def test_the_board_that_broke_is_tried_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lightest size breaks B, the next both, the third none. Of the second B alone is tried, A only
    for the note; the third is tried on both."""
    breaks = {(0, "B"): "b0", (1, "A"): "a1", (1, "B"): "b1"}
    sizes: list[Strip] = []
    calls: list[tuple[int, str]] = []

    class Fake(NamedTuple):
        why: str
        early: bool = False

        def breaks(self, *, deck: bool) -> str:
            return "" if deck else self.why

    def fake(board: Board, plan: BoardPlan, strip: Strip | None, *_: object, alone: bool) -> Fake:
        if strip is None:
            return Fake("")
        if strip not in sizes:
            sizes.append(strip)
        calls.append((sizes.index(strip), plan.board))
        return Fake(breaks.get(calls[-1], ""))

    monkeypatch.setattr("boardwright_stages.sizing.trying.tried", fake)
    notes = Notes()
    found = frame_size(
        {"A": BOARD, "B": BOARD},
        {name: BoardPlan(board=name) for name in "AB"},
        SizingSettings(choose="lightest", depths_mm=(60.0, 90.0, 120.0)),
        FramingSettings(),
        JoistSettings(),
        StrengthSettings(),
        SUPPORTS,
        notes,
        stock=STOCK,
    )
    assert calls == [(0, "A"), (0, "B"), (1, "B"), (2, "B"), (2, "A"), (1, "A")]
    assert found.strip == sizes[2]
    (note,) = notes.findings
    assert f"{sizes[1]} fails by a1 on board A" in note.says
