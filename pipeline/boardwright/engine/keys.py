"""The key of a run: everything that decides a stage's answer, kept in parts so that a run can say why.

parts    stage and its version, item, code fingerprint, versions of Python and of the libraries, and for
         every input by parameter name the digest of what goes in
reads    the settings the stage read when it ran (``asked``): a stored result fits when its parts are equal
         and every setting it read still has the same value
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from importlib.metadata import PackageNotFoundError

import msgspec

from .. import canon
from ..installed import stated

SCHEMA = "3"


class Key(msgspec.Struct, frozen=True):
    stage: str
    item: str
    parts: dict[str, str]

    @property
    def digest(self) -> str:
        return canon.digest(canon.encode(self))


def library_versions(distributions: Iterable[str]) -> dict[str, str]:
    """Versions of the distributions and of everything they require directly, and of Python."""
    versions = {"python": sys.version.split()[0]}
    for name in sorted(set(distributions)):
        try:
            versions[name], requirements = stated(name)
        except PackageNotFoundError:
            continue
        for line in requirements:
            if "extra ==" in line:
                continue
            needed = line.split(";")[0].split("[")[0]
            for sign in "<>=!~ (":
                needed = needed.split(sign)[0]
            try:
                versions[needed] = stated(needed)[0]
            except PackageNotFoundError:
                versions[needed] = "missing"
    return versions
