"""What splitting has to say: joints that break a rule, and pieces nothing can cut."""

from __future__ import annotations

import math

import numpy as np

from boardwright.findings import Notes, Place
from boardwright_timber.model import Board, Joint

from .keepaway import Blocker, KeepAway
from .piece import Piece
from .search import Search
from .settings import SplittingSettings
from .tracks import Tracks

SHORT_JOINT_MM = 30.0
SAY_AT_MOST = 4
TRIED_AT_MOST = 200
OTHERWISE = "draw a joint where you would cut, or raise [splitting] max_length_mm or max_width_mm."


def stuck(piece: Piece, board: Board, search: Search, notes: Notes) -> None:
    """A piece too large for a board, with what stands in the way and what would free it."""
    s = search.settings
    length, width, _ = piece.box
    x, y = (float(v) for v in (piece.xy.min(axis=0) + piece.xy.max(axis=0)) / 2)
    standing = _in_the_way(piece, search)
    says = (
        f"Board {board.id} is {length:.0f} × {width:.0f} mm, larger than "
        f"{s.box_mm[0]:.0f} × {s.box_mm[1]:.0f} mm, and no joint can part it"
    )
    if standing:
        says += ": " + ", ".join(
            f"{b.kind} {b.id} stands {gap:.0f} mm from the best line" for b, gap in standing
        )
        names = " or ".join(
            f"{b.kind} {b.id} by {math.ceil(b.clear_mm - gap + 1)} mm" for b, gap in standing[:SAY_AT_MOST]
        )
        mend = f"Move {names}, {OTHERWISE}"
    else:
        mend = OTHERWISE[0].upper() + OTHERWISE[1:]
    places = [Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1)), *(b.place for b, _ in standing)]
    notes.fault("BW-SPLIT-001", says, places, mend)


def _in_the_way(piece: Piece, search: Search) -> list[tuple[Blocker, float]]:
    """The blockers of the line that least would free, nearest first."""
    found = search.tried(piece)
    if not len(found):
        return []
    found = found.pick(np.argsort(np.round(found.length, 3), kind="stable")[:TRIED_AT_MOST])
    best: list[tuple[Blocker, float]] = []
    for p, q in zip(found.start.tolist(), found.end.tolist(), strict=True):
        near = [(b, d) for b, d in search.keep_away.distances(tuple(p), tuple(q)) if d < b.clear_mm - 1e-6]
        if near and (not best or _burden(near) < _burden(best) - 1e-6):
            best = near
    return best


def _burden(near: list[tuple[Blocker, float]]) -> float:
    return sum(b.clear_mm - gap + 20.0 for b, gap in near)


def check_joint(
    joint: Joint, keep_away: KeepAway, tracks: Tracks, settings: SplittingSettings, notes: Notes
) -> None:
    """Raise what is wrong with one joint."""
    here = _middle(joint)
    name = f"Joint {joint.id} ({joint.boards[0]}/{joint.boards[1]})"
    for blocker, gap in keep_away.distances(joint.start, joint.end):
        if gap < blocker.clear_mm - 1e-3:
            _too_near(joint, name, blocker, gap, notes)
    for c in joint.crossings:
        if c.off_square_deg > settings.max_off_square_deg + 0.05:
            notes.caution(
                "BW-SPLIT-008",
                f"Track {c.track} crosses {name.lower()} {c.off_square_deg:.0f}° off square, more than "
                f"{settings.max_off_square_deg:.0f}°",
                Place(item=joint.id, x_mm=round(c.x_mm, 1), y_mm=round(c.y_mm, 1)),
                "Draw the joint square to the track, or bend the track to meet it.",
            )
    for track, length in tracks.riding(joint.start, joint.end):
        notes.caution(
            "BW-SPLIT-009",
            f"Track {track} runs along {name.lower()} for {length:.0f} mm, too near to fix its rails",
            here,
            "Move the joint or the track so that they cross or stay apart.",
        )
    if joint.length_mm < SHORT_JOINT_MM:
        notes.caution(
            "BW-SPLIT-010",
            f"{name} is only {joint.length_mm:.0f} mm long: no room for bolts",
            here,
            "Draw the joints a little apart or exactly in line.",
        )


def _too_near(joint: Joint, name: str, blocker: Blocker, gap: float, notes: Notes) -> None:
    code = {"turnout": "BW-SPLIT-002", "device": "BW-SPLIT-003", "obstacle": "BW-SPLIT-004"}[blocker.kind]
    drawn = "drawn joint" if joint.drawn else "joint"
    what = {
        "turnout": f"turnout {blocker.id}",
        "device": f"the clearance of device {blocker.id}",
        "obstacle": f"obstacle {blocker.id}",
    }[blocker.kind]
    places = (_middle(joint), blocker.place)
    mend = (
        f"Move the {drawn} or {blocker.kind} {blocker.id} by {math.ceil(blocker.clear_mm - gap)} mm or more."
    )
    if gap < 1e-6:
        notes.fault(code, f"The {drawn} {joint.id} cuts {what}", places, mend)
    else:
        says = f"{name}, a {drawn}, is {gap:.0f} mm from {what}; {blocker.clear_mm:.0f} mm are wanted"
        notes.caution(code, says, places, mend)


def check_board(board: Board, settings: SplittingSettings, notes: Notes) -> None:
    """Caution about a board narrower than wanted."""
    if board.width_mm < settings.min_length_mm - 0.01:
        notes.caution(
            "BW-SPLIT-011",
            f"Board {board.id} is only {board.width_mm:.0f} mm wide; "
            f"{settings.min_length_mm:.0f} mm are wanted",
            Place(board=board.id),
            "Draw the joint elsewhere, or lower [splitting] min_length_mm if the board may be small.",
        )


def _middle(joint: Joint) -> Place:
    x, y = (joint.start[0] + joint.end[0]) / 2, (joint.start[1] + joint.end[1]) / 2
    return Place(item=joint.id, x_mm=round(x, 1), y_mm=round(y, 1))
