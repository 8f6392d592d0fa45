"""How the commands speak: findings as text, and one live progress line where there is a terminal."""

from __future__ import annotations

import shutil
import sys
import textwrap
import traceback
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, TextIO

from ..grouping import alike, differing, places, sentence

_SIGNS = {"fault": "FAULT", "caution": "Caution", "mended": "Mended", "note": "Note"}
_KINDS = (
    ("fault", "fault", "faults"),
    ("caution", "caution", "cautions"),
    ("mended", "mended", "mended"),
    ("note", "note", "notes"),
)


def tell_findings(findings: Iterable[Mapping[str, str]], stream: TextIO | None = None) -> None:
    """Print each matter with what, where and mend, wrapped to the terminal; what boards share, once."""
    width = terminal_width()
    for same in alike(findings):
        f = same[0]
        head = sentence(f"{_SIGNS[f['severity']]} {f['code']}: {f['says']}")
        lines = wrapped(head, width, "", "  ")
        if any(words := differing(same)):
            lines += wrapped(f"the same for: {'; '.join(filter(None, words))}", width, "  ", "    ")
        if where := places(same):
            lines += wrapped(f"where: {where}", width, "  ", "    ")
        if f["mend"]:
            lines += wrapped(f"mend: {f['mend']}", width, "  ", "    ")
        print(plain("\n".join(lines)), file=stream or sys.stderr)


def stage_and_project(stage: str | None, layout: Path) -> tuple[str | None, Path]:
    """STAGE[@BOARD] and the project file, whichever of the two was written first."""
    if stage and (stage.endswith(".toml") or Path(stage).exists()):
        other, layout = str(layout), Path(stage)
        stage = None if other == "layout.toml" else other
    return stage, layout / "layout.toml" if layout.is_dir() else layout


def as_typed(path: Path) -> str:
    """A path as it is to be typed in a command: in quotation marks where it holds a blank or the like."""
    import shlex
    import subprocess

    return subprocess.list2cmdline([str(path)]) if sys.platform == "win32" else shlex.quote(str(path))


def tell_unknown(what: str, name: str, valid: Iterable[str]) -> None:
    """Say that there is no such thing, which is likely meant, and which there are."""
    import difflib

    there = sorted(valid)
    near = difflib.get_close_matches(name, there, n=1, cutoff=0.6)
    meant = f" Did you mean {near[0]!r}?" if near else ""
    text = f"There is no {what} {name!r}.{meant} There are: {', '.join(there)}."
    print(plain("\n".join(wrapped(text, terminal_width()))), file=sys.stderr)


def counted(findings: Iterable[Mapping[str, str]]) -> str:
    """How many of each kind, worst first: ``1 fault, 2 cautions``; empty when there are none."""
    number = Counter(f["severity"] for f in findings)
    names = ((number[s], one if number[s] == 1 else many) for s, one, many in _KINDS)
    return ", ".join(f"{n} {name}" for n, name in names if n)


def tell_end(text: str) -> None:
    """What a command has done, on standard output: wrapped on a terminal, one line for other programs. An
    empty text is nothing to tell."""
    if not text:
        return
    print("\n".join(wrapped(text, terminal_width())) if sys.stdout.isatty() else text)


def terminal_width() -> int:
    """Columns to wrap to: the terminal's, at most 100."""
    return min(100, shutil.get_terminal_size((80, 24)).columns)


def wrapped(text: str, width: int, first: str = "", rest: str = "  ") -> list[str]:
    """Lines no wider than ``width``; a word with a hyphen, such as the name of a file, stays whole."""
    return textwrap.wrap(
        text, max(width, 20), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def plain(text: str) -> str:
    """Without control characters: names come from strangers' drawings."""
    return "".join(c if c == "\n" or c.isprintable() else "·" for c in text)


def keep_defects(project_file: Path, defects: list[str]) -> None:
    """Leave the tracebacks where a developer finds them."""
    path = project_file.parent / ".boardwright" / "defects.txt"
    try:
        path.parent.mkdir(exist_ok=True)
        path.write_text("\n".join(defects))
    except OSError:
        print("\n".join(defects), file=sys.stderr)
        return
    print(f"Details for a developer: {path}", file=sys.stderr)


def tell_defect(problem: Exception, layout: Path | None) -> None:
    """Say that we failed, not the builder, and keep the trace."""
    print(f"FAULT BW-ENG-003: a defect of ours: {type(problem).__name__}: {problem}", file=sys.stderr)
    print("  mend: please report it with the details below; nothing was written over.", file=sys.stderr)
    project_file = layout / "layout.toml" if layout and layout.is_dir() else layout or Path("layout.toml")
    keep_defects(project_file, traceback.format_exception(problem))


class ProgressLine:
    """A live line per stage on a terminal; silent elsewhere."""

    def __init__(self, stream: TextIO) -> None:
        self._live = stream.isatty()
        self._progress: Any = None
        self._tasks: dict[str, Any] = {}
        self._stream = stream

    def __enter__(self) -> ProgressLine:
        return self

    def tell(self, progress: Any) -> None:
        if not self._live:
            return
        if self._progress is None:
            from rich.console import Console
            from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

            self._progress = Progress(
                TextColumn("{task.description:<18}"),
                BarColumn(bar_width=20),
                MofNCompleteColumn(),
                TextColumn("{task.fields[reused]} reused"),
                TimeElapsedColumn(),
                console=Console(file=self._stream),
            )
            self._progress.start()
        if progress.stage not in self._tasks:
            self._tasks[progress.stage] = self._progress.add_task(
                progress.stage, total=progress.total, reused=0
            )
        self._progress.update(self._tasks[progress.stage], completed=progress.done, reused=progress.reused)

    def __exit__(self, *_: object) -> None:
        if self._progress:
            self._progress.stop()
