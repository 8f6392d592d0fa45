"""What a run gives: artefacts as bytes, the pack's files, what was said, and what was called."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from .. import canon
from ..findings import Finding
from .work import Carried

LAYOUT = ""  # the item name of a stage that runs once for the whole layout


class Value:
    """An artefact as the run knows it: its bytes, to be decoded by type where they are used."""

    def __init__(self, data: bytes, kind: Any) -> None:
        self.digest = canon.digest(data)
        self.carried = Carried(data, kind, self.digest)

    @property
    def data(self) -> bytes:
        return self.carried.data

    def get(self) -> Any:
        return self.carried.decoded()


class Progress(msgspec.Struct, frozen=True):
    """Told after each item: how far a stage is and how much of it was reused."""

    stage: str
    done: int
    total: int
    reused: int


class Count:
    """Counts a stage's units for the progress line."""

    def __init__(self, stage: str, total: int, tell: Callable[[Progress], None]) -> None:
        self._stage, self._total, self._tell = stage, total, tell
        self._done = self._reused = 0
        tell(Progress(stage, 0, total, 0))

    def done(self, reused: bool) -> None:
        self._done += 1
        self._reused += reused
        self._tell(Progress(self._stage, self._done, self._total, self._reused))


class Outcome(msgspec.Struct):
    """What a run gave. ``files``: the pack by path; ``not_built``: (stage, item) that failed or waited.

    ``shapes``: item -> digest of what it is cut like, of items that say so. ``ran`` lists what was called and
    answered, in the order of stages and items.
    """

    files: dict[str, bytes] = {}
    findings: tuple[Finding, ...] = ()
    ran: list[tuple[str, str]] = []
    reused: int = 0
    defects: list[str] = []
    not_built: list[tuple[str, str]] = []
    values: dict[tuple[Any, str], Value] = {}
    shapes: dict[str, str] = {}

    @property
    def computed(self) -> int:
        return len(self.ran)
