"""Which stretches of edge get a strip."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.geometry import line_through
from boardwright_timber.model import Board, EdgeKind

from ..strength.settings import SupportSettings
from .settings import FasciaSettings, Tables
from .stretches import CORNER_DEG, Stretch

NEAR_MM = 150.0  # a point farther from every edge means none
SAME_MM = 1.0
type Edges = Mapping[str, Sequence[Stretch]]
type Key = tuple[str, int]


def chosen(
    boards: Mapping[str, Board], edges: Edges, tables: Tables, supports: SupportSettings, notes: Notes
) -> dict[Key, EdgeKind]:
    """Board and number of each stretch that gets a strip, and of which kind. A backscene goes first."""
    plan = {(b, n): _in_plan(boards[b], s) for b, each in edges.items() for n, s in enumerate(each)}
    walls, links = _walls(edges, plan, supports), _links(boards, edges, plan)
    found: dict[Key, EdgeKind] = {}
    for kind in sorted(tables, key=lambda k: k is not EdgeKind.BACKSCENE):
        table = tables[kind]
        for name in table.boards:
            if name not in boards:
                notes.caution(
                    "BW-EDGE-004",
                    f"[{kind}] boards names {name}, which is no board.",
                    Place(key=f"[{kind}] boards"),
                    f"Write names of {', '.join(boards)}.",
                )
        mine = {
            (b, n)
            for b, n in plan
            if table.chooses != "none"
            and (not table.boards or b in table.boards)
            and ((b, n) in walls) == (table.chooses == "walls")
            and (not edges[b][n].well or (isinstance(table, FasciaSettings) and table.wells))
        }
        mine -= _named(kind, "not_near", table.not_near, plan, links, notes)
        mine -= found.keys()
        mine |= _named(kind, "near", table.near, plan, links, notes)
        if both := sorted(mine & found.keys()):
            notes.caution(
                "BW-EDGE-009",
                f"[{kind}] near names an edge of board {' and '.join(dict.fromkeys(b for b, _ in both))} "
                "that has a backscene: one edge has one strip, and the backscene stands.",
                [_place(boards[b], edges[b][n].path[0]) for b, n in both],
                f"Take the point out of [{kind}] near, or name that edge in [backscene] not_near.",
            )
        found |= dict.fromkeys(sorted(mine - found.keys()), kind)
    return found


def _named(
    kind: EdgeKind,
    key: str,
    points: Sequence[Point],
    plan: Mapping[Key, Sequence[Point]],
    links: Mapping[Key, set[Key]],
    notes: Notes,
) -> set[Key]:
    """Stretches that points are near, on over joints."""
    found: set[Key] = set()
    for at in points:
        near = _reached(_nearest(plan, at), links)
        if not near:
            notes.caution(
                "BW-EDGE-003",
                f"No edge lies within {NEAR_MM:g} mm of x {at[0]:g}, y {at[1]:g} ([{kind}] {key}).",
                Place(key=f"[{kind}] {key}", x_mm=at[0], y_mm=at[1]),
                "Give a point of the drawing beside a free edge, in mm as the drawing's plan has them; no "
                "strip stands on a joint.",
            )
        found |= near
    return found


def _place(board: Board, at: Point) -> Place:
    x, y = board.to_plan(at)
    return Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1))


def _in_plan(board: Board, stretch: Stretch) -> tuple[Point, ...]:
    return tuple(board.to_plan(p) for p in stretch.path)


def _nearest(plan: Mapping[Key, Sequence[Point]], at: Point) -> set[Key]:
    """The nearest stretches: several where levels lie above one another."""
    import shapely

    spot = shapely.Point(at)
    away = {key: float(shapely.LineString(path).distance(spot)) for key, path in plan.items()}
    least = min(away.values(), default=math.inf)
    return {key for key, far in away.items() if far <= least + SAME_MM} if least <= NEAR_MM else set()


def _walls(edges: Edges, plan: Mapping[Key, Sequence[Point]], supports: SupportSettings) -> set[Key]:
    """Stretches along which a wall batten carries the board."""
    found: set[Key] = set()
    for board, lines in supports.battens.items():
        own = {key: path for key, path in plan.items() if key[0] == board and not edges[board][key[1]].well}
        for (ax, ay), (bx, by) in lines:
            found |= _nearest(own, ((ax + bx) / 2, (ay + by) / 2))
    return found


def _links(
    boards: Mapping[str, Board], edges: Edges, plan: Mapping[Key, Sequence[Point]]
) -> dict[Key, set[Key]]:
    """Stretches that go on in line over a joint."""
    tips = [
        (key, path[0], path[1], boards[key[0]].clear_mm)
        for key, path in plan.items()
        if edges[key[0]][key[1]].before.turn_deg is None
    ]
    ends = [
        (key, path[-1], path[-2], boards[key[0]].clear_mm)
        for key, path in plan.items()
        if edges[key[0]][key[1]].after.turn_deg is None
    ]
    links: dict[Key, set[Key]] = {}
    for one, at, back, gap in ends:
        for two, begins, on, other_gap in tips:
            if one[0] == two[0] or math.dist(at, begins) > gap + other_gap + SAME_MM:
                continue
            if abs(line_through(back, at).turn_to(line_through(begins, on))) <= CORNER_DEG:
                links.setdefault(one, set()).add(two)
                links.setdefault(two, set()).add(one)
    return links


def _reached(first: set[Key], links: Mapping[Key, set[Key]]) -> set[Key]:
    found, todo = set(first), sorted(first)
    while todo:
        for key in sorted(links.get(todo.pop(), ())):
            if key not in found:
                found.add(key)
                todo.append(key)
    return found
