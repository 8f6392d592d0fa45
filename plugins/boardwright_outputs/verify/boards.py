"""Boards put together again from their part drawings, by the stored placements.

Claim: decks as drawn cover the drawn outline once, with nothing over; every member as drawn stands where
the frame has it, under its own deck, and in no other's place.

Glossary
    gap    the strip a lift-out leaves free along a joint, as wide as its working clearance
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations, pairwise

import shapely
from shapely import LineString, Polygon
from shapely.affinity import affine_transform

from . import shapes
from .opened import Opened, many
from .profiles import CUT
from .record import Board, Member, Part

AREA_MM2 = 1.0  # decks and outline
WOOD_MM2 = 0.05  # members among each other
HEIGHT_MM = 0.001
SIZE_MM = 0.01
CHORD_MM = 0.1
TOUCH_MM = 0.05


def check_boards(opened: Opened) -> Iterator[str]:
    rings: dict[str, Polygon] = {}
    decks: dict[str, shapely.Geometry] = {}
    for board in opened.pack.boards:
        try:
            rings[board.id] = shapes.board_shape(board)
        except ValueError as problem:
            opened.fault(
                "BW-VERIFY-033", f"board {board.id}: its edge crosses itself: {problem}", board=board.id
            )
            continue
        _size(opened, board, rings[board.id])
        found = _deck(opened, board, rings[board.id])
        if found is not None:
            decks[board.id] = found
    worst = max([_tiles(opened, rings, "boards"), _tiles(opened, rings | decks, "decks as drawn")])
    yield (
        f"{many(len(decks), 'deck')}, read from the drawings and put into place: they cover the drawn "
        f"outline once, {worst:.3f} mm² left over or covered twice."
    )


def check_members(opened: Opened) -> Iterator[str]:
    standing = 0
    for board in opened.pack.boards:
        solids: list[tuple[Part, Polygon, float, float]] = []
        layers: dict[str, list[tuple[Part, Polygon]]] = {}
        lengths: dict[str, list[tuple[Part, Polygon]]] = {}
        several = {p.of for p in board.parts if p.of}
        curved: dict[str, list[tuple[Part, Polygon]]] = {}
        members = {m.id: m for m in board.frame.members}
        lacking = sorted(members.keys() - {p.id for p in board.parts})
        for id_ in lacking:
            opened.fault(
                "BW-VERIFY-035", f"board {board.id}: no part is cut for {id_}", board=board.id, item=id_
            )
        for part in board.parts:
            size = drawn_size(opened, part)
            if not part.placement.stands or size is None:
                continue
            if part.placement.path:
                _bent_part(opened, board, part, size, curved)
                continue
            try:
                solid = shapes.strip(part, size[0])
            except ValueError:
                continue  # a size that is wrong is told where the drawing is looked at
            low = part.placement.z_mm
            solids.append((part, solid, low, low + size[1]))
            standing += 1
            member = members.get(part.of or part.id)
            if member is None:
                opened.fault(
                    "BW-VERIFY-035",
                    f"board {board.id}: part {part.id} stands in no place of the frame",
                    board=board.id,
                    item=part.id,
                )
                continue
            ring = (member.outer_start, member.outer_end, member.inner_end, member.inner_start)
            whole = shapely.convex_hull(shapely.MultiPoint(ring))
            if member.sandwich is not None:
                layers.setdefault(member.id, []).append((part, solid))
            part_of = member.sandwich is not None or member.id in several
            if member.sandwich is None and part_of:
                lengths.setdefault(member.id, []).append((part, solid))
            off = solid.difference(whole).area if part_of else shapes.off(solid, whole)
            high = abs(low - (member.top_mm - member.depth_mm))
            if off > AREA_MM2 or high > HEIGHT_MM:
                opened.fault(
                    "BW-VERIFY-034",
                    f"board {board.id}: part {part.id} as drawn and placed is not where its frame has it "
                    f"({off:.1f} mm² aside, {high:.2f} mm too high or low)",
                    board=board.id,
                    item=part.id,
                )
        _curved_edges(opened, board, curved)
        solids += [
            (p, s, p.placement.z_mm, p.placement.z_mm + p.width_mm)
            for each in curved.values()
            for p, s in each
        ]
        standing += sum(map(len, curved.values()))
        for id_, found in layers.items():
            _made_up(opened, board, members[id_], found)
        for id_, found in lengths.items():
            _end_to_end(opened, board, members[id_], [s for _, s in found], [s for _, s, _, _ in solids])
        _apart(opened, board, solids)
        _under_deck(opened, board, solids)
    yield (
        f"{many(standing, 'member')}, read from the drawings, stand where the frames have them, "
        "none in another."
    )


def _bent_part(
    opened: Opened,
    board: Board,
    part: Part,
    size: tuple[float, float],
    curved: dict[str, list[tuple[Part, Polygon]]],
) -> None:
    """A layer is as long as its path; a kerfed strip as its skin, which is at most half as thick away."""
    line = LineString(part.placement.path)
    solid = line.buffer(part.thickness_mm / 2, cap_style="flat", join_style="mitre")
    bent = next((b for b in board.frame.bent if b.id == (part.of or part.id)), None)
    slack = 0.01
    if bent is not None and bent.kerfs:
        slack += abs(LineString(bent.outer).length - LineString(bent.inner).length) / 2
    if abs(line.length - size[0]) > slack or bent is None or not isinstance(solid, Polygon):
        opened.fault(
            "BW-VERIFY-034",
            f"board {board.id}: bent part {part.id} as drawn is {size[0]:.1f} mm long, its way along "
            f"the edge {line.length:.1f} mm",
            board=board.id,
            item=part.id,
        )
        return
    curved.setdefault(bent.id, []).append((part, solid))


def _curved_edges(opened: Opened, board: Board, curved: dict[str, list[tuple[Part, Polygon]]]) -> None:
    """The layers of each curved edge fill its outline, as deep as it is."""
    for bent in board.frame.bent:
        found = curved.get(bent.id, [])
        whole = Polygon((*bent.outer, *reversed(bent.inner)))
        off = shapes.off(shapes.together([s for _, s in found]), whole) if found else whole.area
        deep = max((abs(p.placement.z_mm + bent.depth_mm) for p, _ in found), default=0.0)
        if off > AREA_MM2 or deep > HEIGHT_MM:
            opened.fault(
                "BW-VERIFY-034",
                f"board {board.id}: the layers of {bent.id} differ from its outline by {off:.1f} mm²",
                board=board.id,
                item=bent.id,
            )


def _made_up(opened: Opened, board: Board, member: Member, found: list[tuple[Part, Polygon]]) -> None:
    """A side of two skins: both reach from end to end, and blocks hold them as often as is said."""
    made = member.sandwich
    assert made is not None
    outer, inner = (member.outer_start, member.outer_end), (member.inner_start, member.inner_end)
    skins = [s for p, s in found if abs(p.thickness_mm - made.skin_mm) < SIZE_MM and p.role != "block"]
    bare = [
        face
        for face in (outer, inner)
        if not any(s.buffer(0.05).covers(shapely.LineString(face)) for s in skins)
    ]
    line = shapely.LineString(outer)
    at = sorted(
        (min(along), max(along))
        for p, s in found
        if p.role == "block"
        for along in [[line.project(shapely.Point(c)) for c in s.exterior.coords]]
    )
    gaps = [b[0] - a[1] for a, b in pairwise(at)]
    most = made.spacing_mm - made.block_mm
    reach = not at or at[0][0] > member.thickness_mm or line.length - at[-1][1] > member.thickness_mm
    if len(skins) != 2 or bare or reach or max(gaps, default=0.0) > most + SIZE_MM:
        opened.fault(
            "BW-VERIFY-034",
            f"board {board.id}: {member.id} is not two skins from end to end with blocks at its ends and at "
            f"most {most:.1f} mm of air between two blocks",
            board=board.id,
            item=member.id,
        )


def _end_to_end(
    opened: Opened, board: Board, member: Member, found: list[Polygon], solids: list[Polygon]
) -> None:
    """A strip of several lengths: together they fill it, and some other strip lies over each of its seams."""
    ring = (member.outer_start, member.outer_end, member.inner_end, member.inner_start)
    whole = shapely.convex_hull(shapely.MultiPoint(ring))
    off = shapes.off(shapes.together(found), whole)
    # two lengths meet where both, grown by a hair, are
    seams = [a.buffer(TOUCH_MM).intersection(b.buffer(TOUCH_MM)) for a, b in combinations(found, 2)]
    beside = [s for s in solids if not any(s is f for f in found)]
    bare = [
        seam
        for seam in seams
        if not seam.is_empty
        and not any(
            _reach(plate, seam) >= member.depth_mm - SIZE_MM
            for plate in beside
            if plate.distance(seam) < TOUCH_MM
        )
    ]
    if off > AREA_MM2 or bare:
        opened.fault(
            "BW-VERIFY-034",
            f"board {board.id}: the lengths of {member.id} leave {off:.1f} mm² of it, and {len(bare)} of its "
            "seams have no plate that reaches as far as it is deep on both sides",
            board=board.id,
            item=member.id,
        )


def _reach(plate: Polygon, seam: shapely.Geometry) -> float:
    """How far a plate reaches past a seam on its shorter side."""
    middle = seam.centroid
    corners = [(x - middle.x, y - middle.y) for x, y in plate.exterior.coords[:-1]]
    a, b = max(pairwise([*corners, corners[0]]), key=lambda ends: math.dist(*ends))
    long = math.dist(a, b)
    along = [(x * (b[0] - a[0]) + y * (b[1] - a[1])) / long for x, y in corners]
    return float(min(max(along), -min(along)))


def drawn_size(opened: Opened, part: Part) -> tuple[float, float] | None:
    """Length and width of the largest contour of a part's drawing."""
    drawn = opened.part_drawing(part)
    best: tuple[float, float] | None = None
    for run in drawn.runs if drawn else ():
        if run.layer == CUT and run.closed and len(run.corners) > 1:
            xs, ys = zip(*shapes.bulged(run), strict=True)
            size = (max(xs) - min(xs), max(ys) - min(ys))
            if best is None or size[0] * size[1] > best[0] * best[1]:
                best = size
    return best


def _size(opened: Opened, board: Board, ring: Polygon) -> None:
    outer = [_local(board, p) for p in ring.exterior.coords]
    low = (min(p[0] for p in outer), min(p[1] for p in outer))
    high = (max(p[0] for p in outer), max(p[1] for p in outer))
    off = max(abs(low[0]), abs(low[1]), abs(high[0] - board.length_mm), abs(high[1] - board.width_mm))
    if off > 0.05:
        opened.fault(
            "BW-VERIFY-033",
            f"board {board.id}: its edge is {high[0] - low[0]:.1f} × {high[1] - low[1]:.1f} mm in its own "
            f"axes, its size is told as {board.length_mm:.1f} × {board.width_mm:.1f} mm",
            board=board.id,
        )


def _local(board: Board, p: tuple[float, ...]) -> tuple[float, float]:
    turned = _axes(board)
    dx, dy = p[0] - board.origin[0], p[1] - board.origin[1]
    return dx * turned[0] + dy * turned[1], -dx * turned[1] + dy * turned[0]


def _axes(board: Board) -> tuple[float, float]:
    a = math.radians(board.angle_deg)
    return math.cos(a), math.sin(a)


def _deck(opened: Opened, board: Board, ring: Polygon) -> shapely.Geometry | None:
    """The board's deck in plan axes as its drawings have it; None where a drawing cannot be read."""
    pieces: list[Polygon] = []
    for part in board.parts:
        if part.role != "deck":
            continue
        drawn = opened.part_drawing(part)
        contours = []
        for run in drawn.runs if drawn else ():
            if run.layer == CUT and run.closed and len(run.corners) > 2:
                points = [shapes.in_plan(board, part, x, y)[:2] for x, y in shapes.bulged(run)]
                contours.append(points)
        if not contours:
            return None
        contours.sort(key=lambda c: -Polygon(c).area)
        try:
            pieces.append(shapes.area(contours[0], _openings(part, contours[1:])))
        except ValueError:
            return None  # told where the drawing is looked at
    if not pieces:
        opened.fault("BW-VERIFY-035", f"board {board.id} has no deck", board=board.id)
        return None
    deck = shapes.together(pieces)
    meant: shapely.Geometry = ring
    if board.frame.deck:
        panels = [shapes.area(p.ring, p.wells) for p in board.frame.deck]
        meant = shapes.together([_to_plan(board, p) for p in panels])
    if (off := shapes.off(deck, meant)) > AREA_MM2:
        opened.fault(
            "BW-VERIFY-032",
            f"board {board.id}: its deck as drawn and placed differs from the board by {off:.1f} mm²",
            board=board.id,
            item=", ".join(p.id for p in board.parts if p.role == "deck"),
        )
    return None if board.frame.deck else deck


def _openings(part: Part, contours: list[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
    """Contours that are openings of the deck; slots are no more than holes, and cover nothing less."""
    return contours[: len(part.openings)]


def _to_plan(board: Board, shape: Polygon) -> Polygon:
    c, s = _axes(board)
    moved = affine_transform(shape, [c, -s, s, c, *board.origin])
    assert isinstance(moved, Polygon)
    return moved


def _tiles(opened: Opened, pieces: dict[str, shapely.Geometry], what: str) -> float:
    """How much is left over, missing or covered twice, mm²."""
    worst = 0.0
    for outline in opened.pack.plan.outlines:
        try:
            wanted = shapes.area(
                shapes.rounded(outline.ring, outline.circles),
                [shapes.rounded(w, outline.circles) for w in outline.wells],
            )
        except ValueError as problem:
            opened.fault("BW-VERIFY-030", f"the drawn outline {outline.id} crosses itself: {problem}")
            continue
        own = {b: g for b, g in pieces.items() if opened.boards[b].outline == outline.id}
        lying = own | _gaps(opened, set(own))
        for one, two in combinations(lying, 2):
            twice = lying[one].intersection(lying[two]).area
            worst = max(worst, twice)
            if twice > AREA_MM2:
                opened.fault(
                    "BW-VERIFY-031",
                    f"{what}: {one} and {two} lie over each other by {twice:.1f} mm²",
                    board=one,
                    item=two,
                )
        for board, piece in own.items():
            over = piece.difference(wanted).area
            if over > AREA_MM2:
                opened.fault(
                    "BW-VERIFY-030",
                    f"{what}: board {board} reaches {over:.1f} mm² beyond the drawn outline {outline.id}",
                    board=board,
                )
        bare = wanted.difference(shapes.together(lying.values()))
        worst = max(worst, bare.area)
        if bare.area > AREA_MM2:
            near = sorted(b for b, g in own.items() if g.distance(bare) < 1.0)
            opened.fault(
                "BW-VERIFY-030",
                f"{what}: {bare.area:.1f} mm² of the drawn outline {outline.id} are covered by no board"
                + (f", beside {', '.join(near)}" if near else ""),
                board=", ".join(near),
                item=outline.id,
            )
    strays = sorted({opened.boards[b].outline for b in pieces} - {o.id for o in opened.pack.plan.outlines})
    for stray in strays:
        opened.fault("BW-VERIFY-030", f"boards stand on the outline {stray}, which the drawing does not have")
    return worst


def _gaps(opened: Opened, boards: set[str]) -> dict[str, shapely.Geometry]:
    found: dict[str, shapely.Geometry] = {}
    for joint in opened.pack.joints:
        for n, id_ in enumerate(joint.boards):
            board = opened.boards.get(id_)
            if board and id_ in boards and board.clear_mm:
                line = LineString([joint.start, joint.end])
                side = board.clear_mm * (1 if n == 0 else -1)
                found[f"{joint.id} beside {id_}"] = line.buffer(side, single_sided=True, cap_style="flat")
    return found


def _apart(opened: Opened, board: Board, solids: list[tuple[Part, Polygon, float, float]]) -> None:
    for (one, a, low_a, high_a), (two, b, low_b, high_b) in combinations(solids, 2):
        if min(high_a, high_b) - max(low_a, low_b) > HEIGHT_MM and a.intersection(b).area > WOOD_MM2:
            if _notched(one) or _notched(two):
                continue
            opened.fault(
                "BW-VERIFY-036",
                f"board {board.id}: {one.id} and {two.id} stand in the same place "
                f"({a.intersection(b).area:.1f} mm²)",
                board=board.id,
                item=f"{one.id}, {two.id}",
            )


def _notched(part: Part) -> bool:
    """Is its profile more than a plain rectangle? Then it may reach through another."""
    return len(part.ring) != 4 or bool(part.openings)


def _under_deck(opened: Opened, board: Board, solids: list[tuple[Part, Polygon, float, float]]) -> None:
    try:
        ring = shapes.area([_local(board, p) for p in shapes.board_shape(board).exterior.coords[:-1]])
    except ValueError:
        return  # told with the board
    for part, solid, _, _ in solids:
        # a bent strip follows the drawn steps of a curve, the deck is cut to the curve itself
        under = ring.buffer(CHORD_MM) if part.placement.path else ring
        if (out := solid.difference(under).area) > WOOD_MM2 * 10:
            opened.fault(
                "BW-VERIFY-037",
                f"board {board.id}: {part.id} reaches {out:.1f} mm² out under the edge of its deck",
                board=board.id,
                item=part.id,
            )
