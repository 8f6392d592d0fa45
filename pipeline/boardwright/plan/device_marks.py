"""Devices drawn as a point or a circle with a text beside it that tells what it is.

"PM3 point motor" beside a circle is a point motor called PM3 at the circle's middle; "servo" alone is a
servo, numbered by place. Each mark takes the nearest text that tells a kind, each text once.

What this does not know: blocks, the device list, and how large a circle is meant: the kind gives the size.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from ..findings import Notes
from .drawn import Block, Curve, Drawn, Mark, Text
from .kinds import Catalogue
from .model import Point

NEAR_MM = 60.0
"""A text farther from a mark than this does not belong to it. Common practice, no source."""


def is_circle(curve: Curve) -> bool:
    return curve.closed and curve.type.upper() == "CIRCLE"


def as_blocks(
    drawn: Drawn,
    marks: Sequence[Mark],
    circles: Sequence[Curve],
    texts: Sequence[Text],
    catalogue: Catalogue,
    notes: Notes,
) -> list[Block]:
    """An insert for every mark with a telling text, as if drawn as a block; the others are told."""
    spots = [(m.x_mm, m.y_mm, m) for m in marks] + [(*_middle(c), c) for c in circles]
    telling = [(t, kind) for t in texts if (kind := catalogue.in_name(t.text))]
    pairs = _near([(x, y) for x, y, _ in spots], [(t.x_mm, t.y_mm) for t, _ in telling])
    text_of: dict[int, int] = {}
    taken: set[int] = set()
    for _, i, j in pairs:
        if i not in text_of and j not in taken:
            text_of[i] = j
            taken.add(j)
    made = []
    for i, (x, y, thing) in enumerate(spots):
        if i not in text_of:
            continue
        text, kind = telling[text_of[i]]
        name = _name(text.text, catalogue)
        attributes = {"KIND": kind, "NAME": name} if name else {"KIND": kind}
        made.append(
            Block(
                layer=thing.layer,
                handle=thing.handle,
                name=kind,
                x_mm=x,
                y_mm=y,
                angle_deg=0.0,
                attributes=attributes,
            )
        )
    silent = [drawn.place(thing) for i, (_, _, thing) in enumerate(spots) if i not in text_of]
    if silent:
        notes.caution(
            "BW-READ-065",
            f"{len(silent)} points or circles on the device layers are left out: no text within "
            f"{NEAR_MM:.0f} mm of them tells a kind of device",
            silent[:5],
            "Write the kind beside it on the same layer, such as 'PM3 point motor', or make a block of it.",
        )
    return made


def _near(spots: Sequence[Point], texts: Sequence[Point]) -> list[tuple[float, int, int]]:
    """(distance, spot, text) of every two within reach, the nearest first."""
    import shapely

    if not spots or not texts:
        return []
    tree = shapely.STRtree([shapely.Point(t) for t in texts])
    found = tree.query([shapely.Point(s) for s in spots], predicate="dwithin", distance=NEAR_MM)
    return sorted((math.dist(spots[i], texts[j]), int(i), int(j)) for i, j in zip(*found, strict=True))


def _middle(curve: Curve) -> tuple[float, float]:
    xs, ys = [p[0] for p in curve.points], [p[1] for p in curve.points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _name(text: str, catalogue: Catalogue) -> str:
    """The first word if it looks like a name (PM3, F-02) and is no word of a kind."""
    first = re.split(r"[\s:,;]+", text.strip())[0]
    looks = re.fullmatch(r"[^\W\d]+[-_.]?\d+\w*", first) is not None
    return first if looks and catalogue.in_name(first) is None else ""
