"""A table on the terminal: plain text, numbers to the right, no wider than it must be."""

from __future__ import annotations

from collections.abc import Sequence

from .telling import plain


def columns(heading: Sequence[str], rows: Sequence[Sequence[str]], right: frozenset[int]) -> list[str]:
    """Lines of a table; columns in ``right`` are set to the right. Spaces at a line's end are left off."""
    shown = [[plain(cell).replace("\n", " ") for cell in row] for row in (heading, *rows)]
    widths = [max(len(row[n]) for row in shown) for n in range(len(heading))]
    lines = [
        "  ".join(
            cell.rjust(width) if n in right else cell.ljust(width)
            for n, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in shown
    ]
    return [lines[0], "-" * max(map(len, lines)), *lines[1:]]
