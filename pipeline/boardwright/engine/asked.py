"""Which settings a stage really read, so that changing another one does not run it again."""

from __future__ import annotations

import types
from functools import cache
from typing import Any

from .. import canon
from ..settings import Section


class Asked:
    """Stands in for a section and writes down every field that is read.

    It passes ``isinstance`` as the section's type but is no struct, so reading it whole (``asdict``,
    encoding) fails loudly instead of going unrecorded. What a section's methods and properties read counts:
    they are its own, called on this.
    """

    def __new__(cls, section: Section, record: dict[str, str]) -> Asked:
        return object.__new__(_with_methods_of(type(section)))

    def __init__(self, section: Section, record: dict[str, str]) -> None:
        object.__setattr__(self, "_section", section)
        object.__setattr__(self, "_record", record)

    @property  # type: ignore[misc]  # stands in for the section in isinstance()
    def __class__(self) -> type:
        return type(self._section)

    def __getattr__(self, name: str) -> Any:
        section = object.__getattribute__(self, "_section")
        value = getattr(section, name)
        if name in type(section).__struct_fields__:
            self._record[f"{type(section).table_name}.{name}"] = fingerprint(value)
            self.__dict__[name] = value  # asked for again it is at hand: once written down is enough
        return value

    def __setattr__(self, name: str, value: Any) -> None:
        raise AttributeError("settings cannot be changed by a stage")


@cache
def _with_methods_of(kind: type[Section]) -> type[Asked]:
    """A class of its own for each section type: looked up one by one, methods took a hundredth of a run."""
    own = {
        name: member
        for above in reversed(kind.__mro__)
        for name, member in vars(above).items()
        if isinstance(member, types.FunctionType | property) and not name.startswith("__")
    }
    return type(f"Asked{kind.__name__}", (Asked,), own)


def fingerprint(value: Any) -> str:
    """Short canonical text of a setting's value; long ones by digest."""
    data = canon.encode(value)
    return data.decode() if len(data) <= 64 else canon.digest(data)


def is_digest(text: str) -> bool:
    """Whether a fingerprint is a digest: it tells that a value changed, not what it is."""
    return len(text) == 64 and all(c in "0123456789abcdef" for c in text)
