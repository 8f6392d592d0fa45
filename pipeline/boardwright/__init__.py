"""Boardwright's core: reads plans, orders stages, runs what changed, delivers a pack. It knows no carpentry.

The names in ``__all__`` are what a plugin imports; only what is listed here and in ``docs/hooks.md`` is
stable. They are fetched on first use, so that a run in which nothing changed loads next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .findings import Finding, FindingList, Notes, Place, Severity
    from .hookspecs import hookimpl
    from .memo import NO_MEMO, Memo
    from .settings import Section
    from .stages import All, Files, Items, Near, Provenance, output, stage

__version__ = "0.1.0"

_HOMES = {
    "findings": ("Finding", "FindingList", "Notes", "Place", "Severity"),
    "hookspecs": ("hookimpl",),
    "memo": ("NO_MEMO", "Memo"),
    "settings": ("Section",),
    "stages": ("All", "Files", "Items", "Near", "Provenance", "output", "stage"),
}

__all__ = [
    "NO_MEMO",
    "All",
    "Files",
    "Finding",
    "FindingList",
    "Items",
    "Memo",
    "Near",
    "Notes",
    "Place",
    "Provenance",
    "Section",
    "Severity",
    "__version__",
    "hookimpl",
    "output",
    "stage",
]


def __getattr__(name: str) -> Any:
    for home, names in _HOMES.items():
        if name in names:
            value = getattr(import_module(f".{home}", __name__), name)
            globals()[name] = value
            return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
