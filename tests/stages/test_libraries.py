"""Collecting loads no heavy library; worker processes have them before there is work."""

from __future__ import annotations

import importlib
import subprocess
import sys

from boardwright.plugins import make_plugin_manager

HEAVY = ("numpy", "shapely", "openpyxl", "ezdxf", "jinja2", "packingsolver", "reportlab")


def printed(code: str) -> str:
    run = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    return run.stdout.strip()


def test_collecting_stages_and_outputs_loads_none() -> None:
    assert printed(
        "import sys\n"
        "from boardwright.catalogue import collect\n"
        "collect([], None)\n"
        f"print([m for m in {HEAVY!r} if m in sys.modules])"
    ) == "[]"  # fmt: skip


def test_every_name_is_of_a_module() -> None:
    """A name that is mistyped would pass unseen: it is speed alone that depends on it."""
    named = [name for names in make_plugin_manager().hook.boardwright_libraries() for name in names]
    assert len(named) > 6
    for name in named:
        importlib.import_module(name)


def test_workers_begin_with_them() -> None:
    asked = f"[m for m in {HEAVY[:4]!r} if m not in __import__('sys').modules]"
    assert printed(
        "from boardwright.engine import workers\n"
        "workers.warm(2)\n"
        f"with workers.start(2) as pool: print(pool.submit(eval, {asked!r}).result())"
    ) == "[]"  # fmt: skip
