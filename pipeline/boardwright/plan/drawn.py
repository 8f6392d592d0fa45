"""What a drawing holds, as plain records in millimetres, before anyone asks what it means.

Glossary
    curve    one line, arc, polyline, … flattened to points
    block    one block insert kept whole, with the curves in it and its attributes
    mark     a single point
    height   of a curve's point above the drawing's zero; none given: empty
    text     a line of lettering, on a layer whose inserts are kept whole
    circles  those that parts of a curve follow exactly
    filled   a curve that is the boundary of a hatch or a solid, not a line that someone drew

What this does not know: roles. A reader of another file format fills the same records.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from ..findings import Place
from .model import Circle, Point


class Curve(msgspec.Struct, frozen=True, kw_only=True):
    layer: str
    handle: str
    type: str
    points: tuple[Point, ...]
    closed: bool = False
    heights_mm: tuple[float, ...] = ()
    filled: bool = False
    circles: tuple[Circle, ...] = ()


class Block(msgspec.Struct, frozen=True, kw_only=True):
    """``angle_deg`` is where the block's own x axis points in the plan. Attribute tags are in capitals.

    ``inside`` are the inserts in it, placed where they come to lie in the plan; ``curves`` hold theirs, too.
    """

    layer: str
    handle: str
    name: str
    x_mm: float
    y_mm: float
    angle_deg: float
    attributes: dict[str, str] = {}
    curves: tuple[Curve, ...] = ()
    inside: tuple[Block, ...] = ()


class Mark(msgspec.Struct, frozen=True, kw_only=True):
    layer: str
    handle: str
    x_mm: float
    y_mm: float


class Skipped(msgspec.Struct, frozen=True, kw_only=True):
    """A thing that gave no line: ``hidden`` by its drawing, or of a type that is not read.

    ``at`` is a place on it, where it tells one.
    """

    layer: str
    handle: str
    type: str
    at: Point | None = None
    hidden: bool = False


class Text(msgspec.Struct, frozen=True, kw_only=True):
    """A text of a layer whose inserts are kept whole, at its insertion point."""

    layer: str
    handle: str
    text: str
    x_mm: float
    y_mm: float


class Drawn(msgspec.Struct, frozen=True, kw_only=True):
    """``layers`` are all layer names; ``passed_over`` counts what is not geometry, by layer and type.

    ``unread`` counts what lies on layers that nobody wanted, if they were named when it was read. ``opened``
    counts the block inserts that were taken apart, by layer and block; ``out_of_blocks`` the curves and
    points that came out of them, by the layer they lie on and type.
    ``origin`` is the place in the drawing (mm) that coordinates are counted from: (0, 0) unless the plan was
    drawn far from the drawing's own origin.
    """

    file: str
    units: str
    layers: tuple[str, ...]
    hidden_layers: tuple[str, ...] = ()
    curves: tuple[Curve, ...] = ()
    blocks: tuple[Block, ...] = ()
    marks: tuple[Mark, ...] = ()
    texts: tuple[Text, ...] = ()
    origin: Point = (0.0, 0.0)
    skipped: tuple[Skipped, ...] = ()
    passed_over: dict[str, dict[str, int]] = {}
    unread: dict[str, dict[str, int]] = {}
    opened: dict[str, dict[str, int]] = {}
    out_of_blocks: dict[str, dict[str, int]] = {}

    @property
    def is_empty(self) -> bool:
        return not (self.curves or self.blocks or self.marks or self.skipped or self.unread)

    def only(self, wanted: Callable[[str], bool]) -> Drawn:
        """The same drawing with the things on wanted layers only."""
        return msgspec.structs.replace(
            self,
            curves=tuple(c for c in self.curves if wanted(c.layer)),
            blocks=tuple(b for b in self.blocks if wanted(b.layer)),
            marks=tuple(m for m in self.marks if wanted(m.layer)),
            texts=tuple(t for t in self.texts if wanted(t.layer)),
            skipped=tuple(s for s in self.skipped if wanted(s.layer)),
            opened={layer: counts for layer, counts in self.opened.items() if wanted(layer)},
            out_of_blocks={layer: counts for layer, counts in self.out_of_blocks.items() if wanted(layer)},
        )

    def used_layers(self) -> set[str]:
        """Layers that anything readable lies on."""
        on = {c.layer for c in self.curves} | {b.layer for b in self.blocks}
        return on | {m.layer for m in self.marks} | set(self.unread)

    def place(self, thing: Curve | Block | Mark | Text) -> Place:
        """Where a finding about a thing leads back to."""
        at = thing.points[0] if isinstance(thing, Curve) else (thing.x_mm, thing.y_mm)
        return Place(file=self.file, layer=thing.layer, handle=thing.handle or None, x_mm=at[0], y_mm=at[1])
