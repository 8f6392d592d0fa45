"""A table on the terminal: plain text, numbers to the right, no wider than it must be; where the terminal is
narrower still, a paragraph a row."""

from __future__ import annotations

import shutil
from collections.abc import Sequence

from .telling import plain, terminal_width, wrapped

#: Where there is no terminal (a file, another program) a table may be as wide as it is.
ANY = 100_000


def columns(heading: Sequence[str], rows: Sequence[Sequence[str]], right: frozenset[int]) -> list[str]:
    """Lines of a table; columns in ``right`` are set to the right. Spaces at a line's end are left off.

    A table wider than the terminal becomes paragraphs: the row's first cell, then the others each behind its
    heading.
    """
    shown = [[plain(cell).replace("\n", " ") for cell in row] for row in (heading, *rows)]
    widths = [max(len(row[n]) for row in shown) for n in range(len(heading))]
    across = shutil.get_terminal_size((ANY, 24)).columns
    if sum(widths) + 2 * (len(widths) - 1) > across:
        return _paragraphs(shown[0], shown[1:])
    lines = [
        "  ".join(
            cell.rjust(width) if n in right else cell.ljust(width)
            for n, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in shown
    ]
    return [lines[0], "-" * max(map(len, lines)), *lines[1:]]


def _paragraphs(heading: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    lines: list[str] = []
    for row in rows:
        cells = [f"{name} {cell}".strip() for name, cell in zip(heading[1:], row[1:], strict=True) if cell]
        lines += wrapped(f"{row[0]}: {', '.join(cells)}", terminal_width(), "", "    ")
    return lines
