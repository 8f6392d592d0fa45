"""A DXF file read strictly: pairs of a group code and a value, to the end of the file.

Claim: a file cut short, or one that is no text DXF, is told and never half read. Read are LINE, LWPOLYLINE,
CIRCLE, ARC and TEXT of the entities section, the kinds a pack is drawn with; any other kind is kept by its
name, so that one on a layer a machine follows can be told.
Source: DXF reference, group codes of these entities and ``$INSUNITS`` 4 = millimetres (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from .record import Point

type Tag = tuple[int, str]


class DamagedError(Exception):
    """The file cannot be read; says why."""


class Run(msgspec.Struct, frozen=True):
    """Points along a polyline or line with a bulge each; ``layer`` is where it lies."""

    layer: str
    corners: tuple[tuple[float, float, float], ...]
    closed: bool


class Ringlet(msgspec.Struct, frozen=True):
    """A circle."""

    layer: str
    x_mm: float
    y_mm: float
    diameter_mm: float


class Words(msgspec.Struct, frozen=True):
    """A line of text with its base point, height, angle and share of its width before the point."""

    layer: str
    text: str
    x_mm: float
    y_mm: float
    height_mm: float
    angle_deg: float
    before: float


class Drawn(msgspec.Struct, frozen=True):
    """A drawing as it was read. ``others``: (kind, layer) of what is none of the five kinds."""

    units: int | None
    runs: tuple[Run, ...]
    circles: tuple[Ringlet, ...]
    texts: tuple[Words, ...]
    others: tuple[tuple[str, str], ...]


def read_dxf(data: bytes) -> Drawn:
    """Raises DamagedError."""
    tags = _tags(data)
    if not tags or tags[-1] != (0, "EOF"):
        raise DamagedError("it ends before its end mark: it was cut short")
    sections = _sections(tags)
    for needed in ("HEADER", "ENTITIES"):
        if needed not in sections:
            raise DamagedError(f"its section {needed} is missing")
    runs: list[Run] = []
    circles: list[Ringlet] = []
    texts: list[Words] = []
    others: list[tuple[str, str]] = []
    for kind, own in _entities(sections["ENTITIES"]):
        one = dict(reversed(own))  # of a code given twice the first
        layer = one.get(8, "0")
        match kind:
            case "LWPOLYLINE":
                runs.append(Run(layer, _corners(own), bool(int(_number(one, 70, 0.0)) & 1)))
            case "LINE":
                ends = ((_number(one, 10), _number(one, 20), 0.0), (_number(one, 11), _number(one, 21), 0.0))
                runs.append(Run(layer, ends, closed=False))
            case "CIRCLE":
                circles.append(Ringlet(layer, _number(one, 10), _number(one, 20), 2 * _number(one, 40)))
            case "TEXT":
                texts.append(_words(layer, one))
            case _:
                others.append((kind, layer))
    return Drawn(_units(sections["HEADER"]), tuple(runs), tuple(circles), tuple(texts), tuple(others))


def _tags(data: bytes) -> list[Tag]:
    try:
        lines = data.decode("utf-8").replace("\r\n", "\n").split("\n")
    except UnicodeDecodeError as problem:
        raise DamagedError("it is not text") from problem
    while lines and not lines[-1].strip():
        lines.pop()
    if len(lines) % 2:
        raise DamagedError("it ends in the middle of an entry: it was cut short")
    try:
        return [(int(lines[n]), lines[n + 1].strip()) for n in range(0, len(lines), 2)]
    except ValueError as problem:
        raise DamagedError("its lines are no pairs of a code and a value") from problem


def _sections(tags: list[Tag]) -> dict[str, list[Tag]]:
    found: dict[str, list[Tag]] = {}
    start: int | None = None
    for n, tag in enumerate(tags):
        if tag == (0, "SECTION"):
            if start is not None:
                raise DamagedError("a section is not ended")
            start = n
        elif tag == (0, "ENDSEC"):
            if start is None or tags[start + 1][0] != 2:
                raise DamagedError("a section has no name")
            found[tags[start + 1][1]] = tags[start + 2 : n]
            start = None
    if start is not None:
        raise DamagedError("a section is not ended: it was cut short")
    return found


def _entities(tags: list[Tag]) -> Iterator[tuple[str, list[Tag]]]:
    starts = [n for n, (code, _) in enumerate(tags) if code == 0]
    for n, end in zip(starts, [*starts[1:], len(tags)], strict=True):
        yield tags[n][1], tags[n + 1 : end]


def _corners(own: list[Tag]) -> tuple[tuple[float, float, float], ...]:
    corners: list[list[float]] = []
    for code, value in own:
        if code == 10:
            corners.append([_float(value), 0.0, 0.0])
        elif code in (20, 42) and corners:
            corners[-1][1 if code == 20 else 2] = _float(value)
    return tuple((x, y, bulge) for x, y, bulge in corners)


def _words(layer: str, one: dict[int, str]) -> Words:
    align = int(_number(one, 72, 0.0))
    return Words(
        layer,
        one.get(1, ""),
        _number(one, 10),
        _number(one, 20),
        _number(one, 40),
        _number(one, 50, 0.0),
        {0: 0.0, 1: 0.5, 2: 1.0}.get(align, 0.0),
    )


def _units(header: list[Tag]) -> int | None:
    for n, tag in enumerate(header[:-1]):
        if tag == (9, "$INSUNITS"):
            return int(_float(header[n + 1][1]))
    return None


def _number(one: dict[int, str], code: int, default: float | None = None) -> float:
    if code in one:
        return _float(one[code])
    if default is None:
        raise DamagedError(f"an entry lacks its value {code}")
    return default


def _float(text: str) -> float:
    try:
        value = float(text)
    except ValueError as problem:
        raise DamagedError(f"{text[:20]!r} stands where a number should") from problem
    if not math.isfinite(value):
        raise DamagedError(f"{text[:20]!r} stands where a size should")
    return value


def ends(run: Run) -> tuple[Point, Point]:
    """First and last corner."""
    return run.corners[0][:2], run.corners[-1][:2]
