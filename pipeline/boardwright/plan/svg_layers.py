"""Which layer an SVG element lies on: names of groups, labels, ids and classes play the part of layers.

The innermost name that has a role is an element's layer: first its own label, id and classes, then those of
the group round it, and so on outwards; a name of the same role as the group's changes nothing. Where no name
has a role, the outermost named group is the layer; one called "Layer 1" only when no group in it has a name.

Glossary
    label          what a person called a group or shape
    made-up id     an id a program numbered by itself, such as path1234: no name
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

import msgspec

from .svg_xml import Element

NAMELESS = "no layer"
_MADE_UP = re.compile(
    r"(?:svg|g|group|layer|path|line|polyline|polygon|rect|circle|ellipse|use|text|tspan|image|symbol|clone|copy)?"
    r"[-_.]?\d[\d_.-]*",
    re.IGNORECASE,
)
_NUMBERED = re.compile(r"(?:layer|group)[-_. ]*\d+", re.IGNORECASE)
"""What programs call layers that nobody has named: names inside tell more."""
_GROUPS = ("svg", "g", "a", "switch")


def name(element: Element) -> str:
    """What a person calls this element: its label, or an id that is not made up."""
    label, own = element.get("label").strip(), element.get("id").strip()
    return label or ("" if _MADE_UP.fullmatch(own) else own)


def candidates(element: Element) -> list[str]:
    """An element's own names that may be a layer's, nearest first."""
    own = (element.get("label").strip(), element.get("id").strip(), *element.get("class").split())
    return [n for n in own if n]


def names(root: Element, made_up: bool) -> tuple[str, ...]:
    """Every name that can be a layer's; made-up ids only where the project file may have named them."""
    found = {n for e in root.walk() for n in _names(e, root)}
    return tuple(sorted(n for n in found if made_up or not _MADE_UP.fullmatch(n)))


def _names(element: Element, root: Element) -> Iterator[str]:
    """Names in an element that things may lie on; what is only defined, to be used, names no layer."""
    if element is not root:
        yield from element.get("class").split()
    for child in element.children:
        if element.tag != "defs" and child.tag not in ("symbol", "style", "title", "defs"):
            yield from candidates(child)


def groups(root: Element) -> set[str]:
    """Names of groups that lie directly on the page: what a person sees as the drawing's layers."""
    return {n for e in root.children if e.tag in _GROUPS and (n := name(e))}


class Layer(msgspec.Struct, frozen=True):
    """The layer that holds while an element is read; ``own`` when one of its own names gave it the role."""

    with_role: str = ""
    plain: str = ""
    own: bool = False
    by_class: bool = False

    @property
    def name(self) -> str:
        return self.with_role or self.plain or NAMELESS

    def inside(self, element: Element, role_of: Callable[[str], str | None]) -> Layer:
        """The layer in force for an element that lies in this one."""
        outer = role_of(self.with_role)
        own: Iterable[str] = candidates(element)
        role = next((n for n in own if role_of(n) not in (None, outer)), "")
        classes = element.get("class").split()
        called = (name(element) or next(iter(classes), "")) if element.tag in _GROUPS else ""
        if not role and outer and role_of(called) == outer and _tells_more(called, self.with_role):
            role = called
        plain = called if _tells_more(called, self.plain) else self.plain
        return Layer(role or self.with_role, plain, bool(role), bool(role) and role in classes)


def _tells_more(inner: str, outer: str) -> bool:
    """Whether a group's name says more than that of the group round it."""
    return bool(inner) and (not outer or bool(_NUMBERED.fullmatch(outer) and not _NUMBERED.fullmatch(inner)))
