"""Reads the bytes of a DXF drawing into plain records, repairing what can be repaired.

What is read: LINE, ARC, CIRCLE, ELLIPSE, SPLINE, LWPOLYLINE, POLYLINE (flat or in space, no meshes), POINT,
the boundaries of HATCH, SOLID and TRACE, TEXT and MTEXT on layers where they name things, and INSERT, nested,
in rows, scaled, mirrored or turned. Paper space is not read; all else (dimensions, pictures) is passed over
and counted. What an external reference stands for is in another file and is told.

What this does not know: what any of it means. ezdxf is imported here and nowhere else.
"""

from __future__ import annotations

import io
import logging
import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text as DXFText
from ezdxf.lldxf.tagger import binary_tags_loader

from ..errors import BoardwrightError, InputError
from ..findings import Notes, Place
from . import entities
from .curves import TooManyPiecesError
from .drawn import Block, Curve, Drawn, Mark, Text
from .source import SourceFile
from .units import INSUNITS, Declared, Measure

_BINARY = b"AutoCAD Binary DXF"
FARTHEST_MM = 1e11
MOST_THINGS = 200_000
MOST_POINTS = 2_000_000
DEEPEST = 12


def load(source: SourceFile, notes: Notes) -> Drawing:
    """Open a drawing, repairing it where needed. Raises InputError when it is none."""
    where = Place(file=source.name)
    if not source.data.strip():
        raise InputError.of("BW-READ-003", "the drawing file is empty", where, "Save the plan again as DXF.")
    if b"SECTION" not in source.data:
        raise _not_a_drawing(source.name, "it has no sections")
    try:
        doc, says = _opened(source.data)
    except Exception as problem:  # strangers' bytes break the library in ways it does not list; all mean this
        raise _not_a_drawing(source.name, _short(problem)) from problem
    if not source.data.startswith(_BINARY) and not source.data.rstrip(b"\r\n\t \0\x1a").endswith(b"EOF"):
        notes.caution(
            "BW-READ-034",
            "the drawing file stops before its end: part of the plan may be missing",
            where,
            "Save or copy the drawing again, and look the plan over.",
        )
    if says:
        notes.mended(
            "BW-READ-002",
            f"the drawing file was damaged and has been repaired in {len(says)} ways, the first: {says[0]}",
            where,
            "Look the plan over, and save it again from your drawing program.",
        )
    return doc


def _not_a_drawing(file: str, why: str) -> BoardwrightError:
    return InputError.of(
        "BW-READ-001",
        f"this is not a DXF drawing that can be read ({why})",
        Place(file=file),
        "Save the plan as DXF (any release from R12 on) and name that file.",
    )


def _opened(data: bytes) -> tuple[Drawing, list[str]]:
    """The drawing, and what was repaired in it: what the audit changed and what the library only logs."""
    log = _Log(logging.WARNING)
    logging.getLogger("ezdxf").addHandler(log)
    try:
        if data.startswith(_BINARY):
            doc = Drawing.load(binary_tags_loader(data))
            audit = doc.audit()
        else:
            doc, audit = recover.read(io.BytesIO(data))
    finally:
        logging.getLogger("ezdxf").removeHandler(log)
    says = {str(e.message) for e in (*audit.errors, *audit.fixes)} | log.said
    return doc, sorted(" ".join(text.split())[:120] for text in says)


class _Log(logging.Handler):
    """Keeps what a library would else print on the terminal."""

    def __init__(self, level: int) -> None:
        super().__init__(level)
        self.said: set[str] = set()

    def emit(self, record: logging.LogRecord) -> None:
        self.said.add(record.getMessage())


logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # while entities are read, too


def _short(problem: Exception) -> str:
    text = " ".join(str(problem).split())[:80]
    return f"{type(problem).__name__}: {text}" if text else type(problem).__name__


def layer_names(doc: Drawing) -> tuple[str, ...]:
    """Layers of the layer table and layers that anything lies on, blocks included."""
    table = {str(layer.dxf.name).casefold(): str(layer.dxf.name) for layer in doc.layers}
    for block in doc.blocks:
        for entity in block:
            table.setdefault(_layer(entity).casefold(), _layer(entity))
    return tuple(name for _, name in sorted(table.items()))


def declared_units(doc: Drawing) -> Declared | None:
    """The unit the drawing itself declares; None when it declares none that we know."""
    value = doc.header.get("$INSUNITS", 0)
    return Declared(*INSUNITS[value]) if isinstance(value, int) and value in INSUNITS else None


class Reader:
    """Walks one drawing. ``whole`` says which layers' block inserts are kept in one piece."""

    def __init__(
        self,
        doc: Drawing,
        file: str,
        measure: Measure,
        error_mm: float,
        whole: Callable[[str], bool],
        notes: Notes,
        problems: Notes,
    ) -> None:
        self.doc, self.file, self.unit = doc, file, measure.unit
        self.factor = measure.factor
        self.error = error_mm / self.factor
        self.whole = whole
        self.notes = notes
        self.problems = problems
        self.things = self.points = 0
        self.curves: list[Curve] = []
        self.blocks: list[Block] = []
        self.marks: list[Mark] = []
        self.texts: list[Text] = []
        self.elsewhere: dict[str, Place] = {}
        self.passed_over: dict[str, Counter[str]] = {}

    def read(self) -> Drawn:
        """Read the model space. What cannot be used is left in ``problems``."""
        try:
            for entity in self.doc.modelspace():
                self._take(entity, _layer(entity), _handle(entity), 0)
        except _TooLargeError:
            self.problems.fault(
                "BW-READ-020",
                f"the drawing holds more than {MOST_THINGS} things or {MOST_POINTS} points",
                Place(file=self.file),
                "Save only the plan itself, without scenery and hatching.",
            )
        for name, where in sorted(self.elsewhere.items()):
            self.notes.caution(
                "BW-READ-027",
                f"the drawing refers to another drawing, {name!r}, which is not read",
                where,
                "Bind that drawing into this one (or copy its contents in) and save again.",
            )
        return Drawn(
            file=self.file,
            units=self.unit,
            layers=layer_names(self.doc),
            hidden_layers=tuple(
                str(layer.dxf.name) for layer in self.doc.layers if layer.is_off() or layer.is_frozen()
            ),
            curves=tuple(self.curves),
            blocks=tuple(self.blocks),
            marks=tuple(self.marks),
            texts=tuple(self.texts),
            passed_over={layer: dict(sorted(c.items())) for layer, c in sorted(self.passed_over.items())},
        )

    def _take(self, entity: DXFEntity, layer: str, handle: str, depth: int) -> None:
        """Read one entity; a block insert on a layer that is not kept whole is opened."""
        where = Place(file=self.file, layer=layer, handle=handle or None)
        self._count(0)
        try:
            if isinstance(entity, Insert):
                self._take_insert(entity, layer, handle, depth)
            elif isinstance(entity, MText | DXFText) and self.whole(layer):
                self._take_text(entity, layer, handle)
            elif entity.dxftype() == "POINT":
                x, y = entity.dxf.location.x * self.factor, entity.dxf.location.y * self.factor
                self._count(1)
                if self._sound(((x, y),), where):
                    self.marks.append(Mark(layer=layer, handle=handle, x_mm=x, y_mm=y))
            elif entity.dxftype() in entities.FILLED:
                self._take_filled(entity, layer, handle, where)
            else:
                curve = self._curve(entity, layer, handle)
                if curve is None:
                    self.passed_over.setdefault(layer, Counter())[entity.dxftype()] += 1
                elif self._sound(curve.points, where):
                    self.curves.append(curve)
        except _TooLargeError:
            raise
        except TooManyPiecesError:
            self.problems.fault(
                "BW-READ-019",
                f"this {entity.dxftype()} is far too large for a layout",
                where,
                "Delete it, or check the drawing's units.",
            )
        except Exception as problem:  # damaged entities break the library in ways it does not list
            self.notes.caution(
                "BW-READ-018",
                f"this {entity.dxftype()} cannot be read and is left out ({_short(problem)})",
                where,
                "Delete it and draw it again.",
            )

    def _take_filled(self, entity: DXFEntity, layer: str, handle: str, where: Place) -> None:
        for points in entities.boundaries(entity, self.error):
            self._count(len(points))
            placed = self._placed(points)
            if len(placed) > 2 and self._sound(placed, where):
                self.curves.append(
                    Curve(
                        layer=layer,
                        handle=handle,
                        type=entity.dxftype(),
                        points=placed,
                        closed=True,
                        filled=True,
                    )
                )

    def _placed(self, points: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
        return tuple((float(x) * self.factor, float(y) * self.factor) for x, y in points)

    def _take_insert(self, insert: Insert, layer: str, handle: str, depth: int) -> None:
        if insert.mcount > 1:
            if insert.mcount > MOST_THINGS:
                raise _TooLargeError
            for single in insert.multi_insert():
                self._take_insert(single, layer, handle, depth)
            return
        block_of = insert.block()
        if block_of is not None and block_of.block is not None and block_of.block.is_xref:
            where = Place(file=self.file, layer=layer, handle=handle or None)
            self.elsewhere.setdefault(str(block_of.block.dxf.get("xref_path", insert.dxf.name)), where)
            return
        if self.whole(layer):
            self._count(1)
            inside = [c for e in self._inside(insert, depth) if (c := self._curve(e, layer, handle))]
            block = _block(insert, layer, handle, self.factor, tuple(inside))
            where = Place(file=self.file, layer=layer, handle=handle or None)
            if self._sound([(block.x_mm, block.y_mm), *(p for c in inside for p in c.points)], where):
                self.blocks.append(block)
            return
        if depth >= DEEPEST:
            raise ValueError(f"blocks inside blocks more than {DEEPEST} deep")
        for entity in insert.virtual_entities():
            own = _layer(entity)
            self._take(entity, layer if own == "0" else own, handle, depth + 1)

    def _inside(self, insert: Insert, depth: int) -> Iterator[DXFEntity]:
        if depth >= DEEPEST:
            raise ValueError(f"blocks inside blocks more than {DEEPEST} deep")
        for entity in insert.virtual_entities():
            self._count(0)
            if isinstance(entity, Insert):
                for single in entity.multi_insert() if entity.mcount > 1 else (entity,):
                    yield from self._inside(single, depth + 1)
            else:
                yield entity

    def _curve(self, entity: DXFEntity, layer: str, handle: str) -> Curve | None:
        found = entities.points(entity, self.error)
        if found is None:
            return None
        self._count(len(found.points))
        return Curve(
            layer=layer,
            handle=handle,
            type=entity.dxftype(),
            points=self._placed(found.points),
            closed=found.closed,
            heights_mm=self._heights(entity, len(found.points)),
        )

    def _heights(self, entity: DXFEntity, count: int) -> tuple[float, ...]:
        """Millimetres; empty where the drawing lies flat at zero, as most do."""
        told = tuple(z * self.factor for z in entities.heights(entity, count))
        return told if any(told) and all(math.isfinite(z) for z in told) else ()

    def _take_text(self, entity: DXFEntity, layer: str, handle: str) -> None:
        text = str(entity.plain_text()) if isinstance(entity, MText | DXFText) else ""
        x, y = entity.dxf.insert.x * self.factor, entity.dxf.insert.y * self.factor
        self._count(1)
        if text.strip() and self._sound(((x, y),), Place(file=self.file, layer=layer, handle=handle or None)):
            words = " ".join(text.split())[:200]
            self.texts.append(Text(layer=layer, handle=handle, text=words, x_mm=x, y_mm=y))

    def _count(self, points: int) -> None:
        self.things += 1
        self.points += points
        if self.things > MOST_THINGS or self.points > MOST_POINTS:
            raise _TooLargeError

    def _sound(self, points: Iterable[tuple[float, float]], where: Place) -> bool:
        """False, and a problem noted, when a coordinate is no number or absurdly far away."""
        if all(math.isfinite(v) and abs(v) <= FARTHEST_MM for p in points for v in p):
            return True
        self.problems.fault(
            "BW-READ-019",
            "a point of this has no usable coordinates (not a number, or farther than round the earth)",
            where,
            "Delete it and draw it again.",
        )
        return False


class _TooLargeError(Exception):
    """The drawing is beyond what is read."""


def _layer(entity: DXFEntity) -> str:
    """Its layer; a damaged file can bring things into the drawing that have none."""
    return str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"


def _handle(entity: DXFEntity) -> str:
    return str(entity.dxf.handle or "")


def _block(insert: Insert, layer: str, handle: str, factor: float, curves: tuple[Curve, ...]) -> Block:
    matrix: Any = insert.matrix44()
    origin = insert.ocs().to_wcs(insert.dxf.insert)
    along = matrix.transform_direction((1, 0, 0))
    return Block(
        layer=layer,
        handle=handle,
        name=str(insert.dxf.name),
        x_mm=origin.x * factor,
        y_mm=origin.y * factor,
        angle_deg=math.degrees(math.atan2(along.y, along.x)) % 360,
        attributes={a.dxf.tag.upper(): str(a.dxf.text).strip() for a in insert.attribs},
        curves=curves,
    )
