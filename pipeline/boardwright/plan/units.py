"""How large the drawing is: its unit, and the scale it was drawn at, settled once for every reader.

Order of belief: what the project file states; else what the drawing declares; else millimetres, and that is
said.

Glossary
    declared   what the drawing itself says: DXF's $INSUNITS, the physical width and height of an SVG
    stated     the project file says it: then it is obeyed, however odd the size
    drawn at   "model": full size of the boards; "prototype": full size of the real railway, so every length
               is divided by the scale; "1:10": a tenth of the boards, so every length is multiplied by 10

What this does not know: what is drawn. Sizes are checked in ``checks.py``.
"""

from __future__ import annotations

import re

import msgspec

from ..findings import Notes, Place
from .settings import DrawingSettings

MILLIMETRES = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "px": 25.4 / 96}
"""Units that the project file may state. A pixel is 1/96 inch (CSS 2.1, 4.3.2; from memory)."""

WORDS = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}

INSUNITS = {
    1: ("in", 25.4),
    2: ("ft", 304.8),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    7: ("km", 1e6),
    9: ("mil", 0.0254),
    10: ("yd", 914.4),
    13: ("µm", 0.001),
    14: ("dm", 100.0),
    21: ("US survey ft", 1200 / 3937 * 1000),
}
"""$INSUNITS -> unit and its millimetres (DXF reference, header variables; from memory)."""


class Declared(msgspec.Struct, frozen=True):
    """What a drawing says of itself: a name for its unit, and the millimetres of one."""

    unit: str
    unit_mm: float


class Measure(msgspec.Struct, frozen=True, kw_only=True):
    """``factor`` turns drawing units into millimetres of the boards; ``stated`` as in the glossary."""

    unit: str
    unit_mm: float
    times: float = 1.0
    stated: bool = False

    @property
    def factor(self) -> float:
        return self.unit_mm * self.times


def settle(
    file: str, settings: DrawingSettings, declared: Declared | None, notes: Notes, problems: Notes
) -> Measure:
    """The measure to read a drawing by."""
    where = Place(file=file, key="[drawing] units")
    times = _times(settings, notes, problems)
    if settings.units != "auto":
        own = MILLIMETRES[settings.units]
        if declared and abs(declared.unit_mm / own - 1) > 1e-3:
            notes.note(
                "BW-READ-032",
                f"the drawing declares {declared.unit}, the project file says {settings.units}, "
                "which is used",
                where,
            )
        return Measure(unit=settings.units, unit_mm=own, times=times, stated=True)
    if declared is None:
        notes.mended(
            "BW-READ-004",
            "the drawing does not say in which units it is drawn; millimetres are assumed",
            where,
            "Set units under [drawing].",
        )
        return Measure(unit="mm", unit_mm=1.0, times=times)
    return Measure(unit=declared.unit, unit_mm=declared.unit_mm, times=times)


def scale_ratio(text: str, problems: Notes) -> float:
    """76.2 for the scale "1:76.2"."""
    ratio = _ratio(text)
    if not 1 <= ratio <= 10_000:
        problems.fault(
            "BW-READ-026",
            f"the scale {text!r} is not understood",
            Place(key="[drawing] scale"),
            'Write it as a ratio, such as "1:76.2".',
        )
        return 1.0
    return ratio


def _ratio(text: str) -> float:
    found = re.fullmatch(r"\s*1\s*[:/]\s*([0-9]{1,9}(?:[.,][0-9]{1,9})?)\s*", text)
    return float(found[1].replace(",", ".")) if found else 0.0


def _times(settings: DrawingSettings, notes: Notes, problems: Notes) -> float:
    """What every length is multiplied by, because of the size the drawing is drawn at."""
    if settings.drawn_at == "model":
        return 1.0
    where = Place(key="[drawing] drawn_at")
    if settings.drawn_at == "prototype":
        ratio = _ratio(settings.scale)
        if 1 <= ratio <= 10_000:
            notes.note(
                "BW-READ-035", f"the drawing is at prototype size: lengths are divided by {ratio:g}", where
            )
            return 1 / ratio
        return 1.0  # the scale itself is refused
    ratio = _ratio(settings.drawn_at)
    if not 1 <= ratio <= 1_000:
        problems.fault(
            "BW-READ-036",
            f"the size {settings.drawn_at!r} that the drawing is drawn at is not understood",
            where,
            'Write "model", "prototype" or a ratio, such as "1:10".',
        )
        return 1.0
    notes.note("BW-READ-035", f"the drawing is at 1:{ratio:g}: lengths are multiplied by {ratio:g}", where)
    return ratio
