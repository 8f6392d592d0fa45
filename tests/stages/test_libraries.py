"""Collecting stages and outputs loads no heavy library: what is reused needs none."""

from __future__ import annotations

import subprocess
import sys

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
