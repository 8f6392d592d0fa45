"""Boardwright's core: reads plans, orders stages, runs what changed, delivers a pack. It knows no carpentry.

These are the names a plugin imports; only what is listed here and in ``docs/hooks.md`` is stable.
"""

from .findings import Finding, FindingList, Notes, Place, Severity
from .hookspecs import hookimpl
from .settings import Section
from .stage import All, Files, Items, Near, Provenance, output, stage

__version__ = "0.1.0"

__all__ = [
    "All",
    "Files",
    "Finding",
    "FindingList",
    "Items",
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
