"""The pages people read at the bench against the data: a label for every part, a step for every part.

Claim: each part has one label, with its board, size and number; the build book's steps name each part of the
boards once.

What this does not know: the pages' other words and their pictures; they are held by their digests.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator
from html.parser import HTMLParser

from .opened import Opened, many
from .record import Cutting, Part

LABELS, BOOK = "labels.html", "index.html"
SHOWN_MM = 0.051  # sizes are shown to a tenth
_SIZE = re.compile(r"([\d.,]+) × ([\d.,]+) × ([\d.,]+) mm")  # in inches it is not read
_VOID = frozenset({"meta", "link", "br", "img", "input", "hr"})


class _Labels(HTMLParser):
    """By part: the words of its label. A part labelled twice stands in ``twice``."""

    def __init__(self, data: bytes) -> None:
        super().__init__()
        self.words: dict[str, str] = {}
        self.twice: list[str] = []
        self._part: str | None = None
        self.feed(data.decode("utf-8", "replace"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "li":
            self._part = dict(attrs).get("data-part") or ""
            if self._part in self.words:
                self.twice.append(self._part)
            self.words[self._part] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "li":
            self._part = None

    def handle_data(self, data: str) -> None:
        if self._part is not None:
            self.words[self._part] += data


class _Steps(HTMLParser):
    """Parts that the assembly steps name as their own, in order."""

    def __init__(self, data: bytes) -> None:
        super().__init__()
        self.parts: list[str] = []
        self._open: list[bool] = []  # of each open element: is it the list of steps, or inside one?
        self.feed(data.decode("utf-8", "replace"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        inside = bool(self._open and self._open[-1])
        if tag == "b" and inside and given.get("data-part"):
            self.parts.append(given["data-part"] or "")
        if tag not in _VOID:
            self._open.append(inside or (tag == "ol" and given.get("class") == "steps"))

    def handle_endtag(self, tag: str) -> None:
        if tag not in _VOID and self._open:
            self._open.pop()


def check_pages(opened: Opened) -> Iterator[str]:
    labelled = _check_labels(opened)
    stepped = _check_steps(opened)
    if labelled and stepped:
        yield f"{many(labelled, 'part')} with a label each; {stepped} put together in one step each."


def _check_labels(opened: Opened) -> int:
    data = opened.files.get(LABELS)
    if data is None:
        _wrong_label(opened, "", f"the page of labels, {LABELS}, is missing")
        return 0
    found = _Labels(data)
    tools = {p.id for board in opened.pack.boards for p in board.tools}
    for twice in found.twice:
        _wrong_label(opened, twice, f"part {twice} has more than one label")
    for id_ in sorted(found.words.keys() - opened.parts.keys()):
        _wrong_label(opened, id_, f"a label is for {id_ or 'no part'}, which the pack does not have")
    for id_, part in opened.parts.items():
        if id_ not in found.words:
            _wrong_label(opened, id_, f"part {id_} has no label")
        elif says := _amiss(found.words[id_], part, _number(opened.pack.cutting, id_, tools)):
            _wrong_label(opened, id_, f"the label of part {id_} {says}")
    return len(found.words)


def _number(cutting: Cutting, part: str, tools: Collection[str]) -> str:
    if part in tools:
        return "1"  # one set of jigs drills every copy
    spare = cutting.spare.count(part)
    return str(cutting.copies + spare) + (f", {spare} of them spare" if spare else "")


def _amiss(words: str, part: Part, number: str) -> str:
    """What a label tells amiss; nothing when it agrees."""
    text = " ".join(words.split())
    size = _SIZE.search(text)
    true = (part.length_mm, part.width_mm, part.thickness_mm)
    if not text.startswith(f"{part.id} "):
        return "bears another name"
    if f" board {part.board}, " not in text:
        return f"does not say board {part.board}"
    if size and any(
        abs(float(s.replace(",", ".")) - t) > SHOWN_MM for s, t in zip(size.groups(), true, strict=True)
    ):
        return f"says {size[0]}, not {' × '.join(f'{t:g}' for t in true)} mm"
    if not text.endswith(f"pieces: {number}"):
        return f"does not say that there are {number} of it"
    return ""


def _check_steps(opened: Opened) -> int:
    data = opened.files.get(BOOK)
    if data is None:
        opened.fault("BW-VERIFY-095", f"the build book, {BOOK}, is missing", file=BOOK)
        return 0
    named = Counter(_Steps(data).parts)
    for board in opened.pack.boards:
        for part in board.parts:
            if part.of:
                continue  # it goes in with the side it belongs to
            times = named.pop(part.id, 0)
            if times != 1:
                how = "in no step" if not times else f"in {times} steps"
                says = f"part {part.id} is put in {how} of board {board.id}"
                opened.fault("BW-VERIFY-095", says, file=BOOK, board=board.id, item=part.id)
    for id_ in sorted(named):
        says = f"a step adds {id_}, which is no part of any board"
        opened.fault("BW-VERIFY-095", says, file=BOOK, item=id_)
    return sum(len(board.parts) for board in opened.pack.boards)


def _wrong_label(opened: Opened, part: str, says: str) -> None:
    opened.fault("BW-VERIFY-094", says, file=LABELS, item=part)
