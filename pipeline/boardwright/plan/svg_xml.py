"""An SVG file as a plain tree of elements, read so that no file can do harm.

A document type may be named but nothing of it is loaded; a file that declares entities is refused; nothing
outside the file is ever opened; depth, size and number of elements are bounded.

Glossary
    element   one XML element of the drawing's own namespace, its name without prefix
    label     the name a person gave a group or shape: any attribute ``label``, whatever its prefix

What this does not know: what the elements draw.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from xml.parsers import expat

import msgspec

DEEPEST = 100
MOST_ELEMENTS = 1_000_000
MOST_BYTES = 300_000_000
_GZIP = b"\x1f\x8b"
_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")
_WITH_TEXT = ("text", "tspan", "title", "style")
_SKIPPED = ("foreignObject", "metadata", "script")


class SvgError(ValueError):
    """Why a file is not an SVG drawing that can be read."""


class Element(msgspec.Struct):
    """``line`` is where it starts in the file, counted from 1."""

    tag: str
    attributes: dict[str, str]
    line: int
    children: list[Element] = []
    text: str = ""

    def get(self, name: str) -> str:
        return self.attributes.get(name, "")

    def walk(self) -> Iterator[Element]:
        """This element and everything in it, in the order of the file."""
        todo = [self]
        while todo:
            here = todo.pop()
            yield here
            todo.extend(reversed(here.children))


def looks_like(data: bytes) -> bool:
    """Whether bytes are some XML (or a packed SVG) rather than a DXF file."""
    if data.startswith(_GZIP):
        return True
    head = data[:400]
    for mark in _MARKS:
        head = head.removeprefix(mark)
    return head.replace(b"\0", b"").lstrip().startswith(b"<")


def parse(data: bytes) -> Element:
    """The root element. Raises SvgError when it is no SVG, or holds what is refused."""
    if data.startswith(_GZIP):
        data = _unpacked(data)
    return _Builder().run(data)


def _unpacked(data: bytes) -> bytes:
    stream = zlib.decompressobj(wbits=31)
    try:
        plain = stream.decompress(data, MOST_BYTES)
    except zlib.error as problem:
        raise SvgError("it is packed, and damaged") from problem
    if stream.unconsumed_tail:
        raise SvgError(f"unpacked it is larger than {MOST_BYTES // 1_000_000} MB")
    return plain


class _Builder:
    def __init__(self) -> None:
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._characters
        self.parser.EntityDeclHandler = self._entity
        self.root: Element | None = None
        self.open: list[Element | None] = []
        self.prefix = ""
        self.skipping = 0
        self.count = 0

    def run(self, data: bytes) -> Element:
        try:
            self.parser.Parse(data, True)
        except expat.ExpatError as problem:
            text = expat.ErrorString(problem.code)
            raise SvgError(f"line {problem.lineno}: {text}") from problem
        except (ValueError, LookupError) as problem:
            if isinstance(problem, SvgError):
                raise
            raise SvgError("its text encoding is not known") from problem
        if self.root is None:
            raise SvgError("it holds no element")
        return self.root

    def _entity(self, *_: object) -> None:
        raise SvgError("it declares entities, which are not read; save it as plain SVG")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        prefix, _, tag = name.rpartition(":")
        if not self.open:
            self.prefix = prefix
            if tag != "svg":
                raise SvgError(f"its root element is <{name[:40]}>, not <svg>")
        self.count += 1
        if len(self.open) >= DEEPEST:
            raise SvgError(
                f"line {self.parser.CurrentLineNumber}: elements are nested more than {DEEPEST} deep"
            )
        if self.count > MOST_ELEMENTS:
            raise SvgError(f"it holds more than {MOST_ELEMENTS} elements")
        if self.skipping or prefix != self.prefix or tag in _SKIPPED:
            self.skipping += 1
            self.open.append(None)
            return
        element = Element(tag, _own(attributes), self.parser.CurrentLineNumber)
        if self.root is None:
            self.root = element
        elif parent := self.open[-1]:
            parent.children.append(element)
        self.open.append(element)

    def _end(self, name: str) -> None:
        if self.open.pop() is None:
            self.skipping -= 1

    def _characters(self, text: str) -> None:
        here = self.open[-1] if self.open else None
        if here is None or here.tag not in _WITH_TEXT:
            return
        if here.tag == "tspan":  # a text's words are kept with the text
            here = next((e for e in reversed(self.open) if e and e.tag == "text"), here)
        here.text += text


def _own(attributes: dict[str, str]) -> dict[str, str]:
    """Attributes without prefix, and the two prefixed ones that are wanted: href and label."""
    own = {k: v for k, v in attributes.items() if ":" not in k}
    for name, value in attributes.items():
        if name.rpartition(":")[2] in ("href", "label"):
            own.setdefault(name.rpartition(":")[2], value)
    return own
