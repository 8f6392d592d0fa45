"""What the book holds, chapter by chapter, before it becomes a page; the words put beside its pictures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec

from boardwright import FindingList, Provenance, Severity
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardHardware,
    BoardParts,
    BoardStand,
    BoardSteps,
    BoardStrength,
    Cost,
    CutSheet,
    CuttingPlan,
    FasteningLine,
    Fixing,
    Frame,
    HardwareLine,
    Joists,
    Splitting,
    WireSchedule,
)
from boardwright_timber.model.checks import CheckReport
from boardwright_timber.model.hardware import stage_of

from ..drawings.dimension import figure
from ..drawings.drawing import Drawing
from ..drawings.views.part import depth_words, in_order, kind_words
from ..drawings.views.sheet import squared_words
from ..workbook.devices import DeviceRow
from .matters import Matter, matters
from .step_pictures import StepPictures


class BoardChapter(msgspec.Struct, frozen=True, kw_only=True):
    board: Board
    own_devices: tuple[str, ...]
    frame: Frame
    joists: Joists
    fixings: BoardFixings
    unreached: tuple[str, ...]
    parts: BoardParts
    hardware: BoardHardware
    strength: BoardStrength | None
    steps: BoardSteps
    pictures: StepPictures
    views: tuple[Drawing, ...]
    on_paper: bool = False  # it has full-size templates
    fastening: tuple[FasteningLine, ...] = ()
    stand: BoardStand | None = None
    made_of: tuple[Any, ...]  # the artefacts that all of it comes from

    @property
    def assembly(self) -> list[HardwareLine]:
        """What holds the board itself together; the rest stands in the chapters it is for."""
        return [line for line in self.hardware.lines if stage_of(line.item) == "assembly"]

    @property
    def words(self) -> str:
        """What the board's first picture shows, for those who do not see it."""
        board = self.board
        said = [
            f"Board {board.id}, {figure(board.length_mm)} by {figure(board.width_mm)} mm, from above.",
            f"Joists: {len(self.joists.joists)}, at most {figure(self.joists.spacing_mm)} mm apart.",
        ]
        if board.joints:
            said.append(
                "Joined by " + ", ".join(f"{j.id} to {_other(board, j.boards)}" for j in board.joints) + "."
            )
        if board.ends:
            said.append("Mates with the next module at " + ", ".join(e.id for e in board.ends) + ".")
        if self.own_devices:
            said.append("Devices: " + ", ".join(self.own_devices) + ".")
        return " ".join(said)


class SheetChapter(msgspec.Struct, frozen=True, kw_only=True):
    sheet: CutSheet
    drawing: Drawing

    @property
    def words(self) -> str:
        sheet = self.sheet
        names = ", ".join(p.part for p in sheet.parts)
        many = f" {sheet.times} {sheet.called.lower()}s are cut like this." if sheet.times > 1 else ""
        work = (
            f"Steps of the router: {len(sheet.routing.steps)}."
            if sheet.routing
            else f"Numbered saw cuts: {len(sheet.cuts)}."
        )
        return (
            f"{sheet.called} {sheet.id}, {figure(sheet.length_mm)} by {figure(sheet.width_mm)} mm.{many} "
            f"Parts on it: {names or 'none'}. {' '.join((*squared_words(sheet), work))}"
        )


class Book(msgspec.Struct, frozen=True, kw_only=True):
    plan: TrackPlan
    splitting: Splitting
    warning: str = ""
    general: Drawing
    parted: Drawing
    boards: tuple[BoardChapter, ...]
    sheets: tuple[SheetChapter, ...]
    cutting: CuttingPlan
    devices: tuple[DeviceRow, ...]
    cost: Cost
    wires: WireSchedule
    checks: CheckReport
    findings: FindingList
    provenance: Provenance

    @property
    def matters(self) -> tuple[Matter, ...]:
        return tuple(matters(self.findings.findings))

    @property
    def counts(self) -> dict[str, int]:
        return {s.value: self.findings.count(s) for s in Severity}

    def hardware_of(self, stage: str) -> list[tuple[str, HardwareLine]]:
        """Lines of all boards for one stage of construction, with the board's name."""
        return [(c.board.id, n) for c in self.boards for n in c.hardware.lines if stage_of(n.item) == stage]

    @property
    def general_words(self) -> str:
        boards = ", ".join(
            f"{c.board.id} ({figure(c.board.length_mm)} by {figure(c.board.width_mm)} mm)"
            for c in self.boards
        )
        joints = ", ".join(f"{j.id} between {j.boards[0]} and {j.boards[1]}" for j in self.splitting.joints)
        return f"The whole layout from above. Boards: {boards or 'none'}. Joints: {joints or 'none'}."

    @property
    def parted_words(self) -> str:
        room = ". ".join(f"{b.id}: {b.margins}" for b in self.splitting.boards if b.margins)
        return f"Boards and joints, with the room they leave. {room}{'.' if room else ''}"


class Drilling(msgspec.Struct, frozen=True, kw_only=True):
    """Holes of one part that are drilled alike."""

    part: str
    kind: str
    diameter_mm: float
    depth: str
    places: str
    count: int


def drilling(parts: BoardParts, show: DisplaySettings = IN_MM) -> Iterator[Drilling]:
    """Every hole of a board, holes that are alike together, places from each part's datum corner."""
    apart = show.apart
    for part in parts.cut:
        alike: dict[tuple[str, float, str], list[str]] = {}
        for hole in in_order(part.holes):
            key = (kind_words(hole, show), hole.diameter_mm, depth_words(hole, show))
            alike.setdefault(key, []).append(f"{show.figure(hole.x_mm)}{apart}{show.figure(hole.y_mm)}")
        for (kind, diameter, depth), places in alike.items():
            yield Drilling(
                part=part.id,
                kind=kind,
                diameter_mm=diameter,
                depth=depth,
                places="; ".join(places),
                count=len(places),
            )


class Joining(msgspec.Struct, frozen=True, kw_only=True):
    """A bolt, dowel or catch of a joint, once for both boards. ``below`` is under the top of each board's
    frame, one figure where both are alike."""

    joint: str
    boards: str
    fixing: Fixing
    below: str


def joining(book: Book, show: DisplaySettings = IN_MM) -> list[Joining]:
    """What goes through every joint and module end, joint by joint."""
    boards = {c.board.id: c.board for c in book.boards}
    found: dict[str, Joining] = {}
    for chapter in book.boards:
        joints = {j.id: j for j in (*chapter.board.joints, *chapter.board.ends)}
        for fixing in chapter.fixings.fixings:
            joint = joints[fixing.joint]
            pair = [b for b in dict.fromkeys(joint.boards) if b in boards]
            tops = {b: show.figure(-(fixing.z_mm + joint.drop_to(b))) for b in pair}
            alike = len(set(tops.values())) == 1
            found.setdefault(
                fixing.id,
                Joining(
                    joint=joint.id,
                    boards=" + ".join(dict.fromkeys(joint.boards)),
                    fixing=fixing,
                    below=tops[pair[0]] if alike else ", ".join(f"{mm} on {b}" for b, mm in tops.items()),
                ),
            )
    return list(found.values())


def _other(board: Board, pair: tuple[str, str]) -> str:
    return pair[1] if pair[0] == board.id else pair[0]
