"""Where plugins are found: entry points of one group, in an order that never depends on luck."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from functools import lru_cache
from importlib.metadata import Distribution, EntryPoint, entry_points

GROUP = "boardwright"
OWN_PACKAGES = ("boardwright", "boardwright_timber")


def found() -> list[EntryPoint]:
    """Entry points of our group, sorted by name and then by what they point at.

    Looked up once: what is installed while a process runs, it does not see.
    """
    return list(_found(tuple(sys.path)))


@lru_cache(maxsize=1)
def _found(_path: tuple[str, ...]) -> tuple[EntryPoint, ...]:
    return tuple(sorted(entry_points(group=GROUP), key=lambda e: (e.name, e.value)))


OWN = "boardwright"  # our own distribution: its plugins are always on
OWN_PACKAGES = ("boardwright", "boardwright_timber")


def split(wanted: str) -> tuple[str, str]:
    """Name and version constraint of an entry of the project file: "house >= 1.2" is ("house", ">= 1.2")."""
    at = next((i for i, c in enumerate(wanted) if c in "<>=!~"), len(wanted))
    return wanted[:at].strip(), wanted[at:].strip()


def enabled(named: Iterable[str]) -> list[EntryPoint]:
    """Our own plugins, and those others that the project file names."""
    names = {split(n)[0] for n in named}
    return [p for p in found() if distribution(p)[0] == OWN or p.name in names]


def distribution(point: EntryPoint) -> tuple[str, str]:
    """Name and version of the distribution an entry point comes from."""
    return _named(point.dist) if point.dist else ("unknown", "0")


@lru_cache(maxsize=64)
def _named(dist: Distribution) -> tuple[str, str]:
    return dist.name, dist.version


def own_packages(named: Iterable[str]) -> set[str]:
    """Top-level packages whose code counts as stage code: the core's, and every plugin's that takes part."""
    packages = set(OWN_PACKAGES)
    for point in enabled(named):
        packages.add(point.module.partition(".")[0])
        for file in (point.dist.files if point.dist else None) or ():
            if file.suffix == ".py" and len(file.parts) > 1 and file.parts[0] != "..":
                packages.add(file.parts[0])
    return packages
