"""Reads the bytes of an SVG drawing into the same plain records as a DXF drawing gives.

What is read: paths, lines, polylines, polygons, rectangles, circles, ellipses and ``use`` of symbols, groups
and shapes, with all transforms and view boxes. Where a layer's things are kept whole (turnouts, devices,
lift-outs), a ``use``, a group with a name and a shape with a name are one block each. Pictures and words are
passed over and counted; clip paths, masks, patterns and markers do not draw.

What this does not know: what any of it means; other files, none of which is opened; style sheets, but for
``display`` and ``visibility``.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

import msgspec
from msgspec.structs import replace

from ..errors import BoardwrightError, InputError
from ..findings import Notes, Place
from . import svg_layers
from .curves import TooManyPiecesError
from .drawn import Block, Curve, Drawn, Text
from .layers import Roles
from .model import Point
from .rings import snap
from .source import SourceFile
from .svg_flat import points_of
from .svg_frame import SAME, Frame, fit, length, place, shift, then, transform, turn, view_box
from .svg_layers import Layer
from .svg_page import Page, page
from .svg_shapes import SHAPES, runs
from .svg_style import Styles
from .svg_xml import Element, SvgError, parse
from .units import Declared, Measure

FARTHEST_MM = 1e8
MOST_THINGS = 200_000
MOST_POINTS = 2_000_000
DEEPEST_USE = 12
_GROUPS = ("svg", "g", "a")
_COUNTED = ("text", "image")


class Document(msgspec.Struct, frozen=True):
    """An SVG drawing that could be opened."""

    root: Element
    page: Page

    @property
    def declared(self) -> Declared | None:
        return self.page.declared


def load(source: SourceFile) -> Document:
    """Open a drawing. Raises InputError when it is none."""
    try:
        root = parse(source.data)
        return Document(root, page(root))
    except SvgError as problem:
        raise _not_a_drawing(source.name, str(problem)) from problem


def _not_a_drawing(file: str, why: str) -> BoardwrightError:
    return InputError.of(
        "BW-READ-038",
        f"this is not an SVG drawing that can be read ({why})",
        Place(file=file),
        "Save the plan again as plain SVG, or as DXF.",
    )


class _TooLargeError(Exception):
    """The drawing is beyond what is read."""


class _Here(msgspec.Struct, frozen=True):
    """Where the reader stands: the frame to the plan, the layer in force, the things whose use led here."""

    frame: Frame
    layer: Layer
    hidden: bool = False
    uses: tuple[int, ...] = ()


class Reader:
    """Walks one drawing. ``roles`` say which names are layers, and which layers' things are kept whole."""

    def __init__(
        self,
        document: Document,
        file: str,
        measure: Measure,
        error_mm: float,
        roles: Roles,
        notes: Notes,
        problems: Notes,
    ) -> None:
        self.root, self.page, self.file, self.unit = document.root, document.page, file, measure.unit
        self.outer = self.page.frame(measure.factor)
        self.error = error_mm
        self.roles = roles
        self.notes, self.problems = notes, problems
        self.styles = Styles(self.root)
        self.by_id: dict[str, Element] = {}
        for element in self.root.walk():
            self.by_id.setdefault(element.get("id"), element)
        self.in_place = _drawn_in_place(self.root)
        self.things = self.points = 0
        self.curves: list[Curve] = []
        self.blocks: list[Block] = []
        self.texts: list[Text] = []
        self.hidden: set[str] = set()
        self.passed_over: dict[str, Counter[str]] = {}

    def read(self) -> Drawn:
        """Read the whole page. What cannot be used is left in ``problems``."""
        start = _Here(self.outer, Layer())
        try:
            for child in self.root.children:
                self._take(child, start)
        except _TooLargeError:
            self.problems.fault(
                "BW-READ-020",
                f"the drawing holds more than {MOST_THINGS} things or {MOST_POINTS} points",
                Place(file=self.file),
                "Save only the plan itself, without scenery and hatching.",
            )
        used = {c.layer for c in self.curves} | {b.layer for b in self.blocks} | set(self.passed_over)
        return Drawn(
            file=self.file,
            units=self.unit,
            layers=tuple(sorted(used | svg_layers.groups(self.root))),
            hidden_layers=tuple(sorted(self.hidden)),
            curves=tuple(self.curves),
            blocks=tuple(self.blocks),
            texts=tuple(self.texts),
            passed_over={layer: dict(sorted(c.items())) for layer, c in sorted(self.passed_over.items())},
        )

    def _take(self, element: Element, outer: _Here) -> None:
        """Read one element and what is in it."""
        if element.tag == "switch":
            for child in element.children[:1]:
                self._take(child, outer)
            return
        if element.tag not in (*_GROUPS, *SHAPES, *_COUNTED, "use"):
            return
        self._count(0)
        layer = outer.layer.inside(element, self.roles.of)
        where = self._where(element, layer)
        try:
            frame = then(outer.frame, transform(element.get("transform")))
            hidden = outer.hidden or self.styles.hides(element)
            here = _Here(frame, layer, hidden, outer.uses)
            if element.tag == "text" and self.roles.keeps_whole(layer.name):
                self._take_text(element, here, where)
            elif element.tag in _COUNTED:
                self.passed_over.setdefault(layer.name, Counter())[element.tag] += 1
            elif self.roles.keeps_whole(layer.name) and self._is_one_thing(element, layer):
                self._take_whole(element, here, where)
            elif element.tag in SHAPES:
                self._keep(self._shape(element, here, where), here)
            else:
                for inner, at in self._inside(element, here):
                    self._take(inner, at)
        except TooManyPiecesError:
            self.problems.fault(
                "BW-READ-019",
                f"this {element.tag} is far too large for a layout",
                where,
                "Delete it, or check the drawing's units.",
            )
        except ValueError as problem:
            self._left_out(element.tag, str(problem), where)
        except ArithmeticError:
            self._left_out(element.tag, "a number in it is beyond all bounds", where)

    def _take_text(self, element: Element, here: _Here, where: Place) -> None:
        """Keep a text and where it stands: its own place, else that of its first part."""
        words = " ".join(element.text.split())[:200]
        at = next((e for e in element.walk() if e.get("x") or e.get("y")), element)
        x, y = (at.get(name).replace(",", " ").split()[:1] for name in ("x", "y"))
        spot = (length("".join(x), self.page.size[0]), length("".join(y), self.page.size[1]))
        px, py = place(here.frame, spot)
        if words and self._sound([(px, py)], where):
            self.texts.append(
                Text(layer=here.layer.name, handle=where.handle or "", text=words, x_mm=px, y_mm=py)
            )

    def _left_out(self, tag: str, why: str, where: Place) -> None:
        self.notes.caution(
            "BW-READ-018",
            f"this {tag} cannot be read and is left out ({why})",
            where,
            "Delete it and draw it again.",
        )

    def _is_one_thing(self, element: Element, layer: Layer) -> bool:
        """A use always; a shape when it has a name; a group when it has one and is not itself the layer."""
        if element.tag == "use":
            return True
        if not svg_layers.name(element) and "data-kind" not in element.attributes:
            return False
        return element.tag in SHAPES or not layer.own or layer.by_class

    def _inside(self, element: Element, here: _Here) -> Iterable[tuple[Element, _Here]]:
        """What a group or a use holds, each with the frame it lies in."""
        if element.tag == "svg":
            frame = then(here.frame, self._viewport(element, element))
            return [(e, replace(here, frame=frame)) for e in element.children]
        if element.tag != "use":
            return [(e, here) for e in element.children]
        target = self._target(element)
        if id(target) in here.uses:
            raise ValueError("what it uses is itself round it")
        if len(here.uses) >= DEEPEST_USE:
            raise ValueError(f"uses within uses more than {DEEPEST_USE} deep")
        at = replace(here, frame=self._use_frame(element, target, here), uses=(*here.uses, id(target)))
        return [(e, at) for e in (target.children if target.tag in ("symbol", "svg") else [target])]

    def _use_frame(self, use: Element, target: Element, here: _Here) -> Frame:
        """The frame that the used thing lies in: its own origin is where the use is."""
        x, y = length(use.get("x"), self.page.size[0]), length(use.get("y"), self.page.size[1])
        frame = then(here.frame, shift(x, y))
        return then(frame, self._viewport(target, use)) if target.tag in ("symbol", "svg") else frame

    def _target(self, use: Element) -> Element:
        link = use.get("href").strip()
        if not link.startswith("#"):
            raise ValueError(f"it refers to another file, {link[:60]!r}, and no other file is opened")
        target = self.by_id.get(link[1:])
        if target is None:
            raise ValueError(f"there is no {link[:60]!r} in the drawing")
        return target

    def _viewport(self, element: Element, sized: Element) -> Frame:
        """The frame inside a symbol or an inner svg; ``sized`` is the use (or itself) that gives the size."""
        w, h = self.page.size
        own = element.tag == "svg"
        frame = shift(length(element.get("x"), w), length(element.get("y"), h)) if own else SAME
        box = view_box(element.get("viewBox"))
        if box is None:
            return frame
        width = length(sized.get("width") or element.get("width") or "100%", w)
        height = length(sized.get("height") or element.get("height") or "100%", h)
        if width <= 0 or height <= 0:
            raise ValueError("its width or height is nothing")
        return then(frame, fit(box, 0, 0, width, height, element.get("preserveAspectRatio")))

    def _shape(self, element: Element, here: _Here, where: Place) -> list[Curve]:
        """The curves of one shape."""
        found, wrong = runs(element, self.page.size)
        if wrong:
            self._left_out(element.tag if not found else f"{element.tag}'s rest", wrong, where)
        made = []
        for run in found:
            points, closed, circles = points_of(run, here.frame, self.error)
            self._count(len(points))
            if not self._sound(points, where):
                continue
            curve = Curve(
                layer=here.layer.name,
                handle=where.handle or "",
                type=element.tag.upper(),
                points=tuple(points),
                closed=closed,
                circles=circles,
            )
            made.append(curve)
        return made

    def _keep(self, made: list[Curve], here: _Here) -> None:
        self.curves.extend(made)
        if made and here.hidden:
            self.hidden.add(here.layer.name)

    def _take_whole(self, element: Element, here: _Here, where: Place) -> None:
        """Keep a use, a group or a shape in one piece."""
        curves = self._all_curves(element, here, where)
        target = self._target(element) if element.tag == "use" else element
        if element.tag == "use" and id(target) not in self.in_place:
            frame = self._use_frame(element, target, here)
            at = place(frame, (0.0, 0.0))
        elif curves:
            frame = here.frame
            at = _middle([p for c in curves for p in c.points])
        else:
            raise ValueError("it draws nothing, and so has no place")
        along = turn(frame, (1.0, 0.0))
        block = Block(
            layer=here.layer.name,
            handle=where.handle or "",
            name=_kind_name(element, target),
            x_mm=at[0],
            y_mm=at[1],
            angle_deg=round(math.degrees(math.atan2(along[1], along[0])), 9) % 360,
            attributes=_attributes(element),
            curves=tuple(curves),
        )
        if self._sound([at], where):
            self.blocks.append(block)
            if here.hidden:
                self.hidden.add(here.layer.name)

    def _all_curves(self, element: Element, here: _Here, where: Place) -> list[Curve]:
        """Everything an element draws, whatever its names, on the layer of the whole."""
        if element.tag in SHAPES:
            return self._shape(element, here, where)
        if element.tag not in (*_GROUPS, "use"):
            return []
        made: list[Curve] = []
        for inner, at in self._inside(element, here):
            self._count(0)
            frame = then(at.frame, transform(inner.get("transform")))
            made += self._all_curves(inner, replace(at, frame=frame), where)
        return made

    def _where(self, element: Element, layer: Layer) -> Place:
        handle = element.get("id") or f"line {element.line}"
        return Place(file=self.file, layer=layer.name, handle=handle)

    def _count(self, points: int) -> None:
        self.things += 1
        self.points += points
        if self.things > MOST_THINGS or self.points > MOST_POINTS:
            raise _TooLargeError

    def _sound(self, points: Iterable[Point], where: Place) -> bool:
        """False, and a problem noted, when a coordinate is no number or absurdly far away."""
        if all(math.isfinite(v) and abs(v) <= FARTHEST_MM for p in points for v in p):
            return True
        self.problems.fault(
            "BW-READ-019",
            "a point of this has no usable coordinates (not a number, or more than 100 km away)",
            where,
            "Delete it and draw it again.",
        )
        return False


def _drawn_in_place(root: Element) -> set[int]:
    """Elements that are on the page by themselves, not only where they are used."""
    found: set[int] = set()
    todo = [root]
    while todo:
        here = todo.pop()
        found.add(id(here))
        todo.extend(e for e in here.children if e.tag in (*_GROUPS, *SHAPES, "switch", "use"))
    return found


def _middle(points: list[Point]) -> Point:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return snap((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)


def _kind_name(element: Element, target: Element) -> str:
    """What stands for a block's name: the used thing's name, or the classes and name of the thing itself."""
    own = svg_layers.name(target) or target.get("id")
    return own if target is not element else " ".join((*element.get("class").split(), own))


def _attributes(element: Element) -> dict[str, str]:
    """``data-`` attributes (data-kind → KIND, data-depth-mm → DEPTH_MM); the name where there is none."""
    found = {
        key[5:].replace("-", "_").upper(): value.strip()
        for key, value in sorted(element.attributes.items())
        if key.startswith("data-")
    }
    if own := svg_layers.name(element):
        found.setdefault("NAME", own)
    return found
