"""A pack laid open: its files as bytes, its data as records, its drawings as they are asked for.

Claim: a drawing that is missing or damaged is told once, by whoever asks first; all others get nothing.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

import msgspec

from boardwright import Notes, Place

from ..drawings import names
from . import dxf
from .dxf import Drawn
from .record import Board, Pack, Part

SCHEMA = "boardwright-pack/1"
AGAIN = "Make the pack again and do not cut or buy from this one."
MILLIMETRES = 4


class Opened:
    """What every check gets."""

    def __init__(self, files: Mapping[str, bytes], pack: Pack, notes: Notes) -> None:
        self.files, self.pack, self.notes = files, pack, notes
        self.boards: dict[str, Board] = {b.id: b for b in pack.boards}
        self.parts: dict[str, Part] = {p.id: p for b in pack.boards for p in (*b.parts, *b.tools)}
        self._drawn: dict[str, Drawn | None] = {}

    def fault(
        self, code: str, says: str, *, file: str = "", board: str = "", item: str = "", why: str = ""
    ) -> None:
        """A contradiction; the mend of all of them is a new pack (docs/findings/verify.md tells more).

        ``why``: code of the pack's own fault that tells of it, which another pack of the same plan has, too.
        """
        place = Place(file=file or None, board=board or None, item=item or None)
        told = (
            f"The pack itself says why: {why}. Mend that and make it again; do not cut or buy from this one."
        )
        mend = told if why else AGAIN
        self.notes.fault(code, says, place, mend)

    def own_fault(self, item: str, *areas: str) -> str:
        """Code of the pack's first fault in one of these areas that tells of an item; empty: none does."""
        word = re.compile(rf"(?<![\w.-]){re.escape(item)}(?![\w-])(?!\.\d)")
        for told in self.pack.findings:
            named = any(w.item == item for w in told.where) or word.search(told.says)
            if told.severity == "fault" and told.code.startswith(tuple(f"BW-{a}-" for a in areas)) and named:
                return told.code
        return ""

    def drawing(self, path: str, item: str) -> Drawn | None:
        if path not in self._drawn:
            self._drawn[path] = self._read(path, item)
        return self._drawn[path]

    def part_drawing(self, part: Part) -> Drawn | None:
        return self.drawing(names.part_path(part.id), f"part {part.id}")

    def _read(self, path: str, item: str) -> Drawn | None:
        data = self.files.get(path)
        if data is None:
            self.fault("BW-VERIFY-010", f"{item} has no drawing: {path} is missing", file=path, item=item)
            return None
        try:
            found = dxf.read_dxf(data)
        except dxf.DamagedError as problem:
            self.fault(
                "BW-VERIFY-011",
                f"the drawing {path} is damaged: {problem}",
                file=path,
                item=item,
            )
            return None
        if found.units != MILLIMETRES:
            self.fault(
                "BW-VERIFY-012",
                f"the drawing {path} does not say that it is in millimetres: a program would scale it",
                file=path,
                item=item,
            )
        return found


def many(number: int, one: str) -> str:
    """``1 board``, ``2 boards``."""
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def read_pack(data: bytes, notes: Notes) -> Pack | None:
    """The records of ``pack.json``; what is wrong with it is told."""
    place = Place(file="pack.json")
    try:
        schema = json.loads(data).get("schema")
        if schema != SCHEMA:
            notes.fault(
                "BW-VERIFY-002",
                f"pack.json is written in the form {schema!r}, and {SCHEMA} is what can be read here",
                place,
                "Prove it with the version of Boardwright that made it.",
            )
            return None
        pack = msgspec.json.decode(data, type=Pack)
    except (ValueError, AttributeError, RecursionError) as problem:  # msgspec's errors are ValueErrors
        notes.fault("BW-VERIFY-003", f"pack.json is damaged: {problem}", place, AGAIN)
        return None
    for kind, ids in (
        ("board", [b.id for b in pack.boards]),
        ("part", [p.id for b in pack.boards for p in (*b.parts, *b.tools)]),
        ("joint", [j.id for j in pack.joints]),
        ("sheet", [s.id for s in pack.cutting.sheets]),
    ):
        for twice in sorted({i for i in ids if ids.count(i) > 1}):
            notes.fault("BW-VERIFY-004", f"pack.json tells of {kind} {twice} more than once", place, AGAIN)
    return pack
