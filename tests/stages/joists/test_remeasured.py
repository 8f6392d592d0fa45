"""Frames put together again from their parts alone, and measured in 3-D against the frame that was meant.

Every member stands between the same two heights, so a solid is its plan shape times its depth: heights are
compared first, then areas. With ``BOARDWRIGHT_DEEP=1`` it measures 300 boards of each kind (a few minutes),
otherwise 12.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

import shapely
from any_shapes import board_of, boxed_wells, curved_rings, star_rings
from hypothesis import given, settings

from boardwright import Notes
from boardwright.plan.model import Ring
from boardwright_stages.checks.reassembly import solid
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import Board, BoardFixings, BoardPlan, BoardWiring

type Joist = Callable[..., Any]
DEEP = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 12
SOME = settings(max_examples=DEEP, deadline=None, derandomize=True)
GAP_MM, AREA_MM2 = 0.1, 0.05
CANNOT = {"BW-FRAME-001", "BW-FRAME-002", "BW-FRAME-003"}


def holds(joisted: Joist, board: Board) -> bool:
    """Measures one board; False when a fault said that no such frame can be built."""
    made = joisted(board)
    if CANNOT & set(made.codes):
        return False
    answer = parts(
        board,
        BoardPlan(board=board.id),
        made.frame,
        made.joists,
        BoardFixings(board=board.id),
        BoardWiring(board=board.id),
        FramingSettings(member_thickness_mm=12),
        Notes(),
    )
    placed = {p.id: solid(board, p) for p in answer.parts}
    decks = [
        placed.pop(p.id) for p in answer.parts if p.role == "deck"
    ]  # several where one sheet is too small
    deck = shapely.union_all([d.shape for d in decks])
    assert deck.symmetric_difference(shapely.Polygon(board.ring, board.wells)).area <= AREA_MM2
    assert sum(d.shape.area for d in decks) - deck.area <= AREA_MM2
    assert {d.low_mm for d in decks} == {board.level_mm}
    plates = [placed[p.id] for p in answer.parts if p.role == "splice plate"]
    assert {(p.low_mm, p.high_mm) for p in plates} <= {(board.level_mm - 9, board.level_mm)}
    members = [s for s in placed.values() if s not in plates]
    assert {(s.low_mm, s.high_mm) for s in members} == {(board.level_mm - 90, board.level_mm)}

    band = shapely.Polygon(made.frame.outer).difference(shapely.Polygon(made.frame.inner))
    for outer, inner in zip(made.frame.wells, made.frame.inner_wells, strict=True):
        band = band.union(shapely.Polygon(inner).difference(shapely.Polygon(outer)))
    edge = shapely.union_all([placed[m.id].shape for m in made.frame.members])
    assert band.difference(edge.buffer(GAP_MM / 2)).is_empty, "no gap of 0.1 mm in the frame"
    assert edge.symmetric_difference(band).area <= AREA_MM2
    whole = shapely.union_all([s.shape for s in placed.values()])
    assert sum(s.shape.area for s in placed.values()) - whole.area <= AREA_MM2, "no part inside another"
    for joist in made.joists.members:
        local = placed[joist.id].shape
        for ends in ((joist.outer_start, joist.inner_start), (joist.outer_end, joist.inner_end)):
            side = shapely.LineString([board.to_plan(p) for p in ends])
            assert side.distance(local) <= GAP_MM, "the part ends where the joist was meant to"
            assert side.distance(edge) <= GAP_MM, "and reaches what it is fixed to"
    return True


@SOME
@given(star_rings())
def test_any_polygon(joisted: Joist, ring: Ring) -> None:
    assert holds(joisted, board_of(ring))


@SOME
@given(curved_rings())
def test_curved_edges(joisted: Joist, ring: Ring) -> None:
    assert holds(joisted, board_of(ring))


@SOME
@given(boxed_wells())
def test_wells(joisted: Joist, shape: tuple[Ring, tuple[Ring, ...]]) -> None:
    ring, wells = shape
    assert holds(joisted, board_of(ring, wells))
