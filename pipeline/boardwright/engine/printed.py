"""Fingerprints of source files, kept where Python keeps compiled modules and found again by every project.

They are named by the digest of a file's bytes, so an entry is right for ever or never asked for. Where the
folder may not be written, or Python is told to keep no compiled modules, each project's store keeps its own.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from pathlib import Path

import msgspec

type Prints = dict[str, tuple[str, tuple[str, ...]]]
"""(fingerprint, imports) by the digest of a file's bytes and its package."""

MOST = 5_000  # files remembered: about ten installations of different age

_known: Prints = {}
_read: set[Path] = set()


def known(beside: Path) -> Prints:
    """What this process and those before it have found; ``beside``: the module that makes the fingerprints,
    whose own code is part of the file's name."""
    path = _file(beside)
    if path not in _read:
        _read.add(path)
        _known.update(_stored(path))
    return _known


def keep(beside: Path, new: Prints) -> None:
    """Remember more; on disk where that is allowed, silently not elsewhere."""
    _known.update(new)
    path = _file(beside)
    if sys.dont_write_bytecode or not path.parent.is_dir():
        return
    there = _stored(path)
    kept = there | new if len(there) + len(new) <= MOST else new
    data = msgspec.json.encode(kept)
    unfinished = path.with_suffix(f".{os.getpid()}")
    with contextlib.suppress(OSError):
        unfinished.write_bytes(hashlib.sha256(data).digest() + data)
        unfinished.replace(path)


def _file(beside: Path) -> Path:
    maker = hashlib.sha256(beside.read_bytes()).hexdigest()[:16]
    return beside.parent / "__pycache__" / f"{beside.stem}.{sys.implementation.cache_tag}.{maker}.prints"


def _stored(path: Path) -> Prints:
    """What a file holds; nothing when it is absent or damaged."""
    try:
        whole = path.read_bytes()
    except OSError:
        return {}
    digest, data = whole[:32], whole[32:]
    if hashlib.sha256(data).digest() != digest:
        return {}
    found: Prints = msgspec.json.decode(data, type=dict[str, tuple[str, tuple[str, ...]]])
    return found
