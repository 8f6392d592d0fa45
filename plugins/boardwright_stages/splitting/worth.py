"""What a cut is worth: how many boards its pieces will need, and how good they look.

The number of boards a piece needs is estimated, for many cuts at once. A piece that fills its box well needs
a grid of largest boards over that box. Any other needs the smaller of that and
    the boards along the *equal strip*: the rectangle with the same area A and perimeter P, whose sides are
    P/4 ± √(P²/16 − A); an L, a bend or a curved shelf has an equal strip as long as its middle line
    (a piece with a well: length P/2, width 2A/P),
never fewer than its area allows. Reflex corners sharpen the estimate: the best single cut there is tried.
Costs are counted in boards.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np

from . import chords as chord
from . import lines
from .chords import Chords, Index
from .directions import Array, Truths, distinct
from .piece import FIT_MM, Piece
from .settings import SplittingSettings

NARROW_BOARDS = 6.0  # cost in boards of a board narrower than wanted: only when nothing else is left
SHARD_BOARDS = 40.0  # and so much more of one that has no width at all
WELL_FILLED = 0.75  # share of its box from which a piece is judged by the box alone
TINY_MM2 = 10.0
PLACES = 5  # of costs; coordinates, to 1e-6 mm, can tell no more apart
GRAM_KG = 1e-3


class Sides(msgspec.Struct, frozen=True):
    """Area, perimeter, wells and best box of what lies on one side of each of many chords."""

    area: Array
    perimeter: Array
    wells: Array
    length: Array
    width: Array
    narrowest: Array
    fits: Truths


def value(s: Sides, settings: SplittingSettings, hope: float) -> Array:
    """Cost to go of pieces: boards they will need plus how uneven and ill-shaped those are."""
    long, short = settings.box_mm
    count = boards_needed(s, settings, hope)
    share = s.area / (long * short)
    uneven = settings.uneven_weight * share**2 / count
    fill = np.where(count == 1, 1.0 - s.area / np.maximum(s.length * s.width, 1.0), 0.0)
    across = np.minimum(_equal_strip(s)[1], short)
    joints = settings.joint_length_weight * (count - 1) * across / 1000.0
    short_of = 1.0 - s.narrowest / max(settings.min_length_mm, 1.0)
    narrow = np.where(
        s.narrowest < settings.min_length_mm - FIT_MM, NARROW_BOARDS + SHARD_BOARDS * short_of, 0.0
    )
    total: Array = count + uneven + settings.shape_weight * np.maximum(fill, 0.0) + joints + narrow
    if settings.sheet_length_mm and settings.sheet_width_mm:
        total = total + settings.sheet_weight * np.where(count == 1, _wasted(s, settings), 0.0)
    return settled(total)


def settled(cost: Array) -> Array:
    """Costs to PLACES decimals: equal ones stay equal however the plan lies."""
    whole: Array = np.round(cost, PLACES)
    return whole


def _wasted(s: Sides, settings: SplittingSettings) -> Array:
    """Share of a sheet that decks like this leave to waste: as many as it holds, all one way."""
    sheet = settings.sheet_length_mm or 0.0, settings.sheet_width_mm or 0.0
    length, width = np.maximum(s.length - FIT_MM, 1.0), np.maximum(s.width - FIT_MM, 1.0)
    one = np.floor(sheet[0] / length) * np.floor(sheet[1] / width)
    other = np.floor(sheet[0] / width) * np.floor(sheet[1] / length)
    used = np.maximum(one, other) * length * width / (sheet[0] * sheet[1])
    wasted: Array = np.where(used > 0, 1.0 - used, 1.0)
    return wasted


def boards_needed(s: Sides, settings: SplittingSettings, hope: float) -> Array:
    """Estimate of the number of boards, 1 exactly where a piece fits.

    ``hope`` is the share of the longest board that is counted on.
    """
    long, short = hope * settings.box_mm[0], settings.box_mm[1]

    def grid(length: Array, width: Array) -> Array:
        one = _whole(length / long) * _whole(width / short)
        other = _whole(length / short) * _whole(width / long)
        best: Array = np.minimum(one, other)
        return best

    boxed = grid(s.length, s.width)
    filled = s.area > (WELL_FILLED - 1e-6) * s.length * s.width
    estimate = np.where(filled, boxed, np.minimum(boxed, grid(*_equal_strip(s))))
    estimate = np.maximum(np.maximum(estimate, _whole(s.area / (long * short))), 2.0)
    if settings.max_mass_kg is not None:
        mass = settings.thought_kg(s.area, s.perimeter)
        estimate = np.maximum(estimate, _whole(mass / settings.max_mass_kg))
    needed: Array = np.where(s.fits, 1.0, estimate)
    return needed


def fits(piece: Piece, settings: SplittingSettings) -> bool:
    """May the piece be a board: neither too large nor too heavy?"""
    if settings.max_mass_kg is not None:
        one = np.ones(1)
        if not _light(one * piece.area, one * piece.perimeter, settings)[0]:
            return False
    return piece.fits(settings.box_mm)


def _light(area: Array, edge: Array, settings: SplittingSettings) -> Truths:
    if settings.max_mass_kg is None:
        return np.ones(len(area), dtype=bool)
    light: Truths = settings.thought_kg(area, edge) <= settings.max_mass_kg + GRAM_KG
    return light


def _whole(x: Array) -> Array:
    count: Array = np.maximum(np.ceil(x - 1e-4), 1.0)
    return count


def _equal_strip(s: Sides) -> tuple[Array, Array]:
    quarter = s.perimeter / 4
    root = np.sqrt(np.maximum(quarter**2 - s.area, 0.0))
    length = np.where(s.wells > 0, s.perimeter / 2, quarter + root)
    width = np.where(s.wells > 0, 2 * s.area / np.maximum(s.perimeter, 1.0), quarter - root)
    return length, width


def strip_length(piece: Piece) -> float:
    """Length of a piece's equal strip, mm."""
    one = np.ones(1)
    s = Sides(one * piece.area, one * piece.perimeter, one * (len(piece.rings) - 1), one, one, one, one > 0)
    return float(_equal_strip(s)[0][0])


def whole(piece: Piece, settings: SplittingSettings) -> Sides:
    """A piece as it is."""
    length, width, _ = piece.box
    one = np.ones(1)
    return Sides(
        area=one * piece.area,
        perimeter=one * piece.perimeter,
        wells=one * (len(piece.rings) - 1),
        length=one * length,
        width=one * width,
        narrowest=one * width,
        fits=np.array([fits(piece, settings)]),
    )


def cost_to_go(piece: Piece, settings: SplittingSettings, hope: float) -> float:
    """Value of one piece, sharpened by one cut at its reflex corners."""
    s = whole(piece, settings)
    plain = float(value(s, settings, hope)[0])
    if s.fits[0]:
        return plain
    normals, offsets = lines.structure(piece)
    if not len(offsets):
        return plain
    found = chord.find(piece, normals, offsets)
    found = found.pick(_separating(found))
    if not len(found):
        return plain
    left, right = sides(found, settings)
    sound = (left.area > TINY_MM2) & (right.area > TINY_MM2)
    if not sound.any():
        return plain
    both = value(left, settings, hope) + value(right, settings, hope)
    both = settled(both + settings.joint_length_weight * found.length / 1000.0)
    return float(both[sound].min())


def _separating(found: Chords) -> Truths:
    outer = len(found.piece.rings[0])
    both: Truths = (found.enter < outer) & (found.leave < outer)
    return both


def sides(found: Chords, settings: SplittingSettings) -> tuple[Sides, Sides]:
    """What lies left and right of each chord; for a chord that opens a well, the opened piece and nothing."""
    piece = found.piece
    ring = piece.rings[0]
    n = len(ring)
    opening = ~_separating(found)
    e0 = np.where(opening, 0, found.enter)
    e1 = np.where(opening, 0, found.leave)
    p, q = found.start, found.end
    # right side: vertices e0+1 … e1 of the ring (doubled, so that the run never wraps)
    first, last = e0 + 1, e0 + np.where(opening, 1, (e1 - e0) % n)
    twice = np.vstack((ring, ring, ring[:1]))
    step = twice[1:] - twice[:-1]
    twist = twice[:-1, 0] * twice[1:, 1] - twice[:-1, 1] * twice[1:, 0]
    area_to = np.concatenate(([0.0], np.cumsum(twist)))
    length_to = np.concatenate(([0.0], np.cumsum(np.hypot(step[:, 0], step[:, 1]))))
    a, b = twice[first], twice[last]
    right_area = (area_to[last] - area_to[first] + _cross(b, q) + _cross(q, p) + _cross(p, a)) / 2
    chord_length = found.length
    right_edge = length_to[last] - length_to[first] + _dist(b, q) + _dist(p, a)
    outer_area, outer_edge = area_to[n] / 2, length_to[n]
    left_area = outer_area - right_area
    left_edge = outer_edge - right_edge
    right_wells, left_wells = np.zeros(len(found)), np.zeros(len(found))
    for well in piece.rings[1:]:
        w = np.roll(well, -1, axis=0) - well
        area = float(np.sum(well[:, 0] * (well + w)[:, 1] - well[:, 1] * (well + w)[:, 0]) / 2)
        edge = float(np.hypot(w[:, 0], w[:, 1]).sum())
        on_right = goes_round(twice, first, last, p, q, (well[0] + well[1]) / 2)
        right_area, right_edge = right_area + area * on_right, right_edge + edge * on_right
        left_area, left_edge = left_area + area * ~on_right, left_edge + edge * ~on_right
        right_wells, left_wells = right_wells + on_right, left_wells + ~on_right
    right_edge, left_edge = right_edge + chord_length, left_edge + chord_length
    angles = _angles(piece)
    right = boxed(right_area, right_edge, right_wells, _boxes(twice, first, last, p, q, angles), settings)
    n_left = np.where(opening, n, (e0 - e1) % n)
    boxes = _boxes(twice, (e1 + 1) % n, (e1 + 1) % n + np.maximum(n_left, 1) - 1, p, q, angles)
    left = boxed(left_area, left_edge, left_wells, boxes, settings)
    if opening.any():
        _opened(piece, opening, chord_length, left, right)
    return left, right


def _opened(piece: Piece, opening: Truths, chord_length: Array, left: Sides, right: Sides) -> None:
    """Put the opened piece on the left and nothing on the right, in place."""
    length, width, _ = piece.box
    left.area[opening] = piece.area
    left.perimeter[opening] = piece.perimeter + 2 * chord_length[opening]
    left.wells[opening] = len(piece.rings) - 2
    left.length[opening], left.width[opening], left.narrowest[opening] = length, width, width
    left.fits[opening] = False
    right.area[opening] = 0.0


def boxed(area: Array, edge: Array, wells: Array, boxes: Array, settings: SplittingSettings) -> Sides:
    """``boxes``: reach of each piece in each angle and, in the second half, square to it."""
    half = boxes.shape[1] // 2
    one, other = boxes[:, :half], boxes[:, half:]
    length, width = np.maximum(one, other), np.minimum(one, other)
    long, short = settings.box_mm
    inside = (length <= long + FIT_MM) & (width <= short + FIT_MM)
    best = np.argmin(np.where(inside, 0.0, 1e12) + length * width, axis=1)
    rows = np.arange(len(area))
    return Sides(
        area=area,
        perimeter=edge,
        wells=wells,
        length=length[rows, best],
        width=width[rows, best],
        narrowest=width.min(axis=1),
        fits=inside.any(axis=1) & _light(area, edge, settings),
    )


def _angles(piece: Piece) -> Array:
    every_15 = np.radians(np.arange(0.0, 90.0, 15.0))
    quarter = distinct(np.concatenate((piece.main_directions, every_15)))
    return np.concatenate((quarter, quarter + math.pi / 2))


def _boxes(twice: Array, first: Index, last: Index, p: Array, q: Array, angles: Array) -> Array:
    directions = np.vstack((np.cos(angles), np.sin(angles)))
    reach = twice @ directions
    ends = np.column_stack((first, last + 1)).ravel()
    high = np.maximum.reduceat(reach, ends, axis=0)[::2]
    low = np.minimum.reduceat(reach, ends, axis=0)[::2]
    at_p, at_q = p @ directions, q @ directions
    span: Array = np.maximum(np.maximum(high, at_p), at_q) - np.minimum(np.minimum(low, at_p), at_q)
    return span


def goes_round(twice: Array, first: Index, last: Index, p: Array, q: Array, point: Array) -> Truths:
    """Does the right side go round a point? Sum of the angles its boundary turns through, seen from there."""
    seen = twice - point
    turn = np.arctan2(
        seen[:-1, 0] * seen[1:, 1] - seen[:-1, 1] * seen[1:, 0], np.sum(seen[:-1] * seen[1:], axis=1)
    )
    turned = np.concatenate(([0.0], np.cumsum(turn)))
    a, b = seen[first], seen[last]
    p, q = p - point, q - point
    total = turned[last] - turned[first] + _turn(b, q) + _turn(q, p) + _turn(p, a)
    result: Truths = total > math.pi
    return result


def _turn(a: Array, b: Array) -> Array:
    angle: Array = np.arctan2(_cross(a, b), np.sum(a * b, axis=1))
    return angle


def _cross(a: Array, b: Array) -> Array:
    product: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product


def _dist(a: Array, b: Array) -> Array:
    length: Array = np.hypot(*(a - b).T)
    return length
