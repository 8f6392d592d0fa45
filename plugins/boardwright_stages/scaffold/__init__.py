"""A first package of a club's own rules, written out for somebody to change: see docs/plugin-tutorial.md.

Claim: what is written works as it stands: it installs, its tests pass, and named in a project file it takes
effect. The files are kept here as texts; ``NAME``, ``MODULE`` and ``VERSION`` in them are filled in.
"""

from __future__ import annotations

from pathlib import Path

TEXTS = Path(__file__).with_name("package")
PLACES = {
    "pyproject.toml.txt": "pyproject.toml",
    "readme.md.txt": "README.md",
    "init.py.txt": "MODULE/__init__.py",
    "plugin.py.txt": "MODULE/plugin.py",
    "test_plugin.py.txt": "tests/test_plugin.py",
}


def scaffold(name: str, module: str, version: str) -> dict[str, bytes]:
    """The files of a package: path in its folder -> bytes. ``version``: ours, which it is written for."""

    def filled(text: str) -> str:
        return text.replace("MODULE", module).replace("NAME", name).replace("VERSION", version)

    return {filled(to): filled((TEXTS / at).read_text("utf-8")).encode() for at, to in PLACES.items()}
