"""Typed sections of the project file.

A section is a frozen struct whose class says the table it is read from::

    class JoistSettings(Section, frozen=True, kw_only=True, table="joists"):
        spacing_mm: Annotated[float, msgspec.Meta(gt=0, description="…")] = 400.0

A stage receives a section by naming its type in a parameter. Every field has a default that a modeller
would accept, a range, and a description (the user guide is made from them).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Self

import msgspec

from .plan.source import SourceFile


class _SectionMeta(msgspec.StructMeta):
    """Takes ``table=`` and ``optional=`` in a section's class line."""

    def __new__(
        mcls,
        name: str,
        bases: tuple[type, ...],
        body: dict[str, Any],
        table: str = "",
        optional: bool = False,
        **kw: Any,
    ) -> Any:
        if table:
            body["table_name"] = table
            body["is_optional"] = optional
        return super().__new__(mcls, name, bases, body, **kw)


class Section(msgspec.Struct, metaclass=_SectionMeta, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Base of every section. ``table_name`` is the TOML table it is read from. What an *optional* one is
    about is not there until the project file asks for it: while nothing in it is set, packs do not list it.
    """

    table_name: ClassVar[str] = ""
    is_optional: ClassVar[bool] = False

    @property
    def is_told(self) -> bool:
        """Whether a pack lists it among its settings."""
        return not self.is_optional or self != self.__class__()

    def file_beside(self) -> tuple[str, str] | None:
        """Key and name of a file beside the project file that this section wants read; None: none."""
        return None

    def completed(self, files: Mapping[str, SourceFile]) -> Self:
        """The section with what such files hold laid under it: table name -> the file it wanted. Every
        section is asked, so one list may serve several. Raises InputError for a file that cannot be used."""
        return self

    def changed(self, **fields: Any) -> Self:
        """The section with these fields in place of its own. A stage that needs other settings than the
        project file's takes this: what it is handed writes down what is read, and cannot be copied otherwise.

        >>> class Widths(Section, frozen=True, kw_only=True, table="widths"):
        ...     a_mm: float = 1.0
        ...     b_mm: float = 2.0
        >>> Widths().changed(b_mm=5.0)
        Widths(a_mm=1.0, b_mm=5.0)
        """
        kind = self.__class__
        own = {n: getattr(self, n) for n in kind.__struct_fields__ if n not in fields}
        return kind(**own, **fields)


Positive = Annotated[float, msgspec.Meta(gt=0)]
NotNegative = Annotated[float, msgspec.Meta(ge=0)]
