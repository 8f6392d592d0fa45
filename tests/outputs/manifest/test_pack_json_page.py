"""docs/pack-json.md describes every record, every field and every word of pack.json, and nothing else."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import msgspec

from boardwright_outputs.manifest.model import Pack

PAGE = (Path(__file__).parents[3] / "docs" / "pack-json.md").read_text(encoding="utf-8")


def records() -> tuple[dict[str, list[str]], dict[str, set[str]]]:
    """Every record reachable from ``Pack``: name → fields, and name → the words its fields may hold."""
    fields: dict[str, list[str]] = {}
    words: dict[str, set[str]] = {}

    def walk(kind: Any, owner: str) -> None:
        match kind:
            case msgspec.inspect.StructType(cls=cls):
                if cls.__name__ not in fields:
                    fields[cls.__name__] = [f.encode_name for f in kind.fields]
                    words[cls.__name__] = set()
                    for field in kind.fields:
                        walk(field.type, cls.__name__)
            case msgspec.inspect.EnumType(cls=cls):
                words[owner] |= {member.value for member in cls}
            case msgspec.inspect.LiteralType(values=values):
                words[owner] |= {str(value) for value in values}
            case msgspec.inspect.UnionType(types=types) | msgspec.inspect.TupleType(item_types=types):
                for one in types:
                    walk(one, owner)
            case msgspec.inspect.VarTupleType(item_type=one) | msgspec.inspect.ListType(item_type=one):
                walk(one, owner)

    walk(msgspec.inspect.type_info(Pack), "")
    return fields, words


def sections() -> dict[str, str]:
    parts = re.split(r"^## `(\w+)`$", PAGE, flags=re.MULTILINE)[1:]
    return dict(zip(parts[::2], parts[1::2], strict=True))


def test_every_record_has_a_section() -> None:
    assert set(sections()) == set(records()[0])


def test_every_field_has_a_line_in_order() -> None:
    fields, _ = records()
    assert len(fields) > 25
    described = {
        name: re.findall(r"^\| `(\w+)` \|", text, flags=re.MULTILINE) for name, text in sections().items()
    }
    assert described == fields


def test_every_word_a_field_may_hold_is_named() -> None:
    _, words = records()
    missing = {(r, w) for r, text in sections().items() for w in words[r] if f"`{w}`" not in text}
    assert missing == set()
    assert words["Finding"] == {"note", "mended", "caution", "fault"}


def test_every_record_named_on_the_page_exists() -> None:
    named = set(re.findall(r"(?:a|of|the) `([A-Z]\w+)`", PAGE))
    assert named <= set(sections())
