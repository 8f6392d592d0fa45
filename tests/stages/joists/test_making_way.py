"""Open tops longer than a sheet: posts under the deck make way for the fishplates of their side."""

from __future__ import annotations

import os

import pytest
import shapely
from any_shapes import board_of
from climbs import FRAMING

from boardwright import Notes
from boardwright.plan.model import Track
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.joists import making_way
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.strength.needs import spans_too_far
from boardwright_stages.strength.settings import StrengthSettings
from boardwright_timber.model import BoardPlan, Frame, Joists, Member, MemberRole


def beside_its_edge(long: float) -> tuple[Frame, Joists, list[str]]:
    """A track 40 mm from the front edge, so that posts stand all along it, and another that leaves it."""
    board = board_of(((0.0, 0.0), (long, 0.0), (long, 300.0), (0.0, 300.0)))
    lines = (((0.0, 40.0), (long, 40.0)), ((0.0, 100.0), (long, 180.0)))
    plan = BoardPlan(board="B01", tracks=tuple(Track(id=f"T{n}", points=p) for n, p in enumerate(lines)))
    notes = Notes()
    frame = open_top(board, plan, FRAMING, OpenTopSettings(), notes)
    found = joists(board, plan, frame, FRAMING, JoistSettings(), notes)
    return frame, found, [f.code for f in notes.findings]


def posts(found: Joists) -> list[Member]:
    """On the front side's face."""
    risers = [m for m in found.members if m.role is MemberRole.RISER]
    return [m for m in risers if abs(m.outer_start[1] - 12) < 0.1 and abs(m.direction[0]) > 0.9]


@pytest.mark.parametrize("long", [2800.0, 3000.0, 3200.0] if os.environ.get("BOARDWRIGHT_DEEP") else [3000.0])
def test_posts_make_way_for_a_plate(long: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Joists at most 250 apart leave bays of 238 mm, in which a plate of 180 finds room, but for the posts.
    One or two of them go; the joists' own risers hold the deck there, within every limit."""
    frame, found, told = beside_its_edge(long)
    assert "BW-JOIST-016" not in told
    (seam,) = (j for j in found.joined if j.member == "B01-S1")
    plate = next(m for m in found.members if m.id == seam.plate)
    assert plate.length_mm >= 2 * plate.depth_mm
    wood = shapely.Polygon(plate.outline)
    standing = [m for m in found.members if m is not plate and m.role is not MemberRole.FISHPLATE]
    assert all(wood.distance(shapely.Polygon(m.outline)) >= 5 - 0.02 for m in standing)
    far = spans_too_far(
        frame.deck,
        (*frame.members, *found.members),
        FRAMING.deck_material,
        FRAMING.deck_thickness_mm,
        StrengthSettings(),
    )
    assert not far
    monkeypatch.setattr(making_way, "_post_on", lambda riser, side: False)
    _, stiff, _ = beside_its_edge(long)
    assert 1 <= len(posts(stiff)) - len(posts(found)) <= 3
    shorter = next(m for m in stiff.members if m.role is MemberRole.FISHPLATE and m.outer_start[1] < 20)
    assert shorter.length_mm < 2 * shorter.depth_mm, "1.5 or 1.75 depths long, between posts"
