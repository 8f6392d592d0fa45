"""The code of stages and the libraries as one process has loaded them, fingerprinted once.

For a process that makes one pack after another. What changes on the disk meanwhile it does not run and must
not name: who keeps one of these starts anew when code changes (``cli/watch``), or lives for one command.
"""

from __future__ import annotations

from collections.abc import Iterable

from .codeprint import CodePrints, Memo
from .keys import library_versions


class KnownCode:
    def __init__(self) -> None:
        self._prints: dict[frozenset[str], CodePrints] = {}
        self._versions: dict[frozenset[str], dict[str, str]] = {}

    def prints(self, packages: Iterable[str], memo: Memo) -> CodePrints:
        """Fingerprints of modules in these packages; what is printed from now on, ``memo`` remembers."""
        own = frozenset(packages)
        if own not in self._prints:
            self._prints[own] = CodePrints(own, memo)
        self._prints[own].remember_in(memo)
        return self._prints[own]

    def versions(self, distributions: Iterable[str]) -> dict[str, str]:
        """As ``library_versions``."""
        names = frozenset(distributions)
        if names not in self._versions:
            self._versions[names] = library_versions(names)
        return dict(self._versions[names])
