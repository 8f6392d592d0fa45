"""Wood glue by the area of the joints: ends of butting strips, and the tops of all members under a deck."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from boardwright_timber.geometry import path_length
from boardwright_timber.model import (
    BoardEdging,
    BoardParts,
    Frame,
    HardwareLine,
    Joists,
    Member,
    MemberRole,
    Part,
)

from ..edging.screws import edging_mm2
from ..parts.butts import Butt, butts
from .screwing import fishplates
from .settings import HardwareSettings

TOUCH_MM = 0.05
NO_EDGING = BoardEdging()
BLOCK, PLATE = "block", "splice plate"


def glue_lines(
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: HardwareSettings,
    edging: BoardEdging = NO_EDGING,
) -> Iterator[HardwareLine]:
    """One line, rounded up to a whole millilitre. Common practice, no source."""
    members = (*frame.members, *joists.members)
    found = butts(members)
    ends = sum(map(end_mm2, found))
    has_deck = any(p.role == "deck" for p in parts.parts)
    tops = tops_mm2(members) if has_deck else 0.0
    flanges = [m for m in members if m.role is MemberRole.FLANGE]
    laid = sum(laid_mm2(flange, frame) for flange in flanges)
    cores = cores_mm2(parts)
    plates, bent = plates_mm2(parts), bent_mm2(frame)
    lapped = lapped_mm2(fishplates(parts))
    behind = edging_mm2(edging)
    area_m2 = (ends + tops + laid + cores + plates + bent + lapped + behind) / 1e6
    needed = math.ceil(round(area_m2 * settings.glue_ml_per_m2, 6))
    if needed:
        yield HardwareLine(
            item="wood-glue",
            says="Wood glue",
            quantity=needed,
            unit="ml",
            why=f"{area_m2:.3f} m² at {settings.glue_ml_per_m2:g} ml: {len(found)} butt joints"
            + (" and the deck on its frame" if has_deck else "")
            + (f", {len(flanges)} flanges on their webs" if flanges else "")
            + (", blocks between skins" if cores else "")
            + (", curved edges" if bent else "")
            + (", plates under seams of the deck" if plates else "")
            + (", fishplates" if lapped else "")
            + (", blocks behind strips along edges" if behind else ""),
        )


def end_mm2(butt: Butt) -> float:
    """Area of the end of a strip that stands against another."""
    return butt.butting.thickness_mm * butt.depth_mm


def tops_mm2(members: Iterable[Member]) -> float:
    """Area of the tops under a deck."""
    return sum(m.length_mm * m.thickness_mm for m in members if m.carries_deck)


def cores_mm2(parts: BoardParts, of: Iterable[str] | None = None) -> float:
    """Area of both faces of the blocks between skins; only those of some members, if they are named."""
    names = None if of is None else set(of)
    return sum(2 * p.area_mm2 for p in parts.parts if p.role == BLOCK and (names is None or p.of in names))


def bent_mm2(frame: Frame) -> float:
    """Area of the faces between layers of curved edges, and of their tops under the deck."""
    return sum(path_length(b.outer) * (b.depth_mm * (b.layers - 1) + b.thickness_mm) for b in frame.bent)


def plates_mm2(parts: BoardParts) -> float:
    """Area of the plates under a narrow deck's seams."""
    return sum(p.area_mm2 for p in parts.parts if p.role == PLATE)


def lapped_mm2(plates: Iterable[Part]) -> float:
    """Area of fishplates on their strips, and of the two ends that butt behind each (as thick as it is)."""
    return sum(p.area_mm2 + p.thickness_mm * p.width_mm for p in plates)


def laid_mm2(flange: Member, frame: Frame) -> float:
    """Area in mm² on which a flange lies on the web below it."""
    import shapely

    webs = [
        shapely.Polygon(m.outline)
        for m in frame.members
        if m.role is MemberRole.GIRDER and abs(m.top_mm - flange.bottom_mm) < TOUCH_MM
    ]
    return float(shapely.Polygon(flange.outline).intersection(shapely.union_all(webs)).area)
