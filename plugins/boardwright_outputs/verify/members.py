"""Members put together again from their part drawings, by the stored placements.

Claim: every member as drawn stands where the frame has it, under its own deck, and in no other's place; sides
of skins and blocks and strips of several lengths are whole of their parts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

import shapely
from shapely import LineString, Polygon

from . import shapes
from .boards import local
from .opened import Opened, many
from .profiles import CUT
from .record import Bent, Board, Member, Part

AREA_MM2 = 1.0
WOOD_MM2 = 0.05
HEIGHT_MM = 0.001
SIZE_MM = 0.01
TOUCH_MM = 0.05
CHORD_MM = 0.1


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
            if not part.placement.stands or size is None or part.id in board.on_edges:
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
    """The layers of each curved edge fill its outline, as deep as it is; of strips that butt one behind the
    other, whose layers end in steps, the outline of them all, once."""
    for chain in _butted(board.frame.bent):
        found = [each for bent in chain for each in curved.get(bent.id, [])]
        wholes = [Polygon((*bent.outer, *reversed(bent.inner))) for bent in chain]
        whole = shapes.together(wholes)
        off = shapes.off(shapes.together([s for _, s in found]), whole) if found else whole.area
        twice = sum(s.area for _, s in found) - whole.area if len(chain) > 1 else 0.0
        deep = max((abs(p.placement.z_mm + chain[0].depth_mm) for p, _ in found), default=0.0)
        wrong = max(off, twice)
        if wrong > AREA_MM2 or deep > HEIGHT_MM:
            names = " and ".join(bent.id for bent in chain)
            opened.fault(
                "BW-VERIFY-034",
                f"board {board.id}: the layers of {names} differ from its outline by {wrong:.1f} mm²",
                board=board.id,
                item=names,
            )


def _butted(bents: Sequence[Bent]) -> list[list[Bent]]:
    """Strips in groups: one that begins where another ends is in its group."""
    group = {b.id: n for n, b in enumerate(bents)}
    for a in bents:
        for b in bents:
            if a is not b and math.dist(a.outer[-1], b.outer[0]) < TOUCH_MM:
                old, new = group[b.id], group[a.id]
                group = {id_: new if g == old else g for id_, g in group.items()}
    return [[b for b in bents if group[b.id] == g] for g in dict.fromkeys(group.values())]


def _made_up(opened: Opened, board: Board, member: Member, found: list[tuple[Part, Polygon]]) -> None:
    """A side of two skins: both reach from end to end, and blocks hold them as often as is said; where
    lengths of a skin meet, a block reaches as far as the side is deep both ways, and the other runs on."""
    made = member.sandwich
    assert made is not None
    outer, inner = (member.outer_start, member.outer_end), (member.inner_start, member.inner_end)
    skins = [s for p, s in found if abs(p.thickness_mm - made.skin_mm) < SIZE_MM and p.role != "block"]
    bare = [
        face
        for face in (outer, inner)
        if not shapes.together([s.buffer(0.05) for s in skins]).covers(shapely.LineString(face))
    ]
    blocks = [s for p, s in found if p.role == "block"]
    butts = [
        a.buffer(TOUCH_MM).intersection(b.buffer(TOUCH_MM))
        for a, b in combinations(skins, 2)
        if _in_line(a, b)
    ]
    loose = [
        butt
        for n, butt in enumerate(butts)
        if not any(
            _reach(b, butt) >= member.depth_mm - SIZE_MM for b in blocks if b.distance(butt) < TOUCH_MM
        )
        or any(butt.distance(other) < 1.9 * member.depth_mm for other in butts[:n])
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
    if len(skins) != 2 + len(butts) or bare or loose or reach or max(gaps, default=0.0) > most + SIZE_MM:
        opened.fault(
            "BW-VERIFY-034",
            f"board {board.id}: {member.id} is not two skins from end to end with blocks at its ends and at "
            f"most {most:.1f} mm of air between two blocks, any butts of its skins apart and each on a block",
            board=board.id,
            item=member.id,
        )


def _in_line(one: Polygon, other: Polygon) -> bool:
    """Whether two strips meet at their ends: what they share is no wider than a strip is thick."""
    both = one.buffer(TOUCH_MM).intersection(other.buffer(TOUCH_MM))
    return (
        not both.is_empty
        and max(shapes.size(both.envelope))
        < min(max(shapes.size(one.envelope)), max(shapes.size(other.envelope))) / 2
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
        cut = shapes.area([local(board, p) for p in shapes.board_shape(board).exterior.coords[:-1]])
        # frames keep to the steps a curve is read in; where it bows in, those lie a hair outside it
        ring = cut.union(shapes.area([local(board, p) for p in board.ring]))
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
