"""Stages and outputs: plain functions whose signature is their wiring.

    @stage()
    def split(plan: TrackPlan, settings: SplittingSettings, notes: Notes) -> Splitting: ...

    @stage(items=True)                       # defines the boards: id -> Board
    def boards(splitting: Splitting) -> Items[Board]: ...

    @stage(each=True)                        # called once a board
    def frame(board: Board, settings: FramingSettings, notes: Notes) -> Frame: ...

    @stage()                                 # called once, answers for every board
    def wire_lines(boards: All[Board], wires: WireSchedule) -> All[WireLines]: ...

    @output(each=True)
    def board_drawing(board: Board, frame: Frame) -> Files: ...

What an annotation means
    T                what the stage that makes ``T`` answered; in an ``each`` stage, this board's own if ``T``
                     is made board by board
    All[T]           id -> T for every board, in name order
    Near[T]          id -> T for the boards joined to this one (``each`` stages only)
    a Section        that table of the project file
    Notes            where to raise findings
    Memo             pieces of the last call's answer, to make anew only what changed (``memo``)
    FindingList      every finding of the stages (outputs only)
    Provenance       what the pack was made from (outputs only)

    -> All[T]        a stage called once that answers for every board: each board's T stands for itself, and
                     who reads it runs again only where it changed. When the call fails, no board has one

What a stage defines as items may tell ``neighbours`` (ids, for ``Near``) and ``shape`` (what it is cut like:
a pack says at its end which are others than in the pack before).

A stage has no clock, no randomness, no globals and no files. The decorator does not change the function:
call it in a test with plain values.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from enum import StrEnum
from functools import lru_cache
from typing import Any, get_args, get_origin, get_type_hints

import msgspec

from .errors import PluginError
from .findings import FindingList, Notes, Place
from .memo import Memo
from .settings import Section

type All[T] = Mapping[str, T]
type Near[T] = Mapping[str, T]
type Items[T] = Mapping[str, T]


class Files(msgspec.Struct, frozen=True, kw_only=True):
    """What an output answers: path inside the pack (forward slashes) -> bytes."""

    files: dict[str, bytes]


class SourceDigest(msgspec.Struct, frozen=True, kw_only=True):
    file: str
    sha256: str


class KeptRule(msgspec.Struct, frozen=True, kw_only=True):
    """One house rule: the setting, what it says, who says so and why, and whether this project keeps it."""

    setting: str
    says: str
    by: str
    why: str = ""
    may_change: bool = False
    kept: bool = True


class Provenance(msgspec.Struct, frozen=True, kw_only=True):
    """What a pack was made from: input digests, versions, house rules. No clock, no path of any machine."""

    sources: tuple[SourceDigest, ...] = ()
    versions: tuple[tuple[str, str], ...] = ()
    settings: dict[str, Any] = {}
    rules: tuple[KeptRule, ...] = ()


class Reads(StrEnum):
    ONE = "one"
    ALL = "all"
    NEAR = "near"
    SETTINGS = "settings"
    NOTES = "notes"
    MEMO = "memo"
    FINDINGS = "findings"
    PROVENANCE = "provenance"


class Input(msgspec.Struct, frozen=True):
    name: str
    reads: Reads
    type: Any


class Stage(msgspec.Struct, frozen=True):
    """A function with its wiring read from its annotations."""

    name: str
    function: Callable[..., Any]
    inputs: tuple[Input, ...]
    makes: Any
    each: bool
    items: bool
    output: bool
    version: int
    replaces: str = ""
    style: str = ""
    chosen_by: str = ""
    plugin: str = ""
    at_once: bool = False
    """Called once, and answers for every board."""

    @property
    def answers(self) -> Any:
        """The type of the function's return value."""
        many = self.items or self.at_once
        return dict[str, self.makes] if many else self.makes  # type: ignore[name-defined]  # at run time

    @property
    def needs_boards(self) -> bool:
        """Must the boards be defined before it is called, whatever it reads?"""
        return self.each or self.at_once

    @property
    def by_board(self) -> bool:
        """Is there one of what it makes for every board, however it is called?"""
        return self.each or self.items or self.at_once

    @property
    def where(self) -> str:
        return f"{self.function.__module__}.{self.function.__qualname__}"


def stage[F: Callable[..., Any]](
    *,
    name: str = "",
    each: bool = False,
    items: bool = False,
    version: int = 1,
    replaces: str = "",
    style: str = "",
    chosen_by: str = "",
) -> Callable[[F], F]:
    """Mark a function as a stage; ``name`` defaults to the function's name.

    ``replaces`` names a stage whose place this one takes: it must make the same artefact in the same way.
    ``style`` names one of several ways to make one artefact, and ``chosen_by`` the setting that picks one of
    them (``framing.style``). Such functions are offered through the hook ``boardwright_styles``.
    """

    def mark(function: F) -> F:
        function.__boardwright__ = {  # type: ignore[attr-defined]  # the decorator's own mark
            "name": name or function.__name__,
            "each": each,
            "items": items,
            "output": False,
            "version": version,
            "replaces": replaces,
            "style": style,
            "chosen_by": chosen_by,
        }
        return function

    return mark


def output[F: Callable[..., Any]](
    *, name: str = "", each: bool = False, version: int = 1, replaces: str = ""
) -> Callable[[F], F]:
    """Mark a function as an output: it answers ``Files`` and nothing depends on it."""

    def mark(function: F) -> F:
        function.__boardwright__ = {  # type: ignore[attr-defined]  # the decorator's own mark
            "name": name or function.__name__,
            "each": each,
            "items": False,
            "output": True,
            "version": version,
            "replaces": replaces,
            "style": "",
            "chosen_by": "",
        }
        return function

    return mark


@lru_cache(1024)
def wire(function: Callable[..., Any], plugin: str = "") -> Stage:
    """Read a marked function's wiring. Raises PluginError when it cannot be a stage."""
    marks = getattr(function, "__boardwright__", None)
    here = f"{function.__module__}.{function.__qualname__}"
    if marks is None:
        raise PluginError.of(
            "BW-PLUG-001",
            f"{here} is offered as a stage but is not marked with @stage or @output",
            Place(item=plugin or None),
            "Put @stage() or @output() above the function.",
        )
    try:
        hints = get_type_hints(function)
    except NameError as problem:
        raise PluginError.of(
            "BW-PLUG-002",
            f"an annotation of {here} cannot be read: {problem}",
            Place(item=plugin or None),
            "Import what the annotation names, at the top of the file and not under TYPE_CHECKING.",
        ) from problem
    unannotated = [n for n in (*inspect.signature(function).parameters, "return") if n not in hints]
    if unannotated:
        raise PluginError.of(
            "BW-PLUG-002",
            f"{here} has no annotation for: {', '.join(unannotated)}",
            Place(item=plugin or None),
            "Annotate every parameter and the return value: the annotations are the stage's wiring.",
        )
    makes = hints.pop("return")
    if marks["items"] != (get_origin(makes) is Items):
        raise PluginError.of(
            "BW-PLUG-003",
            f"{here}: items=True and a return value of Items[…] go together",
            Place(item=plugin or None),
            "Write @stage(items=True) and -> Items[…], or neither.",
        )
    at_once = get_origin(makes) is All
    if at_once and marks["each"]:
        raise PluginError.of(
            "BW-PLUG-003",
            f"{here} is called for each board, but answers for all of them",
            Place(item=plugin or None),
            "Write @stage() to be called once for all boards, or answer for one board.",
        )
    if marks["items"] or at_once:
        makes = get_args(makes)[0]
    if marks["output"] and makes is not Files:
        raise PluginError.of(
            "BW-PLUG-004",
            f"{here} is an output but does not return Files",
            Place(item=plugin or None),
            "Annotate it -> Files and answer Files(files={path: bytes}).",
        )
    return Stage(
        function=function,
        inputs=tuple(_input(n, t) for n, t in hints.items()),
        makes=makes,
        plugin=plugin,
        at_once=at_once,
        **marks,
    )


def _input(name: str, hint: Any) -> Input:
    origin = get_origin(hint)
    if origin is All:
        return Input(name, Reads.ALL, get_args(hint)[0])
    if origin is Near:
        return Input(name, Reads.NEAR, get_args(hint)[0])
    if hint is Notes:
        return Input(name, Reads.NOTES, hint)
    if hint is Memo:
        return Input(name, Reads.MEMO, hint)
    if hint is FindingList:
        return Input(name, Reads.FINDINGS, hint)
    if hint is Provenance:
        return Input(name, Reads.PROVENANCE, hint)
    if isinstance(hint, type) and issubclass(hint, Section):
        return Input(name, Reads.SETTINGS, hint)
    return Input(name, Reads.ONE, hint)
