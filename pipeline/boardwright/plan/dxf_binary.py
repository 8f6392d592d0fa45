"""A binary DXF file written out as text, as far as it goes, so that it can be mended as a text file is.

Glossary
    pair   a group code and a value, the unit a DXF file is made of (DXF reference; from memory)

A file that was cut short gives all pairs that are whole. What this does not know: what any pair means.
"""

from __future__ import annotations

import struct
from itertools import pairwise

from ezdxf.lldxf.tagger import binary_tags_loader
from ezdxf.lldxf.types import DXFBinaryTag
from ezdxf.tools.codepage import toencoding

SIGN = b"AutoCAD Binary DXF"
_END = (0, "EOF")
_UNICODE_SINCE = "AC1021"
"""Releases from this one on are written in UTF-8; those before in their code page."""


def as_text(data: bytes) -> tuple[bytes, bool]:
    """The file as text, and whether it is whole: it ends with its end mark."""
    pairs: list[tuple[int, str]] = []
    try:
        for tag in binary_tags_loader(data):
            value = tag.value
            pairs.append((tag.code, value.hex().upper() if isinstance(tag, DXFBinaryTag) else _words(value)))
            if pairs[-1] == _END:
                break
    except (IndexError, ValueError, struct.error):  # the file ends, or is damaged, in the middle of a pair
        pass
    whole = bool(pairs) and pairs[-1] == _END
    text = "".join(f"{code:>3}\n{value}\n" for code, value in (pairs if whole else (*pairs, _END)))
    return text.encode(_encoding(pairs), "surrogateescape"), whole


def _words(value: object) -> str:
    """A value on one line."""
    return value.replace("\n", " ").replace("\r", " ") if isinstance(value, str) else repr(value)


def _encoding(pairs: list[tuple[int, str]]) -> str:
    """As the header names it; the same that the file was read with."""
    named = {name: value for (_, name), (_, value) in pairwise(pairs[:500])}
    if named.get("$ACADVER", "AC1009") >= _UNICODE_SINCE:
        return "utf8"
    return toencoding(named["$DWGCODEPAGE"]) if "$DWGCODEPAGE" in named else "cp1252"
