"""Lets the tests of this folder import ``two_boards``, the layout made by hand for the workbook's tests."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "workbook"))
