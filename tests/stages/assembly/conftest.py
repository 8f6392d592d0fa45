"""Lets the tests of this folder use the shapes of the framing tests."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "framing"))
