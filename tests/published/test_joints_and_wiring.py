"""Published values that joints, wiring and parts rest on, each with its source."""

from __future__ import annotations

from itertools import pairwise

import pytest

from boardwright import Notes
from boardwright.plan.model import Ring
from boardwright_stages.joints.bores import bolt_bore
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.parts.deck import deck_parts
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    Frame,
    Joists,
    Member,
    MemberRole,
)
from boardwright_timber.reference import WING_NUTS


@pytest.mark.parametrize(
    ("size", "fit", "hole"),
    [
        ("M8", "fine", 8.4),
        ("M8", "medium", 9.0),
        ("M8", "coarse", 10.0),
        ("M10", "medium", 11.0),
        ("M6", "medium", 6.6),
    ],
)
def test_bolt_holes(size: str, fit: str, hole: float) -> None:
    """ISO 273, clearance holes for bolts (read)."""
    assert bolt_bore(JointSettings(bolt_size=size, bolt_fit=fit)).diameter_mm == hole  # type: ignore[arg-type]  # rows of the table are plain strings


@pytest.mark.parametrize(("size", "edge", "end"), [("M8", 24, 32), ("M12", 36, 48)])
def test_bolt_distances(size: str, edge: float, end: float) -> None:
    """EN 1995-1-1 Table 8.4: a4,c = 3d, a3,c = 4d (M8 and M12 columns, read)."""
    settings = JointSettings(bolt_size=size, spanner_room_mm=1.0)  # type: ignore[arg-type]  # as above
    bore = bolt_bore(settings)
    assert (bore.edge_margin_mm, bore.end_margin_mm) == (edge, end)


def test_default_spacing() -> None:
    """EN 1995-1-1 Table 8.4: a1 = 5d along the grain, 40 for the default M8 (read)."""
    assert JointSettings().bolt_size == "M8"
    assert JointSettings().spacing_mm == 40.0


@pytest.mark.parametrize(
    ("depth", "largest"), [(100.0, 25.0), (150.0, 37.5), (200.0, 50.0), (250.0, 62.5), (70.0, 17.5)]
)
def test_quarter_depth_holes(depth: float, largest: float) -> None:
    """UK guidance for floor joists, building-control table (read): hole ≤ 0.25 × depth, on the centre line.

    At the published size there is no caution, half a millimetre above it there is one.
    """
    holes, codes = drilled(depth, largest)
    assert holes == {-depth / 2}
    assert "BW-WIRE-001" not in codes
    assert "BW-WIRE-001" in drilled(depth, largest + 0.5)[1]


def test_three_diameters_apart() -> None:
    """UK guidance for floor joists (read): holes at least three diameters apart, middle to middle.

    40 mm holes asked for every 100 mm along a whole joist: 120 mm is what they get.
    """
    joist = strip(600.0, 200.0)
    board = plain_board(((0, 0), (100, 0), (100, 600), (0, 600)))
    from boardwright_stages.wiring.holes import joist_holes

    row = [
        h.along_mm for h in joist_holes(board, joist, WiringSettings(hole_diameter_mm=40, hole_zone="whole"))
    ]
    assert {round(b - a, 6) for a, b in pairwise(row)} == {120.0}


@pytest.mark.parametrize(("span", "near", "far"), [(2000.0, 500.0, 800.0), (3000.0, 750.0, 1200.0)])
def test_holes_keep_to_the_zone(span: float, near: float, far: float) -> None:
    """UK guidance for floor joists, published rows (read): span 2000, holes from 500 to 800; 3000, from 750
    to 1200. The same from the other end."""
    from boardwright_stages.wiring.holes import joist_holes

    board = plain_board(((0, 0), (100, 0), (100, span), (0, span)))
    row = [h.along_mm for h in joist_holes(board, strip(span, 200.0), WiringSettings())]
    assert len(row) >= 8
    assert all(near <= min(at, span - at) <= far for at in row)


@pytest.mark.parametrize(("size", "height", "span"), [("M6", 8.0, 33.0), ("M8", 10.0, 39.0)])
def test_wing_nuts(size: str, height: float, span: float) -> None:
    """DIN 315, German form: height of the thread, span of the wings. Memory: no table of it was read."""
    row = WING_NUTS[size]
    assert (row.height_mm, row.span_mm) == (height, span)
    bore = bolt_bore(JointSettings(bolt_size=size, nut="wing nut"))  # type: ignore[arg-type]  # as above
    assert bore.room_mm >= span


@pytest.mark.parametrize(
    ("thickness", "mass"), [(6.5, 13.0), (9.0, 19.0), (12.0, 24.8), (18.0, 36.7), (24.0, 48.6)]
)
def test_a_whole_sheet_weighs_what_the_maker_says(thickness: float, mass: float) -> None:
    """Birch plywood datasheet (read): mass of a 1220 × 2440 sheet, to 0.1 kg."""
    board = plain_board(((0, 0), (2440, 0), (2440, 1220), (0, 1220)))
    deck = deck_parts(board, BoardPlan(board="A"), (), "birch ply", thickness)[0]
    assert deck.mass_kg == pytest.approx(mass, abs=0.1)


def plain_board(ring: Ring) -> Board:
    return Board(
        id="A",
        outline="O1",
        level_mm=0,
        ring=ring,
        origin=ring[0],
        angle_deg=0,
        length_mm=ring[2][0],
        width_mm=ring[2][1],
    )


def strip(length: float, depth: float) -> Member:
    """A joist along y at x = 50, its outer face at 56."""
    return Member(
        id="J1",
        role=MemberRole.JOIST,
        outer_start=(56, 0),
        outer_end=(56, length),
        inner_start=(44, 0),
        inner_end=(44, length),
        thickness_mm=12,
        depth_mm=depth,
        material="birch ply",
    )


def drilled(depth: float, diameter: float) -> tuple[set[float], list[str]]:
    ring = ((0, 0), (100, 0), (100, 600), (0, 600))
    notes = Notes()
    made = wiring(
        plain_board(ring),
        {},
        BoardPlan(board="A"),
        {},
        Frame(board="A", outer=ring, inner=ring),
        {},
        Joists(board="A", members=(strip(600.0, depth),), spacing_mm=300, limit_mm=400),
        {},
        BoardFixings(board="A"),
        WiringSettings(hole_diameter_mm=diameter),
        notes,
    )
    return {h.z_mm for h in made.holes}, [f.code for f in notes.findings]
