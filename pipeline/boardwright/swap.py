"""Two folders change places in one step where the system can do it, so that a pack is never missing."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2  # linux/fs.h


def exchange(one: Path, two: Path) -> bool:
    """Let two existing paths change places at once. False when the system or the disk cannot."""
    if sys.platform != "linux":
        return False
    call = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if call is None:
        return False
    return bool(call(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(two), _RENAME_EXCHANGE) == 0)
