"""A deck that counts: Annex B by hand, and what it does to a whole board; damp rooms sag more."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_stages.strength.topping import Deck
from boardwright_timber.beams import Flat, built_up_stiffness_nmm2
from boardwright_timber.model import Member, MemberRole

type Make = Callable[..., dict[str, Any]]
ENDS = SupportSettings(points={"A": ((0.0, 6.0), (1200.0, 6.0), (0.0, 594.0), (1200.0, 594.0))})


def sag(made: dict[str, Any], settings: StrengthSettings, key: str = "frame-sag") -> float:
    found = strength(**made, settings=settings, supports=ENDS, notes=Notes())
    return next(line.measured for line in found.lines if line.key == key)


def side(length: float = 1200.0) -> Member:
    return Member(
        id="S",
        role=MemberRole.SIDE,
        outer_start=(0, 0),
        outer_end=(length, 0),
        inner_start=(0, 12),
        inner_end=(length, 12),
        thickness_mm=12,
        depth_mm=90,
        material="birch ply",
    )


def test_a_glued_side_by_hand(board: Make) -> None:
    """Deck 9 mm on a side of 12 × 90 over 1200: half of min(0.1 · 1200, 20 · 9), no more than 150, beside 12:
    72 wide, E 11395 along; E 8750."""
    deck = board()["parts"].parts[0]
    both, stress = Deck(deck, True, 3.5, 150.0, 150.0).on(side(), 1200.0) or (0.0, 0.0)
    wanted = built_up_stiffness_nmm2(Flat(72, 9, 11395.0), Flat(12, 90, 8750.0), 1200)
    assert both == pytest.approx(wanted)
    assert both > 2 * 8750 * 12 * 90**3 / 12
    top, rib = 11395.0 * 72 * 9, 8750.0 * 12 * 90
    arm = top * 49.5 / (top + rib)
    assert stress == pytest.approx((45 + arm) / both * 8750 * 12 * 90**3 / 12 / 45)


def test_screws_pass_little_on(board: Make) -> None:
    """K_ser = 702.5^1.5 · 3.5 / 23 with 710 and 695 kg/m³, half of it; Annex B over 150 mm adds far less than
    glue."""
    deck = board()["parts"].parts[0]
    screwed, _ = Deck(deck, False, 3.5, 150.0, 150.0).on(side(), 1200.0) or (0.0, 0.0)
    slip = math.sqrt(710 * 695) ** 1.5 * 3.5 / 23 / 150 / 2
    wanted = built_up_stiffness_nmm2(Flat(72, 9, 11395.0), Flat(12, 90, 8750.0), 1200, slip)
    assert screwed == pytest.approx(wanted)
    bare = 8750 * 12 * 90**3 / 12
    glued, _ = Deck(deck, True, 3.5, 150.0, 150.0).on(side(), 1200.0) or (0.0, 0.0)
    assert screwed - bare < 0.5 * (glued - bare)


def test_a_joist_has_its_flange_on_both_sides(board: Make) -> None:
    """Over 600: half of min(60, 180) on each side of 12 makes 72; on a short one, 300, 12 + 30 = 42 wide."""
    deck = board()["parts"].parts[0]
    for length, wide in ((600.0, 72), (300.0, 42)):
        joist = replace(side(length), role=MemberRole.JOIST)
        both, _ = Deck(deck, True, 3.5, 150.0, 150.0).on(joist, length) or (0.0, 0.0)
        assert both == pytest.approx(
            built_up_stiffness_nmm2(Flat(wide, 9, 11395.0), Flat(12, 90, 8750.0), length)
        )


def test_a_board_with_its_deck_glued_sags_less(board: Make) -> None:
    made = board()
    plain, screwed, glued = (
        sag(made, StrengthSettings(frame_sag_mm=9, hand_sag_mm=99, deck_counts=how))
        for how in ("no", "screwed", "glued")
    )
    assert glued < screwed <= plain


def test_damp_rooms_sag_more(board: Make) -> None:
    """The lasting sag of birch ply is multiplied by 1 + k_def: 1.8 in a house, 2.0 in a loft (told in tenths,
    rounded up); what a hand does is the same."""
    made = board(2400.0, joists_at=tuple(300.0 * k for k in range(1, 8)))
    long = SupportSettings(points={"A": ((0.0, 6.0), (2400.0, 6.0), (0.0, 594.0), (2400.0, 594.0))})
    found = {
        room: {
            line.key: line.measured
            for line in strength(
                **made,
                settings=StrengthSettings(room=room, frame_sag_mm=99, hand_sag_mm=99),
                supports=long,
                notes=Notes(),
            ).lines
        }
        for room in ("house", "loft")
    }
    dry, damp = found["house"]["frame-sag"], found["loft"]["frame-sag"]
    assert (dry - 0.1) / 1.8 < damp / 2.0 < (dry + 0.2) / 1.8
    assert damp > dry
    assert found["house"]["frame-hand"] == found["loft"]["frame-hand"]
