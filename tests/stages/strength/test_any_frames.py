"""Skewed, tapering, bent, girder (below a whole deck, and below one on risers) and well frames compared with
an independent finite element library.

The library gets every member whole, with its own hinges, as lines that meet in nodes found by shapely; loads
come as many points, each small square of deck on the member nearest to it. Ours is asked as the stage does.
Shear is switched off, as that library has none. ``BOARDWRIGHT_DEEP=1``: 60 of each kind, else 1.

Without its deck a well's ring of hinged strips turns on the joists it hangs on, so it stands on legs of its
own here, as the stage puts them there.
"""

from __future__ import annotations

import math
import os
import random
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import pytest
import shapely
import shapely.ops
from any_shapes import board_of

from boardwright import Notes
from boardwright.plan.model import Ring, Track
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.hardware.blocking import mitres
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.grillage import TILT_NMM, solve
from boardwright_stages.strength.loads import G_N_KG, bearing_of, lasting_loads
from boardwright_stages.strength.net import Place, centreline, net_of
from boardwright_timber.beams import Flat, built_up_stiffness_nmm2
from boardwright_timber.model import Board, BoardFixings, BoardPlan, BoardWiring, Member, MemberRole, Part
from boardwright_timber.reference import strength_row

COUNT = 60 if os.environ.get("BOARDWRIGHT_DEEP") else 1
FRAMING = FramingSettings(member_thickness_mm=12)
LOAD = 2.0e-4  # N/mm²: about 20 kg a square metre
SQUARE_MM = 2.0 if os.environ.get("BOARDWRIGHT_DEEP") else 4.0  # a girder's sag hangs on it by 5 % at 6 mm


SMALL_MM, OFF_MM = 0.1, 0.02  # a sag of 1 mm is allowed


class Built(NamedTuple):
    board: Board
    beams: tuple[Member, ...]
    flanges: tuple[Member, ...]
    parts: dict[str, Part]
    held: list[Place]
    frame: Any
    risers: tuple[Member, ...]

    @property
    def deck(self) -> shapely.Geometry:
        if self.frame.deck:
            return shapely.union_all([shapely.Polygon(p.ring, p.wells) for p in self.frame.deck])
        return shapely.Polygon(self.board.ring, self.board.wells)


def board_for(kind: str, dice: random.Random) -> Board:
    length, width = dice.uniform(800, 1400), dice.uniform(450, 700)
    low, high = (dice.uniform(-0.3, 0.3) * width for _ in range(2))
    if kind == "tapering":
        return board_of(((0.0, 0.0), (length, 0.0), (length, width + high), (0.0, width)))
    if kind == "skewed":
        left, right = max(low, 0.0), max(high, 0.0)
        ring: Ring = ((left, 0.0), (length, 0.0), (length - right, width), (left + low, width))
        return board_of(tuple((x - min(left, left + low), y) for x, y in ring))
    if kind == "bent":  # the front bows out in chords that turn by 8 to 30° at each corner: mitred
        turns = [dice.uniform(8, 30) for _ in range(dice.randint(2, 4))]
        ways = [-sum(turns) / 2 + sum(turns[:n]) for n in range(len(turns) + 1)]
        steps = [dice.uniform(200, 450) for _ in ways]
        front = [(0.0, 0.0)]
        for way, step in zip(map(math.radians, ways), steps, strict=True):
            front.append((front[-1][0] + step * math.cos(way), front[-1][1] + step * math.sin(way)))
        deep = max(front[0][1], front[-1][1]) + width
        down = -min(y for _, y in front)
        ring = tuple((x, y + down) for x, y in (*front, (front[-1][0], deep), (0.0, deep)))
        return board_of(ring)
    ring = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    if kind == "well":
        x, y = dice.uniform(200, length / 2 - 60), dice.uniform(130, width / 2 - 40)
        u, v = dice.uniform(length / 2 + 60, length - 200), dice.uniform(width / 2 + 40, width - 130)
        return board_of(ring, wells=(((x, y), (x, v), (u, v), (u, y)),))
    return board_of(ring, joints=((ring[0], ring[3]), (ring[1], ring[2])))


def built(kind: str, seed: int) -> Built:
    dice = random.Random(f"{kind} {seed}")
    board = board_for(kind, dice)
    plan = BoardPlan(board=board.id)
    notes = Notes()
    on_girders = kind in ("girder", "risers on girders")
    if kind == "risers on girders":
        long, wide = board.length_mm, board.width_mm
        lines = [((0.0, dice.uniform(0, wide)), (long, dice.uniform(0, wide))) for _ in range(2)]
        tracks = tuple(Track(id=f"T{n}", points=line) for n, line in enumerate(lines))
        plan = BoardPlan(board=board.id, tracks=tracks)
        made = l_girder_open(board, plan, FRAMING, GirderSettings(), OpenTopSettings(), notes)
    elif on_girders:
        made = l_girder(board, plan, FRAMING, GirderSettings(), notes)
    else:
        made = frame(board, FRAMING, notes)
    found = joists(board, plan, made, FRAMING, JoistSettings(spacing_mm=dice.uniform(250, 450)), notes)
    cut = parts(
        board, plan, made, found, BoardFixings(board=board.id), BoardWiring(board=board.id), FRAMING, notes
    )
    every = (*made.members, *found.members)
    beams = tuple(m for m in every if m.role not in (MemberRole.FLANGE, MemberRole.RISER))
    carriers = [
        n
        for n, m in enumerate(beams)
        if m.role is (MemberRole.GIRDER if on_girders else MemberRole.SIDE) and abs(m.direction[1]) < 0.5
    ]
    held = [Place(n, centreline(beams[n]).length * share) for n in carriers for share in (0.2, 0.8)]
    if kind == "bent":  # as the rule: legs in pairs across, so that corners of the front hang between them
        held = [_under(x * board.length_mm, back, beams) for x in (0.22, 0.78) for back in (False, True)]
    wells = [n for n, m in enumerate(beams) if m.role is MemberRole.WELL_SIDE and abs(m.direction[1]) < 0.5]
    held += [Place(n, centreline(beams[n]).length * share) for n in wells for share in (0.04, 0.96)]
    flanges = tuple(m for m in every if m.role is MemberRole.FLANGE)
    risers = tuple(m for m in every if m.role is MemberRole.RISER)
    return Built(board, beams, flanges, {p.id: p for p in cut.parts}, held, made, risers)


def _under(x: float, back: bool, beams: tuple[Member, ...]) -> Place:
    """The first or the last side that a line across the board at ``x`` meets, and where."""
    across = shapely.LineString(((x, -1e4), (x, 1e4)))
    found = []
    for n, line in enumerate(shapely.LineString(centreline(m)) for m in beams):
        if beams[n].role is MemberRole.SIDE and not (met := line.intersection(across)).is_empty:
            found.append((met.centroid.y, Place(n, line.project(met.centroid))))
    return (max if back else min)(found)[1]


def ours_mm(case: Built) -> float:
    net = net_of(case.beams, case.parts, case.held, case.flanges)
    net = net._replace(beams=[b._replace(shear=1e30) for b in net.beams])
    loose = tuple((m, case.parts[m.id].mass_kg) for m in (*case.flanges, *case.risers))
    bearing = bearing_of(case.beams, loose, case.frame)
    wood = tuple(case.parts[m.id] for m in case.beams)
    loads = lasting_loads(net, wood, LOAD, case.board.ring, case.board.wells, bearing)
    solved = solve(net.points, net.beams, [net.node_of[p] for p in case.held], loads[:, None])
    return float(np.abs(solved.sags).max())


def theirs_mm(case: Built) -> float:
    from Pynite import FEModel3D

    model = FEModel3D()
    nodes: dict[tuple[float, float], str] = {}

    def node(p: shapely.Point) -> str:
        key = (round(p.x, 3), round(p.y, 3))
        if key not in nodes:
            name = nodes[key] = f"N{len(nodes)}"
            model.add_node(name, p.x, 0.0, p.y)
            model.def_support(name, True, False, True, False, True, False)
            model.def_support_spring(name, "RX", TILT_NMM)
            model.def_support_spring(name, "RZ", TILT_NMM)
        return nodes[key]

    lines = [shapely.LineString(centreline(m)) for m in case.beams]
    ends: list[list[tuple[shapely.Point, bool]]] = []
    for n, line in enumerate(lines):
        found = []
        for at in (0, -1):
            tip = shapely.Point(line.coords[at])
            near = [
                k
                for k, other in enumerate(lines)
                if k != n
                and other.distance(tip) <= case.beams[k].thickness_mm
                and case.beams[n].meets_height(case.beams[k])
                and not _runs_past(tip, other)
            ]
            k = min(near, key=lambda k: lines[k].distance(tip), default=None)
            if k is None:
                found.append((tip, False))
            else:
                on = lines[k].interpolate(lines[k].project(tip))
                found.append((on, lines[k].distance(tip) > 0.1))
        ends.append(found)
    spots: list[list[shapely.Point]] = [[p for p, _ in pair] for pair in ends]
    for n, pair in enumerate(ends):  # where others end on it
        for k, line in enumerate(lines):
            spots[k] += [p for p, _ in pair if k != n and line.distance(p) < 1e-6]
    for place in case.held:
        spots[place.member].append(lines[place.member].interpolate(place.station))
    girders = [k for k, m in enumerate(case.beams) if m.role is MemberRole.GIRDER]
    for n, m in enumerate(case.beams):
        if m.role is MemberRole.JOIST:
            for k in girders:
                if not (met := lines[n].intersection(lines[k])).is_empty:
                    spots[n].append(met)
                    spots[k].append(met)
    for place in case.held:
        name = node(lines[place.member].interpolate(place.station))
        model.def_support(name, True, True, True, False, True, False)

    stations: list[list[float]] = []
    for n, (m, line) in enumerate(zip(case.beams, lines, strict=True)):
        t, h = m.thickness_mm, m.depth_mm
        row = strength_row(m.material, t)
        material, section = f"wood{n}", f"strip{n}"
        bending = row.edgewise_n_mm2 * t * h**3 / 12
        if m.role is MemberRole.GIRDER:
            flange = case.flanges[girders.index(n)]
            top = strength_row(flange.material, flange.depth_mm).along_n_mm2
            bending = built_up_stiffness_nmm2(
                Flat(flange.thickness_mm, flange.depth_mm, top), Flat(t, h, row.edgewise_n_mm2), line.length
            )
        twist = h * t**3 / 3 * (1 - 0.63 * t / h)
        model.add_material(material, row.edgewise_n_mm2, row.shear_modulus_n_mm2, 0.3, 0.0)
        model.add_section(section, t * h, h * t**3 / 12, bending / row.edgewise_n_mm2, twist)
        along = sorted({round(line.project(p), 3): p for p in spots[n]}.items())
        stations.append([s for s, _ in along])
        hinged = [released for _, released in ends[n]]
        for j, ((_, a), (_, b)) in enumerate(pairwise(along)):
            model.add_member(f"M{n}-{j}", node(a), node(b), material, section)
            first, last = j == 0 and hinged[0], j == len(along) - 2 and hinged[1]
            model.def_releases(f"M{n}-{j}", Rzi=first, Rzj=last)
    stood = _stood_on(case, lines)
    for n, squares in enumerate(_shared(case, lines, stood)):
        mass = case.parts[case.beams[n].id].mass_kg
        mass += sum(case.parts[r.id].mass_kg for r, k in zip(case.risers, stood, strict=True) if k == n)
        if case.beams[n].role is MemberRole.GIRDER:
            mass += case.parts[case.flanges[girders.index(n)].id].mass_kg
        own = mass * G_N_KG / sum(model.members[f"M{n}-{j}"].L() for j in range(len(stations[n]) - 1))
        for j, (a, b) in enumerate(pairwise(stations[n])):
            model.add_member_dist_load(f"M{n}-{j}", "FY", -own, -own)
            here = squares[(squares[:, 0] >= a) & (squares[:, 0] < b)]
            for s, force in here:
                # the library leaves out a load at a member's very end
                model.add_member_pt_load(
                    f"M{n}-{j}", "FY", -force, min(s - a, model.members[f"M{n}-{j}"].L() - 0.01)
                )
        for s, force in squares[(squares[:, 0] < stations[n][0]) | (squares[:, 0] >= stations[n][-1])]:
            last = 0 if s < stations[n][0] else len(stations[n]) - 2
            at = 0.0 if s < stations[n][0] else model.members[f"M{n}-{last}"].L() - 0.01
            model.add_member_pt_load(f"M{n}-{last}", "FY", -force, at)
    model.analyze_linear(check_stability=False)
    held = sum(n.RxnFY["Combo 1"] for n in model.nodes.values())
    wood = sum(p.mass_kg for p in case.parts.values() if p.role != "deck") * G_N_KG
    deck = case.deck.area * LOAD
    assert held == pytest.approx(wood + deck, rel=1e-3), "the library carries all of the load"
    return max(
        max(abs(m.min_deflection("dy", "Combo 1")), abs(m.max_deflection("dy", "Combo 1")))
        for m in model.members.values()
    )


def _runs_past(tip: shapely.Point, other: shapely.LineString) -> bool:
    """Whether a tip lies beyond the other line's end: it is the other that ends here, on this member."""
    beyond = min(other.project(tip), other.length - other.project(tip)) < 1e-6
    return bool(beyond and other.distance(tip) > 0.1)


def _stood_on(case: Built, lines: list[shapely.LineString]) -> list[int]:
    """Which beam each riser stands on: the one beside it, of those that reach so high."""
    found = []
    for riser in case.risers:
        beside = shapely.LineString(centreline(riser))
        near = [n for n, m in enumerate(case.beams) if m.meets_height(riser) and not m.carries_deck]
        found.append(min(near, key=lambda n: lines[n].distance(beside.interpolate(0.5, normalized=True))))
    return found


def _shared(case: Built, lines: list[shapely.LineString], stood: list[int]) -> list[np.ndarray[Any, Any]]:
    """Deck loads as (station, N), in steps of 10 mm along each member."""
    deck = case.deck
    x0, y0, x1, y1 = deck.bounds
    xs = np.arange(x0 + SQUARE_MM / 2, x1, SQUARE_MM)
    ys = np.arange(y0 + SQUARE_MM / 2, y1, SQUARE_MM)
    grid = np.array([(x, y) for x in xs for y in ys])
    grid = grid[shapely.contains_xy(deck, grid[:, 0], grid[:, 1])]
    points = shapely.points(grid)
    bears = [n for n, m in enumerate(case.beams) if m.carries_deck]
    strips = [lines[n] for n in bears]
    for riser, n in zip(case.risers, stood, strict=True):
        ends = [lines[n].project(shapely.Point(p)) for p in centreline(riser)]
        strips.append(shapely.ops.substring(lines[n], min(ends), max(ends)))
    off = np.array([shapely.distance(strip, points) for strip in strips])
    nearest = np.argmin(np.round(off, 6), axis=0)
    owner = np.array([*bears, *stood])[nearest]
    on = np.array(strips)[nearest]
    points = shapely.line_interpolate_point(on, shapely.line_locate_point(on, points))
    each = LOAD * deck.area / len(grid)
    found = []
    for n, line in enumerate(lines):
        at = shapely.line_locate_point(line, points[owner == n]) if (owner == n).any() else np.zeros(0)
        steps, which, counts = np.unique(np.round(at / 10.0), return_inverse=True, return_counts=True)
        middles = np.bincount(which, at) / counts if len(steps) else np.zeros(0)
        found.append(np.column_stack((middles, counts * each)))
    return found


@pytest.mark.parametrize("kind", ["skewed", "tapering", "bent", "girder", "risers on girders", "well"])
def test_sag_agrees(kind: str) -> None:
    """Ours within 5 % of theirs below, 15 % above (the safe side). Of a bent frame that gives less than a
    tenth of a millimetre, which hangs on where the library's lumps of load lie, within 0.02 mm."""
    ratios = []
    for seed in range(COUNT):
        case = built(kind, seed)
        assert kind != "bent" or len(mitres(case.frame)) >= 2
        ours, theirs = ours_mm(case), theirs_mm(case)
        if kind == "bent" and theirs < SMALL_MM:
            assert abs(ours - theirs) < OFF_MM, seed
            continue
        ratios.append((ours / theirs, seed))
    print(f"{kind}: ours/theirs {min(ratios)} to {max(ratios)}, {len(ratios)} frames")
    assert min(ratios)[0] > 0.95
    assert max(ratios)[0] < 1.15
