"""The builder's list: read, marked from a delivered pack, written. JSON, one list of parts, one of joints."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import msgspec
from msgspec.structs import replace

from boardwright import canon
from boardwright.errors import InputError
from boardwright.findings import Place
from boardwright.made import MadeList
from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Part
from boardwright_timber.model.made import MadeBoard, MadeJoint, MadeRecord

from .places import place_of

SAME_MM = 0.001
NOT_OURS = "Bring the list back from a copy; or take it away, and mark what is made again."


class Written(MadeRecord, frozen=True, kw_only=True):
    schema: Literal["boardwright-made/1"] = "boardwright-made/1"


class Marked(msgspec.Struct, frozen=True, kw_only=True):
    """The list after a command, and what to say."""

    text: str
    lines: tuple[str, ...]


class PackedBoard(msgspec.Struct, frozen=True):
    id: str
    level_mm: float
    joints: tuple[str, ...]
    parts: tuple[Part, ...]
    ring: Ring = ()
    wells: tuple[Ring, ...] = ()
    origin: Point = (0.0, 0.0)
    angle_deg: float = 0.0


class PackedJoint(msgspec.Struct, frozen=True):
    id: str
    start: Point
    end: Point


class PackedCutting(msgspec.Struct, frozen=True):
    copies: int = 1


class Packed(msgspec.Struct, frozen=True):
    """What is needed of a ``pack.json``."""

    boards: tuple[PackedBoard, ...]
    joints: tuple[PackedJoint, ...]
    cutting: PackedCutting = PackedCutting()


def opened(made: MadeList) -> MadeRecord:
    """What the list says. Raises InputError when it is no list of ours."""
    if not made.parts_made:
        return MadeRecord()
    try:
        return msgspec.json.decode(made.parts_made, type=Written)
    except msgspec.DecodeError as error:
        raise InputError.of(
            "BW-MADE-011",
            f"the list of what is made cannot be read: {error}",
            Place(file=made.file),
            NOT_OURS,
        ) from error


def mark(made: MadeList, pack: bytes, names: Sequence[str], undo: bool) -> Marked:
    """The list with parts (or all parts of boards) marked as made, or not made after all.

    Raises InputError for a name that neither the pack nor the list has.
    """
    record = opened(made)
    try:
        packed = msgspec.json.decode(pack, type=Packed)
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise InputError.of(
            "BW-MADE-012",
            f"the pack's data cannot be read: {error}",
            Place(file="pack.json"),
            "Make the pack anew with boardwright pack.",
        ) from error
    there = {p.id: p for p in record.parts}
    known = there if undo else {p.id: p for b in packed.boards for p in b.parts}
    chosen: dict[str, Part] = {}
    whole: set[str] = set()  # boards named: what they had on the list under old numbers goes off it
    for name in names:
        found = {i: p for i, p in known.items() if name.upper() in (i.upper(), p.board.upper())}
        if not found:
            where = "on the list" if undo else "in the pack"
            raise InputError.of(
                "BW-MADE-013",
                f"there is no part or board {name} {where}",
                Place(item=name),
                "Write numbers as the pack has them, B01-S1, or a board's name for all its parts.",
            )
        chosen |= found
        whole |= {p.board for p in found.values() if p.board.upper() == name.upper()}
    if undo:
        kept = {i: p for i, p in there.items() if i not in chosen}
    else:
        kept = {i: p for i, p in there.items() if p.board not in whole} | chosen
    begun = {p.board for p in kept.values()}
    fresh = set() if undo else {p.board for p in chosen.values()}
    now = {} if undo else chosen
    joints = _joints(begun, fresh, record, packed)
    after = Written(
        parts=tuple(kept[i] for i in sorted(kept)),
        joints=joints,
        others=_others(joints, packed) if kept else (),
        boards=_boards(kept, now, record, packed),
    )
    lines = (*_lines(after), *_of_a_series(after, packed.cutting.copies))
    if not names:
        return Marked(text=made.parts_made, lines=lines)
    what = "taken off the list" if undo else "marked as made"
    return Marked(text=written(after), lines=(f"{_count(len(chosen))} {what}.", *lines))


def _of_a_series(record: MadeRecord, copies: int) -> tuple[str, ...]:
    """That the list does nothing where several copies are built, and what does."""
    if copies == 1 or not record.parts:
        return ()
    return (
        f"But {copies} copies are built, and the list counts one of each part: it is not looked at, and all "
        "of them are cut (BW-MADE-004). Where whole copies are made, take them off [series] copies.",
    )


def _joints(made: set[str], fresh: set[str], record: MadeRecord, packed: Packed) -> tuple[MadeJoint, ...]:
    """Joints of the boards with something made: of those marked now (``fresh``) as they are, of others as
    they were when they were marked, whatever the pack has now. One that has not moved stays as first written.
    """
    lines = {j.id: j for j in packed.joints}
    now: dict[str, MadeJoint] = {}
    for board in packed.boards:
        for name in board.joints if board.id in made else ():
            own = (*(now[name].boards if name in now else ()), board.id)
            at = lines[name]
            now[name] = MadeJoint(
                id=name, start=at.start, end=at.end, level_mm=board.level_mm, boards=tuple(sorted(own))
            )
    held: dict[str, MadeJoint] = {}
    for first in record.joints:
        own = first.boards or (now[first.id].boards if first.id in now else ())
        if made.intersection(own):
            held[first.id] = replace(first, boards=tuple(sorted(made.intersection(own))))
    for name, joint in now.items():
        was = held.get(name, joint)
        stays = _same(was, joint) or not fresh.intersection(joint.boards)
        boards = tuple(sorted({*joint.boards, *was.boards}))
        held[name] = replace(was if stays else joint, boards=boards)
    return tuple(held[name] for name in sorted(held))


def _others(held: Sequence[MadeJoint], packed: Packed) -> tuple[MadeJoint, ...]:
    """The pack's joints that nothing holds."""
    level_of = {name: board.level_mm for board in packed.boards for name in board.joints}
    names = {j.id for j in held}
    return tuple(
        MadeJoint(id=j.id, start=j.start, end=j.end, level_mm=level_of.get(j.id, 0.0))
        for j in packed.joints
        if j.id not in names
    )


def _same(a: MadeJoint, b: MadeJoint) -> bool:
    ways = ((a.start, b.start, a.end, b.end), (a.start, b.end, a.end, b.start))
    return a.level_mm == b.level_mm and any(
        math.dist(p, q) < SAME_MM and math.dist(r, s) < SAME_MM for p, q, r, s in ways
    )


def _boards(
    kept: dict[str, Part], now: dict[str, Part], record: MadeRecord, packed: Packed
) -> tuple[MadeBoard, ...]:
    """Every board of the pack, so that all keep their names; those with parts marked ``now`` as they are."""
    if not kept:
        return ()
    begun, fresh = ({p.board for p in parts.values()} for parts in (kept, now))
    known = {b.id: _without(b, kept) for b in record.boards}
    found = {name: b for name, b in known.items() if name in begun}
    for board in packed.boards:
        if board.id in known and board.id not in fresh:
            found[board.id] = known[board.id]
        elif len(board.ring) > 2:
            was = known.get(board.id)
            places = dict(was.places) if was else {}
            for part in (p for p in board.parts if p.id in now):
                places[part.id] = place_of(part, board.origin, board.angle_deg)
            x, y = _inside(board)
            found[board.id] = MadeBoard(
                id=board.id,
                x_mm=x,
                y_mm=y,
                level_mm=board.level_mm,
                ring=board.ring if board.id in fresh else (),
                places=dict(sorted(places.items())),
                complete={p.id for p in board.parts} <= places.keys(),
            )
    return tuple(found[name] for name in sorted(found))


def _without(board: MadeBoard, kept: dict[str, Part]) -> MadeBoard:
    """A board as the list had it, without what is no longer on it."""
    places = {name: place for name, place in board.places.items() if name in kept}
    ring = board.ring if any(p.board == board.id for p in kept.values()) else ()
    return replace(board, ring=ring, places=places, complete=board.complete and places == board.places)


def _inside(board: PackedBoard) -> Point:
    """A point well inside a board."""
    from shapely import Polygon, point_on_surface

    point = point_on_surface(Polygon(board.ring, board.wells))
    return round(float(point.x), 1), round(float(point.y), 1)


def written(record: MadeRecord) -> str:
    return msgspec.json.format(canon.encode(record), indent=1).decode() + "\n"


def _lines(record: MadeRecord) -> tuple[str, ...]:
    if not record.parts:
        return ("Nothing is marked as made.",)
    boards: dict[str, list[str]] = {}
    for part in record.parts:
        boards.setdefault(part.board, []).append(part.id)
    return (
        f"Made: {_count(len(record.parts))}.",
        *(f"{board}: {', '.join(ids)}" for board, ids in sorted(boards.items())),
    )


def _count(n: int) -> str:
    return "1 part" if n == 1 else f"{n} parts"
