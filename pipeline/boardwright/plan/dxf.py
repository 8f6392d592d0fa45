"""Reads an open DXF drawing into plain records.

What is read: LINE, ARC, CIRCLE, ELLIPSE, SPLINE, HELIX, LWPOLYLINE, POLYLINE (flat or in space, no meshes),
MLINE, POINT, the boundaries of HATCH, MPOLYGON, SOLID, TRACE and 3DFACE, TEXT and MTEXT on layers where they
name things, and INSERT, nested, in rows, scaled, mirrored or turned. Paper space is not read; lettering and
dimensions are passed over and counted; all else (solids, pictures, what is marked as hidden) is named.
What an external reference stands for is in another file and is told.

What this does not know: what any of it means. ezdxf is imported here, in ``dxf_file`` and nowhere else.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable
from typing import Any

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text as DXFText
from ezdxf.layouts.blocklayout import BlockLayout

from ..findings import Notes, Place
from . import entities
from .curves import DamagedError, Round, TooManyPiecesError
from .drawn import Block, Curve, Drawn, Mark, Skipped, Text
from .model import Circle
from .not_read import PASSED_OVER
from .units import INSUNITS, Declared, Measure

FARTHEST_MM = 1e11
MOST_THINGS = 200_000
MOST_POINTS = 2_000_000
DEEPEST = 12


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
    """Walks one drawing. ``whole`` says which layers' block inserts are kept in one piece.

    With ``wanted``, things on other layers are only counted: a large drawing then costs little more than
    opening it.
    """

    def __init__(
        self,
        doc: Drawing,
        file: str,
        measure: Measure,
        error_mm: float,
        whole: Callable[[str], bool],
        notes: Notes,
        problems: Notes,
        wanted: Callable[[str], bool] | None = None,
    ) -> None:
        self.doc, self.file, self.unit = doc, file, measure.unit
        self.factor = measure.factor
        self.error = error_mm / self.factor
        self.whole = whole
        self.notes = notes
        self.problems = problems
        self.wanted = wanted
        self.too_large = False
        self.things = self.points = 0
        self.curves: list[Curve] = []
        self.blocks: list[Block] = []
        self.marks: list[Mark] = []
        self.texts: list[Text] = []
        self.skipped: list[Skipped] = []
        self.elsewhere: dict[str, Place] = {}
        self.passed_over: dict[str, Counter[str]] = {}
        self.unread: dict[str, Counter[str]] = {}
        self.opened: dict[str, Counter[str]] = {}
        self.out_of_blocks: dict[str, Counter[str]] = {}
        self._reads: dict[str, bool] = {}
        self._holds: dict[str, bool] = {}

    def read(self) -> Drawn:
        """Read the model space. What cannot be used is left in ``problems``."""
        try:
            for entity in self.doc.modelspace():
                self._take(entity, _layer(entity), _handle(entity), 0)
        except _TooLargeError:
            self.too_large = True
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
            skipped=tuple(self.skipped),
            passed_over=_plain(self.passed_over),
            unread=_plain(self.unread),
            opened=_plain(self.opened),
            out_of_blocks=_plain(self.out_of_blocks),
        )

    def _take(self, entity: DXFEntity, layer: str, handle: str, depth: int) -> None:
        """Read one entity; a block insert on a layer that is not kept whole is opened."""
        if self.wanted and not self._is_wanted(entity, layer):
            self.unread.setdefault(layer, Counter())[entity.dxftype()] += 1
            return
        where = Place(file=self.file, layer=layer, handle=handle or None)
        self._count(0)
        if _is_hidden(entity):
            self._skip(entity, layer, handle, hidden=True)
            return
        before = len(self.curves) + len(self.marks)
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
                    self._skip(entity, layer, handle)
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
        except DamagedError as problem:
            self.notes.caution(
                "BW-READ-018",
                f"this {entity.dxftype()} cannot be read and is left out: {problem}",
                where,
                "Delete it and draw it again.",
            )
        except Exception as problem:  # damaged entities break the library in ways it does not list
            self.notes.caution(
                "BW-READ-018",
                f"this {entity.dxftype()} cannot be read and is left out ({_short(problem)})",
                where,
                "Delete it and draw it again.",
            )
        if depth and not isinstance(entity, Insert) and (more := len(self.curves) + len(self.marks) - before):
            self.out_of_blocks.setdefault(layer, Counter())[entity.dxftype()] += more

    def _skip(self, entity: DXFEntity, layer: str, handle: str, hidden: bool = False) -> None:
        """Leave a thing out; lettering and dimensions are only counted."""
        kind = entity.dxftype()
        if kind in PASSED_OVER and not hidden:
            self.passed_over.setdefault(layer, Counter())[kind] += 1
            return
        at = entities.somewhere(entity)
        placed = self._placed([at])[0] if at and all(math.isfinite(v) for v in at) else None
        self.skipped.append(Skipped(layer=layer, handle=handle, type=kind, at=placed, hidden=hidden))

    def _is_wanted(self, entity: DXFEntity, layer: str) -> bool:
        """Whether the thing, or anything in the block it inserts, lies on a layer that is read."""
        if layer not in self._reads:
            self._reads[layer] = self.wanted is None or self.wanted(layer)
        return self._reads[layer] or (isinstance(entity, Insert) and self._holds_wanted(entity))

    def _holds_wanted(self, insert: Insert) -> bool:
        name = str(insert.dxf.name)
        if name not in self._holds:
            self._holds[name] = False  # a block that inserts itself holds no more than it holds
            block = insert.block()
            self._holds[name] = block is not None and (
                _is_elsewhere(block) or any(self._is_wanted(e, _layer(e)) for e in block)
            )
        return self._holds[name]

    def _take_filled(self, entity: DXFEntity, layer: str, handle: str, where: Place) -> None:
        for found in entities.boundaries(entity, self.error):
            self._count(len(found.points))
            placed = self._placed(found.points)
            if len(placed) > 2 and self._sound(placed, where):
                self.curves.append(
                    Curve(
                        layer=layer,
                        handle=handle,
                        type=entity.dxftype(),
                        points=placed,
                        closed=True,
                        filled=entity.dxftype() != "MPOLYGON",
                        circles=tuple(self._circle(r) for r in found.circles),
                    )
                )

    def _circle(self, found: Round) -> Circle:
        (centre,) = self._placed([found.centre])
        return Circle(
            x_mm=centre[0],
            y_mm=centre[1],
            radius_mm=found.radius * self.factor,
            chord_mm=found.chord * self.factor,
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
        inserted = insert.block()
        if inserted is not None and inserted.block is not None and _is_elsewhere(inserted):
            where = Place(file=self.file, layer=layer, handle=handle or None)
            self.elsewhere.setdefault(str(inserted.block.dxf.get("xref_path", insert.dxf.name)), where)
            return
        if self.whole(layer):
            self._count(1)
            block = self._whole(insert, layer, handle, depth)
            where = Place(file=self.file, layer=layer, handle=handle or None)
            if self._sound([(block.x_mm, block.y_mm), *(p for c in block.curves for p in c.points)], where):
                self.blocks.append(block)
            return
        if depth >= DEEPEST:
            raise ValueError(f"blocks inside blocks more than {DEEPEST} deep")
        if depth == 0:
            self.opened.setdefault(layer, Counter())[str(insert.dxf.name)] += 1
        for entity in insert.virtual_entities():
            own = _layer(entity)
            self._take(entity, layer if own == "0" else own, handle, depth + 1)

    def _whole(self, insert: Insert, layer: str, handle: str, depth: int) -> Block:
        """An insert in one piece, with the inserts in it; things on layer 0 lie on the insert's."""
        if depth >= DEEPEST:
            raise ValueError(f"blocks inside blocks more than {DEEPEST} deep")
        self._count(0)
        curves: list[Curve] = []
        inside: list[Block] = []
        for entity in insert.virtual_entities():
            self._count(0)
            own = _layer(entity)
            if _is_hidden(entity):  # as parts of a block that changes its look are, but one
                continue
            if isinstance(entity, Insert):
                for single in entity.multi_insert() if entity.mcount > 1 else (entity,):
                    inner = self._whole(single, layer if own == "0" else own, handle, depth + 1)
                    inside.append(inner)
                    curves += inner.curves
            elif curve := self._curve(entity, layer, handle):
                curves.append(curve)
        return _block(insert, layer, handle, self.factor, tuple(curves), tuple(inside))

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
            circles=tuple(self._circle(r) for r in found.circles),
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


def _is_elsewhere(block: BlockLayout) -> bool:
    """Whether a block stands for another drawing."""
    return block.block is not None and block.block.is_xref


def _plain(counts: dict[str, Counter[str]]) -> dict[str, dict[str, int]]:
    return {layer: dict(sorted(c.items())) for layer, c in sorted(counts.items())}


class _TooLargeError(Exception):
    """The drawing is beyond what is read."""


def _layer(entity: DXFEntity) -> str:
    """Its layer; a damaged file can bring things into the drawing that have none."""
    return str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"


def _is_hidden(entity: DXFEntity) -> bool:
    """Whether the drawing marks it as not to be seen (group code 60)."""
    return entity.dxf.is_supported("invisible") and bool(entity.dxf.get("invisible", 0))


def _handle(entity: DXFEntity) -> str:
    return str(entity.dxf.handle or "")


def _block(
    insert: Insert,
    layer: str,
    handle: str,
    factor: float,
    curves: tuple[Curve, ...],
    inside: tuple[Block, ...],
) -> Block:
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
        inside=inside,
    )
