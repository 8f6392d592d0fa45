"""Every hook, in the order a run calls them: the contents page of the plugin door.

A plugin is a module (or object) reached by an entry point of the group ``boardwright``. Built-in stages and
outputs come through the same door. Plugins are registered in the order of their entry-point names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import pluggy

from .findings import Notes
from .made import MadeList
from .many.model import Batch, Series, Study
from .plan.source import SourceFile

hookspec = pluggy.HookspecMarker("boardwright")
hookimpl = pluggy.HookimplMarker("boardwright")


# --- collecting -----------------------------------------------------------------------------------------


@hookspec
def boardwright_stages() -> Iterable[Callable[..., Any]]:
    """Functions marked with ``@stage``. Two makers of one artefact are refused by the catalogue."""
    raise AssertionError("a hook specification is never called")


@hookspec
def boardwright_styles() -> Iterable[Callable[..., Any]]:
    """Functions marked with ``@stage(style=…, chosen_by=…)``: of those that one setting chooses between, the
    project file picks one by its name, and that one takes part as a stage."""
    raise AssertionError("a hook specification is never called")


@hookspec
def boardwright_outputs() -> Iterable[Callable[..., Any]]:
    """Functions marked with ``@output``. Two outputs writing one path are refused."""
    raise AssertionError("a hook specification is never called")


# --- `boardwright plugins --scaffold`: a package to begin with ----------------------------------------------


@hookspec(firstresult=True)
def boardwright_scaffold(name: str, module: str, version: str) -> Mapping[str, bytes] | None:
    """Files of a first package of somebody's own rules: path in its folder -> bytes. ``name`` is that of its
    distribution and entry point, ``module`` its import name, ``version`` the release it is written for."""
    raise AssertionError("a hook specification is never called")


# --- `boardwright nest`: cutting a bare list -------------------------------------------------------------


@hookspec(firstresult=True)
def boardwright_nest(pieces: SourceFile, stock: SourceFile, notes: Notes) -> Any:
    """Cut a list of pieces from a stock; the first plugin that answers does it. Raises InputError."""
    raise AssertionError("a hook specification is never called")


@hookspec
def boardwright_nest_files(nested: Any) -> Mapping[str, bytes]:
    """Files that show what ``boardwright_nest`` answered: path in the folder -> bytes."""
    raise AssertionError("a hook specification is never called")


# --- `boardwright changes`: two packs side by side --------------------------------------------------------


@hookspec(firstresult=True)
def boardwright_changes(before: bytes, after: bytes) -> Any:
    """Compare the data files of two packs. Answers something with ``lines``, sentences for a person to read;
    the first plugin that answers does it. Raises InputError for data it cannot read."""
    raise AssertionError("a hook specification is never called")


# --- `boardwright made`: the list of what is made ---------------------------------------------------------


@hookspec(firstresult=True)
def boardwright_made(made: MadeList, pack: bytes, names: Sequence[str], undo: bool) -> Any:
    """Mark parts of a pack (its data file) as made, or with ``undo`` as not made after all. Answers something
    with ``text``, the list as it is to be kept, and ``lines``, sentences for a person; the first plugin that
    answers does it. Raises InputError for a name that is nowhere."""
    raise AssertionError("a hook specification is never called")


# --- `boardwright batch`, `boardwright series` and `boardwright study`: many at once ---------------------


@hookspec(firstresult=True)
def boardwright_buy_together(packs: Mapping[str, bytes], notes: Notes, series: Series | None) -> Any:
    """One purchase and one cutting plan for all projects of a batch, from their packs' data: label ->
    ``pack.json``. ``series``: how the projects hang together, when they are a series of modules. The first
    plugin that answers does it. Raises InputError."""
    raise AssertionError("a hook specification is never called")


@hookspec
def boardwright_batch_files(batch: Batch) -> Mapping[str, bytes]:
    """Files that show a batch, and what was bought together: path in the folder -> bytes."""
    raise AssertionError("a hook specification is never called")


@hookspec
def boardwright_study_files(study: Study) -> Mapping[str, bytes]:
    """Files that show a study: path in the folder -> bytes."""
    raise AssertionError("a hook specification is never called")


# --- `boardwright verify`: a finished pack proves itself -------------------------------------------------


@hookspec
def boardwright_verify(files: Mapping[str, bytes], notes: Notes) -> Iterable[str]:
    """Prove what the files of a pack say, from those alone: path in the folder -> bytes. Answers a sentence
    for each thing that holds; what does not is raised as a fault. Every plugin may prove what it wrote."""
    raise AssertionError("a hook specification is never called")
