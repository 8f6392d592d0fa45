"""Typed sections of the project file.

A section is a frozen struct whose class says the table it is read from::

    class JoistSettings(Section, table="joists"):
        spacing_mm: Annotated[float, msgspec.Meta(gt=0, description="…")] = 400.0

A stage receives a section by naming its type in a parameter. Every field has a default that a modeller
would accept, a range, and a description (the user guide is made from them).
"""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

import msgspec


class Section(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Base of every section. ``table_name`` is the TOML table it is read from (dots allowed)."""

    table_name: ClassVar[str] = ""

    def __init_subclass__(cls, table: str = "", **kw: Any) -> None:
        super().__init_subclass__(**kw)
        if table:
            cls.table_name = table


Positive = Annotated[float, msgspec.Meta(gt=0)]
NotNegative = Annotated[float, msgspec.Meta(ge=0)]
