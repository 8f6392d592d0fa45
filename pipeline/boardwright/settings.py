"""Typed sections of the project file.

A section is a frozen struct whose class says the table it is read from::

    class JoistSettings(Section, frozen=True, kw_only=True, table="joists"):
        spacing_mm: Annotated[float, msgspec.Meta(gt=0, description="…")] = 400.0

A stage receives a section by naming its type in a parameter. Every field has a default that a modeller
would accept, a range, and a description (the user guide is made from them).
"""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

import msgspec


class _SectionMeta(msgspec.StructMeta):
    """Takes ``table=`` in a section's class line."""

    def __new__(
        mcls, name: str, bases: tuple[type, ...], body: dict[str, Any], table: str = "", **kw: Any
    ) -> Any:
        if table:
            body["table_name"] = table
        return super().__new__(mcls, name, bases, body, **kw)


class Section(msgspec.Struct, metaclass=_SectionMeta, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Base of every section. ``table_name`` is the TOML table it is read from."""

    table_name: ClassVar[str] = ""


Positive = Annotated[float, msgspec.Meta(gt=0)]
NotNegative = Annotated[float, msgspec.Meta(ge=0)]
