"""What splitting has to say of joints and boards that break a rule (``stuck``: of pieces nothing can cut)."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from msgspec.structs import replace

from boardwright.errors import InputError
from boardwright.findings import Notes, Place
from boardwright.plan.model import LiftOut
from boardwright_timber.model import Board, Joint

from ..joints import room
from ..joints.settings import JointSettings
from .keepaway import Blocker, KeepAway
from .limits import passes, widest
from .piece import FIT_MM
from .settings import SplittingSettings
from .tracks import Tracks

FREE = "the joint stays for what is made there: boardwright made --undo sets it free."
SMALLEST_MM = 100.0
"""A board of less has no room for the bolts of a joint (128 mm with the usual ones): a unit was missed."""


def check_joint(
    joint: Joint,
    keep_away: KeepAway,
    tracks: Tracks,
    settings: SplittingSettings,
    fixings: JointSettings,
    notes: Notes,
) -> None:
    """Raise what is wrong with one joint."""
    here = _middle(joint)
    name = f"Joint {joint.id} ({joint.boards[0]}/{joint.boards[1]})"
    for blocker, gap in keep_away.too_near(joint.start, joint.end):
        _too_near(joint, name, blocker, gap, notes)
    # a rule the builder's own joint breaks is his to weigh; one that the search had to break is a fault
    tell = notes.caution if joint.drawn or joint.held else notes.fault
    how = "Move the track" if joint.held else "Move the joint or the track"
    for c in joint.crossings:
        if c.off_square_deg > settings.max_off_square_deg + 0.05:
            tell(
                "BW-SPLIT-008",
                f"Track {c.track} crosses {name.lower()} {c.off_square_deg:.1f}° off square, more than "
                f"{settings.max_off_square_deg:.0f}°",
                Place(item=joint.id, x_mm=round(c.x_mm, 1), y_mm=round(c.y_mm, 1)),
                f"Bend the track to meet it; {FREE}"
                if joint.held
                else "Draw the joint square to the track, or bend the track to meet it.",
            )
    for track, length in tracks.riding(joint.start, joint.end):
        tell(
            "BW-SPLIT-009",
            f"A rail of track {track} runs along {name.lower()} for {length:.0f} mm, nearer than "
            f"{settings.rail_beside_clear_mm:.0f} mm: too near to fix it",
            here,
            f"{how} so that they cross or stay apart{_or_free(joint)}.",
        )
    for track, (x, y), away in tracks.at_ends(joint.start, joint.end):
        how = f"{away:.0f} mm from a rail" if away > 0.5 else "between or under the rails"
        tell(
            "BW-SPLIT-018",
            f"{name} ends {how} of track {track}; {settings.rail_end_clear_mm:.0f} mm are wanted",
            Place(item=joint.id, x_mm=round(x, 1), y_mm=round(y, 1)),
            f"{how}: it should cross well inside the board, or not at all{_or_free(joint)}.",
        )
    _check_length(joint, name, settings, fixings, notes)


def _check_length(
    joint: Joint, name: str, settings: SplittingSettings, fixings: JointSettings, notes: Notes
) -> None:
    """A joint too short for its bolts, with the least change that makes room."""
    wanted = settings.shortest_joint_mm or 0.0
    if joint.length_mm >= wanted - FIT_MM:
        return
    # one bolt, if a lonely one, still holds the boards together; none at all is no joint
    none = (
        not (joint.drawn or joint.held) and joint.length_mm < min(wanted, room.needed_mm(fixings, 1)) - FIT_MM
    )
    otherwise = room.what_fits(joint.length_mm, fixings)
    mend = f"Make the boards meet over {math.ceil(wanted - joint.length_mm)} mm more"
    if not joint.held:
        mend += ", move the drawn joint" if joint.drawn else ", draw the joint where they are wider"
    (notes.fault if none else notes.caution)(
        "BW-SPLIT-010",
        f"{name} is only {joint.length_mm:.0f} mm long; its bolts need {wanted:.0f} mm",
        _middle(joint),
        f"{mend}{f', or set {otherwise}' if otherwise else ''}.",
    )


def _too_near(joint: Joint, name: str, blocker: Blocker, gap: float, notes: Notes) -> None:
    code = {"turnout": "BW-SPLIT-002", "device": "BW-SPLIT-003", "obstacle": "BW-SPLIT-004"}[blocker.kind]
    drawn = "drawn joint" if joint.drawn else "held joint" if joint.held else "joint"
    what = {
        "turnout": f"turnout {blocker.id}",
        "device": f"the clearance of device {blocker.id}",
        "obstacle": f"obstacle {blocker.id}",
    }[blocker.kind]
    places = (_middle(joint), blocker.place)
    way_mm = _out_of_the_way(joint, blocker) if gap < 1e-6 else blocker.clear_mm - gap
    moves = f"{blocker.kind} {blocker.id}" if joint.held else f"the {drawn} or {blocker.kind} {blocker.id}"
    mend = f"Move {moves} by {math.ceil(round(way_mm, 6))} mm or more"
    mend += f"{', square to the joint' if gap < 1e-6 else ''}{_or_free(joint)}."
    if gap < 1e-6:
        notes.fault(code, f"The {drawn} {joint.id} cuts {what}", places, mend)
    else:
        says = f"{name}, a {drawn}, is {gap:.0f} mm from {what}; {blocker.clear_mm:.0f} mm are wanted"
        notes.caution(code, says, places, mend)


def _or_free(joint: Joint) -> str:
    return f"; {FREE.removesuffix('.')}" if joint.held else ""


def _out_of_the_way(joint: Joint, blocker: Blocker) -> float:
    """How far to the nearer side a joint must go to be clear of what it cuts, mm."""
    (x, y), (p, q) = joint.start, joint.end
    across = np.array([y - q, p - x]) / joint.length_mm
    off = (blocker.ring - np.array(joint.start)) @ across
    return float(min(off.max(), -off.min())) + blocker.clear_mm


def _check_unit(asked: SplittingSettings) -> None:
    """Raises InputError when a limit is so small that another unit must have been meant."""
    for key in ("max_length_mm", "max_width_mm"):
        limit_mm = getattr(asked, key)
        if 0 < limit_mm < SMALLEST_MM:
            raise InputError.of(
                "BW-SPLIT-021",
                f"Boards of at most {limit_mm:g} mm cannot be framed and bolted",
                Place(key=f"[splitting] {key}"),
                f"Write millimetres: {limit_mm:g} inches are {limit_mm * 25.4:.0f} mm, {limit_mm:g} cm are "
                f"{limit_mm * 10:.0f} mm; 0 sets no limit.",
            )


def check_settings(asked: SplittingSettings, settled: SplittingSettings, notes: Notes) -> SplittingSettings:
    """Tell limits that contradict each other, before anything else; the smallest size then gives way."""
    long, short = settled.box_mm
    sides = asked.max_length_mm or math.inf, asked.max_width_mm or math.inf
    _check_unit(asked)
    least = max(1.0, min(asked.min_length_mm, *sides))
    tight = [o.name for o in asked.openings if widest(long, asked.height_mm, o) < least]
    if tight:
        raise InputError.of(
            "BW-SPLIT-014",
            f"No board {asked.height_mm:.0f} mm high and {least:.0f} mm or more wide passes "
            f"{' or '.join(tight)}",
            Place(),
            "Lower [splitting] height_mm (a shallower frame, buildings that lift off) or min_length_mm, or "
            "give a larger opening.",
        )
    if asked.min_length_mm <= short:
        return settled
    notes.caution(
        "BW-SPLIT-015",
        f"The settings contradict each other: no side of a board may be less than "
        f"{asked.min_length_mm:.0f} mm, yet a board may be at most {long:.0f} × {short:.0f} mm",
        Place(),
        f"Set [splitting] min_length_mm to {short:.0f} or less, or allow larger boards. The smallest size "
        "was left out of account.",
    )
    return replace(settled, min_length_mm=0.0)


def check_board(board: Board, asked: SplittingSettings, settled: SplittingSettings, notes: Notes) -> None:
    """Tell a board narrower than wanted, one too heavy, and one that passes no opening."""
    x, y = board.to_plan((board.length_mm / 2, board.width_mm / 2))
    here = Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1))
    if board.width_mm < settled.min_length_mm - 0.01:
        by_joints = "Draw the joint elsewhere, or lower [splitting] min_length_mm if the board may be small."
        by_outline = "The outline itself is this narrow: lower [splitting] min_length_mm, or draw it wider."
        notes.caution(
            "BW-SPLIT-011",
            f"Board {board.id} is only {board.width_mm:.0f} mm wide; "
            f"{settled.min_length_mm:.0f} mm are wanted",
            here,
            by_joints if board.joints else by_outline,
        )
    box = (board.length_mm - FIT_MM, board.width_mm - FIT_MM, asked.height_mm)
    for opening in asked.openings:
        if not passes(box, opening):
            notes.fault(
                "BW-SPLIT-016",
                f"Board {board.id} ({board.length_mm:.0f} × {board.width_mm:.0f} mm, "
                f"{asked.height_mm:.0f} mm high) does not pass {opening.name}",
                here,
                f"At this length it may be {widest(board.length_mm, asked.height_mm, opening):.0f} mm wide: "
                "draw a joint through it, or lower what stands above the deck.",
            )
    area, edge = shapely.Polygon(board.ring, board.wells).area, _edge(board)
    mass, most = float(asked.thought_kg(area, edge)), asked.most_kg
    if most is not None and mass > most + 0.05:
        notes.fault(
            "BW-SPLIT-017",
            f"Board {board.id} will weigh about {mass:.1f} kg; {most:.1f} kg are wanted at most",
            here,
            "Draw a joint through it, build it lighter, or lift it with more people.",
        )


def check_lift_out(board: Board, marks: Sequence[LiftOut], notes: Notes) -> None:
    """Tell a lift-out whose joints are not drawn: they were put where parting is cheapest, not at the gap."""
    chosen = [(j, _middle(j)) for j in board.joints if not j.drawn]
    if not chosen:
        return
    named = ", ".join(m.id for m in marks if m.level_mm in (None, board.level_mm))
    mark = f" (mark {named})" if named else ""  # none where it lies in the clearance itself
    at = " and ".join(f"{j.id} at ({here.x_mm:.0f}, {here.y_mm:.0f})" for j, here in chosen)
    is_one = len(chosen) == 1
    notes.caution(
        "BW-SPLIT-020",
        f"Board {board.id} lifts out{mark}, but {'a joint' if is_one else 'joints'} of it "
        f"{'is' if is_one else 'are'} not drawn: {at} {'lies' if is_one else 'lie'} where parting the layout "
        "is cheapest, which need not be where the gap is",
        tuple(replace(here, board=board.id) for _, here in chosen),
        "Draw a joint line at each end of the gap (docs/splitting.md, Your own joints), or make sure that "
        "the board covers the gap as it is.",
    )


def _edge(board: Board) -> float:
    rings = (board.ring, *board.wells)
    return sum(math.dist(a, b) for r in rings for a, b in zip(r, (*r[1:], r[0]), strict=True))


def _middle(joint: Joint) -> Place:
    x, y = (joint.start[0] + joint.end[0]) / 2, (joint.start[1] + joint.end[1]) / 2
    return Place(item=joint.id, x_mm=round(x, 1), y_mm=round(y, 1))
