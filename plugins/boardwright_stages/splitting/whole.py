"""The whole way from a track plan to boards and joints with their names."""

from __future__ import annotations

import re

import msgspec
import numpy as np
import shapely
from msgspec.structs import replace

from boardwright import NO_MEMO, Memo
from boardwright.errors import InputError
from boardwright.findings import Notes, Place
from boardwright.plan.model import LiftOut, Outline, Ring, TrackPlan
from boardwright.plan.rings import followed
from boardwright_timber.model import Board, Joint, Proof, SplitCost, Splitting
from boardwright_timber.model.made import HeldJoints

from ..joints.settings import JointSettings
from . import drawn, explain, reasons
from .as_made import larger, stays_whole
from .axes import local_axes
from .clearance import stood_back
from .directions import Array
from .edging import along_edges
from .healing import healed
from .level import Level
from .naming import joint_names, named, walk
from .piece import Cut, Piece, contains, from_outline, rounded
from .pose import Pose, pose_of
from .seams import Seam, seams
from .search import State
from .settings import NamedSpot, SplittingSettings
from .solving import at_least, solve
from .tracks import Tracks
from .true_edge import on_true_edge
from .worth import PLACES

FIXINGS = JointSettings()
NONE_HELD = HeldJoints()


class _Split(msgspec.Struct):
    """One outline, split: pieces in walking order and where they meet; of stuck ones, how they lie posed."""

    outline: Outline
    level: Level
    pieces: list[Piece]
    seams: list[Seam]
    stuck: list[Piece | None]
    names: list[str] = []


def split_plan(
    plan: TrackPlan,
    settings: SplittingSettings,
    notes: Notes,
    fixings: JointSettings = FIXINGS,
    memo: Memo = NO_MEMO,
    held: HeldJoints = NONE_HELD,
) -> Splitting:
    """Split every outline. Raises InputError when an outline is no area.

    Joints that are held stay, and the others are searched between them.
    """
    asked, settings = settings, settings.settled(fixings)
    plan = _with_spots(plan, asked)
    settings = explain.check_settings(asked, settings, notes)
    for outline in plan.outlines:
        _check_outline(outline)
    pose = pose_of(plan)
    levels = {}
    for height in sorted({o.level_mm for o in plan.outlines}):
        levels[height] = Level(plan.at_level(height), height, pose, settings, notes, held)
    parts, costs = [], []
    for outline in plan.outlines:
        level = levels[outline.level_mm]
        k = level.plan.outlines.index(outline)
        pieces, cuts = level.obeyed.pieces[k], level.obeyed.cuts[k]
        states: list[State] = []
        for uncut in pieces:
            before = (*cuts, *(c for s in states for c in s.cuts))
            if level.made and stays_whole(uncut, level.made):
                value = level.search(uncut, settings).value(uncut)
                states.append(State((uncut,), (), (), (), 0.0, value, Proof.WHOLE))
                continue
            states.append(
                solve(uncut, settings, level.posed_keep_away, level.posed_tracks, before, memo=memo)
            )
        for uncut, state in zip(pieces, states, strict=True):
            costs.append(_cost(outline, uncut, state, settings, level.posed_tracks, memo))
        done: list[tuple[Piece, Piece | None]] = [(pose.back(p), None) for s in states for p in s.done]
        stuck: list[tuple[Piece, Piece | None]] = [(pose.back(p), p) for s in states for p in s.stuck]
        made = [*cuts, *(c for s in states for c in s.cuts)]
        parts.append(_ordered(outline, level, done + stuck, [pose.cut_back(c) for c in made]))
    between = {s.drawn for part in parts for s in part.seams}
    _name(parts, asked, notes, held)
    level_of = {name: part.level for part in parts for name in part.names}
    joints = _joints(parts)
    near = {name: judged for part in parts for judged in (_near(part),) for name in part.names}
    boards, joints = reasons.told(_boards(parts, joints, settings), joints, near, asked, settings, memo)
    unused = [j for j in plan.drawn_joints if j.id not in between]
    boards, every, edged = along_edges(boards, joints, unused, settings.drawn_reach_mm)
    lifted = {b.id for b in boards if b.lift_out}
    fresh = [
        replace(
            j,
            crossings=level_of[j.boards[0]].tracks.crossings(j.start, j.end),
            lift_out=not lifted.isdisjoint(j.boards),
        )
        for j in every[len(joints) :]
    ]
    every[len(joints) :] = fresh
    boards = [_beside_others(b, fresh, plan, settings) for b in boards]
    for asked_joint in (j for j in plan.drawn_joints if j.id not in edged):
        met = [(lv, j) for lv in levels.values() for j in lv.posed.drawn_joints if j.id == asked_joint.id]
        whole = [piece for lv, _ in met for piece in lv.whole]
        obeyed = drawn.Drawn(
            [pieces for lv, _ in met for pieces in lv.obeyed.pieces],
            [cuts for lv, _ in met for cuts in lv.obeyed.cuts],
        )
        one = met[0][1] if met else asked_joint
        drawn.report(one, whole, obeyed, one.id in between, settings, notes)
    _tell_stuck(parts, boards, asked, settings, pose, notes)
    for joint in joints:
        level = level_of[joint.boards[0]]
        explain.check_joint(joint, level.keep_away, level.tracks, settings, fixings, notes)
    for board in boards:
        explain.check_board(board, asked, settings, notes)
    _check_lift_outs(plan, boards, notes)
    every.sort(key=lambda j: j.id)
    boards = larger(boards, held, settings, notes)
    return Splitting(boards=tuple(boards), joints=tuple(every), costs=tuple(costs))


def _tell_stuck(
    parts: list[_Split],
    boards: list[Board],
    asked: SplittingSettings,
    settings: SplittingSettings,
    pose: Pose,
    notes: Notes,
) -> None:
    """Of each piece that nothing parts, what is in the way and what would free it."""
    if not any(piece for part in parts for piece in part.stuck):
        return
    from .sought import Stuck, sought  # much to load, seldom needed
    from .stuck import tell

    found: list[Stuck] = []
    for part in parts:
        for name, piece in zip(part.names, part.stuck, strict=True):
            if piece is None:
                continue
            board = next(b for b in boards if b.id == name)
            search = part.level.search(piece, settings)
            found.append(Stuck(piece, _parent(piece, part.level.obeyed.pieces), board, search))
    for stuck, frees in zip(found, sought(found, asked), strict=True):
        tell(stuck, frees, pose.points_back, notes)


def _name(parts: list[_Split], asked: SplittingSettings, notes: Notes, held: HeldJoints) -> None:
    every = [(part, piece) for part in parts for piece in part.pieces]

    def holds(i: int, spot: NamedSpot) -> bool:
        part, piece = every[i]
        return spot.level_mm in (None, part.outline.level_mm) and _on(piece, (spot.x_mm, spot.y_mm))

    remembered = [  # of two on one board that of which something is made keeps its name
        NamedSpot(name=b.id, x_mm=b.x_mm, y_mm=b.y_mm, level_mm=b.level_mm)
        for b in sorted(held.boards, key=lambda b: not b.ring)
    ]
    names = named(len(every), asked.names, holds, notes, remembered)
    for (part, _), name in zip(every, names, strict=True):
        part.names.append(name)


def _with_spots(plan: TrackPlan, settings: SplittingSettings) -> TrackPlan:
    """The plan with the lift-outs that the settings name besides those the drawing marks."""
    named = tuple(
        LiftOut(
            id=f"splitting.lift_outs {n}", x_mm=s.x_mm, y_mm=s.y_mm, place=Place(key="splitting.lift_outs")
        )
        for n, s in enumerate(settings.lift_outs, 1)
    )
    return replace(plan, lift_outs=(*plan.lift_outs, *named)) if named else plan


def _cost(
    outline: Outline, piece: Piece, state: State, settings: SplittingSettings, tracks: Tracks, memo: Memo
) -> SplitCost:
    return SplitCost(
        outline=outline.id,
        boards=len(state.done) + len(state.stuck),
        cost=round(state.total, PLACES),
        at_least=round(at_least(piece, state, settings, tracks, memo), PLACES),
        proof=state.proof,
    )


def _parent(piece: Piece, parents: list[list[Piece]]) -> Piece:
    """What a stuck piece was cut from: all that lies between drawn joints."""
    inside = shapely.get_coordinates(shapely.point_on_surface(shapely.polygons(piece.rings[0])))[0]
    return next((p for ps in parents for p in ps if contains(p.rings[0], inside)), piece)


def _check_outline(outline: Outline) -> None:
    rings = (outline.ring, *outline.wells)
    sound = all(len(r) >= 3 for r in rings)
    if not sound or not shapely.is_valid(shapely.Polygon(outline.ring, outline.wells)):
        raise InputError.of(
            "BW-SPLIT-012",
            f"The outline {outline.id} is no area: its edge crosses itself, or a well crosses it",
            _crossing_at(outline),
            "Redraw the outline as one closed line that does not cross itself, with its wells inside.",
        )


def _crossing_at(outline: Outline) -> Place:
    """The outline's place in the drawing with the point where it crosses itself, if there is one."""
    if len(outline.ring) >= 3 and all(len(w) >= 3 for w in outline.wells):
        reason = shapely.is_valid_reason(shapely.Polygon(outline.ring, outline.wells))
        found = re.search(r"\[(\S+) (\S+)\]", reason)
        if found:
            x, y = (round(float(v), 1) for v in found.groups())
            return replace(outline.place, x_mm=x, y_mm=y)
    return outline.place


def _ordered(
    outline: Outline, level: Level, found_pieces: list[tuple[Piece, Piece | None]], cuts: list[Cut]
) -> _Split:
    closed = [(healed(p)[0], s) for p, s in found_pieces]
    closed.sort(key=lambda p: tuple(np.round(_centre(p[0]), 1)))
    found = seams([p for p, _ in closed], cuts)
    joined: list[set[int]] = [set() for _ in closed]
    for seam in found:
        joined[seam.left].add(seam.right)
        joined[seam.right].add(seam.left)
    order = walk([_centre(p) for p, _ in closed], joined)
    place = {old: new for new, old in enumerate(order)}
    renamed = [replace(s, left=place[s.left], right=place[s.right]) for s in found]
    pieces, renamed = on_true_edge(outline, [closed[i][0] for i in order], renamed)
    return _Split(outline, level, pieces, renamed, [closed[i][1] for i in order])


def _centre(piece: Piece) -> tuple[float, float]:
    centre = shapely.centroid(shapely.polygons(piece.rings[0]))
    return float(shapely.get_x(centre)), float(shapely.get_y(centre))


def _near(part: _Split) -> reasons.Near:
    """What the joints of one outline are judged by, in the plan."""
    main = from_outline(part.outline.ring, part.outline.wells).main_directions
    pieces = dict(zip(part.names, part.pieces, strict=True))
    return reasons.Near(part.level.keep_away, part.level.tracks, pieces, main)


def _joints(parts: list[_Split]) -> list[Joint]:
    """Joints in the order of their names, the first board on the left."""
    found = []
    lifted = {n for part in parts for n, p in zip(part.names, part.pieces, strict=True) if _lifts(part, p)}
    for part in parts:
        for s in part.seams:
            turned = part.names[s.left] > part.names[s.right]
            a, b = (s.right, s.left) if turned else (s.left, s.right)
            start, end = (s.end, s.start) if turned else (s.start, s.end)
            found.append(((part.names[a], part.names[b]), start, end, s, part.level))
    found.sort(key=lambda f: (f[0], f[1], f[2]))
    joints = []
    called = joint_names([f[0] for f in found])
    for name, (names, start, end, seam, level) in zip(called, found, strict=True):
        turnout = level.keep_away.nearest("turnout", start, end)
        device = level.keep_away.nearest("device", start, end)
        joints.append(
            Joint(
                id=name,
                boards=names,
                start=start,
                end=end,
                drawn=bool(seam.drawn),
                held=seam.held,
                lift_out=not lifted.isdisjoint(names),
                crossings=level.tracks.crossings(start, end),
                nearest_turnout_mm=rounded(turnout[1]) if turnout else None,
                nearest_device_mm=rounded(device[1]) if device else None,
            )
        )
    return sorted(joints, key=lambda j: j.id)


def _boards(parts: list[_Split], joints: list[Joint], settings: SplittingSettings) -> list[Board]:
    boards = []
    for part in parts:
        for piece, name in zip(part.pieces, part.names, strict=True):
            board = Board(
                id=name,
                outline=part.outline.id,
                level_mm=part.outline.level_mm,
                ring=(),
                origin=(0.0, 0.0),
                angle_deg=0.0,
                length_mm=0.0,
                width_mm=0.0,
                lift_out=_lifts(part, piece),
                joints=tuple(j for j in joints if name in j.boards),
            )
            boards.append(_shaped(board, piece, board.joints, part.outline, settings))
    return sorted(boards, key=lambda b: b.id)


def _shaped(
    board: Board, piece: Piece, joints: tuple[Joint, ...], outline: Outline, settings: SplittingSettings
) -> Board:
    """The board with a piece's shape; what lifts out stands back from these joints."""
    clear = settings.lift_out_clear_mm if board.lift_out and joints else board.clear_mm
    piece = stood_back(piece, joints, clear) if board.lift_out and clear else piece
    origin, angle, length, width = local_axes(piece.rings[0], settings.box_mm)
    return replace(
        board,
        ring=_ring(piece.rings[0]),
        wells=tuple(_ring(w) for w in piece.rings[1:]),
        circles=followed(map(_ring, piece.rings), outline.circles),
        origin=origin,
        angle_deg=angle,
        length_mm=length,
        width_mm=width,
        clear_mm=clear,
    )


def _beside_others(board: Board, fresh: list[Joint], plan: TrackPlan, settings: SplittingSettings) -> Board:
    """A board with its joints to other outlines as told at last; what lifts out stands back there too."""
    told = {j.id: j for j in fresh}
    board = replace(board, joints=tuple(told.get(j.id, j) for j in board.joints))
    own = tuple(j for j in fresh if board.id in j.boards)
    if not (board.lift_out and own):
        return board
    (outline,) = (o for o in plan.outlines if o.id == board.outline)
    return _shaped(board, from_outline(board.ring, board.wells), own, outline, settings)


def _lifts(part: _Split, piece: Piece) -> bool:
    """Is there a mark on the piece that it lifts out?"""
    return any(_on(piece, (m.x_mm, m.y_mm)) for m in part.level.plan.lift_outs)


def _on(piece: Piece, p: tuple[float, float]) -> bool:
    return contains(piece.rings[0], p) and not any(contains(w, p) for w in piece.rings[1:])


def _ring(points: Array) -> Ring:
    """The ring started at its lowest vertex on the left, so that it does not depend on the order of cuts."""
    first = int(np.lexsort((points[:, 1], points[:, 0]))[0])
    return tuple((rounded(x), rounded(y)) for x, y in np.roll(points, -first, axis=0))


def _check_lift_outs(plan: TrackPlan, boards: list[Board], notes: Notes) -> None:
    whole = [(b, from_outline(b.ring, b.wells)) for b in boards]
    for mark in plan.lift_outs:
        if not any(_on(piece, (mark.x_mm, mark.y_mm)) for _, piece in whole):
            notes.caution(
                "BW-SPLIT-013",
                f"The lift-out mark {mark.id} lies on no board",
                mark.place,
                "Put the mark on the layout surface, on the part that is to be taken away.",
            )
    for board, piece in whole:
        if board.lift_out:
            marks = [m for m in plan.lift_outs if _on(piece, (m.x_mm, m.y_mm))]
            explain.check_lift_out(board, marks, notes)
