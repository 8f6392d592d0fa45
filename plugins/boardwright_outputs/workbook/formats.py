"""The styles of the workbook by name, and the numbers by which cells name them in the file.

The numbers are given here, in a fixed order, so that cells can be laid out without the library that makes the
styles; ``style`` makes them in this order and ``writer`` proves that the library counts alike.
"""

from __future__ import annotations

from functools import cache

from .sheet import Show

LEFT = frozenset({Show.TEXT, Show.WRAPPED})
KINDS = ("plain", "entry", "closing", "strong")


@cache
def body_style(show: Show, kind: str = "plain") -> str:
    return f"bw-{show.value}-{kind}"


#: Every style of the workbook: six of the page, and four for each ``Show``.
STYLES = (
    *("bw-title", "bw-purpose", "bw-heading", "bw-heading-right", "bw-block", "bw-link"),
    *(body_style(show, kind) for show in Show for kind in KINDS),
)
#: Each style twice: as it is, and for text that would be read as a formula if it were typed in.
IN_ORDER = tuple((style, active) for style in STYLES for active in (False, True))
_NUMBERS = {pair: place for place, pair in enumerate(IN_ORDER, 1)}


def number(style: str, active: bool = False) -> int:
    """A style's number in the workbook's table of cell formats (``cellXfs``; ECMA-376 part 1, 18.8.10)."""
    return _NUMBERS[style, active]
