"""Sums done for all places at once give what the plain way gives one place at a time."""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
import shapely

from boardwright_stages.strength import deck, handling
from boardwright_stages.strength.grillage import solve
from boardwright_stages.strength.loads import CELL_MM, _cells
from boardwright_stages.strength.net import Net, net_of
from boardwright_stages.strength.settings import StrengthSettings
from boardwright_stages.strength.sums import LASTING, usable
from boardwright_timber.beams import strip
from boardwright_timber.reference import strength_row

RING = ((0.0, 0.0), (900.0, 35.0), (870.0, 410.0), (10.0, 377.0))
WELL = ((200.0, 100.0), (300.0, 100.0), (300.0, 250.0), (200.0, 250.0))


def test_cells_of_a_deck_are_those_of_a_plain_grid() -> None:
    shape = shapely.Polygon(RING, [WELL])
    x0, y0, x1, y1 = shape.bounds
    nx, ny = round((x1 - x0) / CELL_MM), round((y1 - y0) / CELL_MM)
    plain = [
        (x, y)
        for x in (x0 + (i + 0.5) * (x1 - x0) / nx for i in range(nx))
        for y in (y0 + (i + 0.5) * (y1 - y0) / ny for i in range(ny))
        if shape.contains(shapely.Point(x, y))
    ]
    cells, area = _cells(RING, (WELL,))
    assert cells.tolist() == [list(cell) for cell in plain]
    assert area == shape.area / len(plain)


def boxed(board: Callable, length: float) -> tuple[Net, tuple, dict]:
    given = board(length=length, joists_at=tuple(length * k / 5 for k in range(1, 5)))
    members = (*given["frame"].members, *given["joists"].members)
    return net_of(members, given["parts"].by_member, []), members, given


@pytest.mark.parametrize("length", [700.0, 1213.0])
def test_carried_board_beam_by_beam(length: float, board: Callable) -> None:
    net, members, _ = boxed(board, length)
    draw = random.Random(int(length))
    lasting = np.array([draw.uniform(0.1, 2.0) for _ in net.points])
    settings = StrengthSettings()
    found = handling.handled(net, members, lasting, settings)
    assert found is not None
    xs = np.array(net.points)[:, 0]
    at = np.linspace(xs.min(), xs.max(), handling.STATIONS)
    stiff, spans = np.zeros(len(at)), []
    for beam in net.beams:
        (ax, ay), (bx, by) = net.points[beam.start], net.points[beam.end]
        cosine = abs(bx - ax) / np.hypot(bx - ax, by - ay)
        passes = (min(ax, bx) - 1e-6 <= at) & (at < max(ax, bx))
        stiff += passes * (beam.bending * cosine**3)
        spans.append((passes, cosine))
    inner = slice(int(handling.ENDS * len(at)), len(at) - int(handling.ENDS * len(at)))
    bent = handling._moments(at, xs, handling.JOLT * lasting) / np.where(stiff > 0, stiff, 1.0)
    for beam, piece, (passes, cosine), use in zip(net.beams, net.pieces, spans, found.bends, strict=True):
        m = members[piece.member]
        strength = strength_row(m.material, m.sheet_mm).edgewise_bending_n_mm2
        most = max((abs(b) for b, p in zip(bent[inner], passes[inner], strict=True) if p), default=0.0)
        moment = LASTING * most * cosine**2 * beam.bending
        assert use == pytest.approx(
            moment / piece.modulus_mm3 / (usable(m.material, settings, "short") * strength), rel=1e-12
        )
    assert found.bends.max() > 0


def test_deck_line_by_line(board: Callable) -> None:
    """On lines that cross the same supports and, under slanting members, other ones."""
    given = board(joists_at=(300.0, 610.0, 900.0))
    members = (*given["frame"].members, *given["joists"].members)
    for ring in (((0, 0), (1200, 0), (1200, 600), (0, 600)), ((0, 0), (1200, 0), (850, 600), (0, 600))):
        deepest, _ = deck.deck_sag(ring, (), members, 1e-4, 1e6)
        assert deepest is not None
        sags = []
        for _, xs in deck._rows(ring, (), members):
            spans = tuple(b - a for a, b in pairwise(xs))
            sags += strip(spans, (1e-4,) * len(spans), 1e6).sags_mm
        assert deepest.lasting_mm == round(max(sags), 9)


def test_beams_pass_on_what_all_their_stiffness_says(board: Callable) -> None:
    """Push and couples at beams' ends are three of the six forces: with the three others they balance the
    loads, so the shears at a free node of a chain differ by its load."""
    net, _, _ = boxed(board, 1213.0)
    loads = np.zeros((len(net.points), 1))
    loads[:, 0] = 1.0
    xs = np.array(net.points)
    corners = [
        int(np.argmin(np.hypot(*(xs - corner).T))) for corner in ((0, 0), (1213, 0), (0, 600), (1213, 600))
    ]
    solved = solve(net.points, net.beams, corners, loads)
    assert solved.held.sum() == pytest.approx(len(net.points), rel=1e-6)
    seen = 0
    for n in set(range(len(net.points))) - set(corners):
        mine = [k for k, b in enumerate(net.beams) if n in (b.start, b.end)]
        if len(mine) == 2:
            one, two = solved.shears[mine, 0]
            assert min(abs(one + two - 1), abs(abs(one - two) - 1)) < 1e-6
            seen += 1
    assert seen > 100
