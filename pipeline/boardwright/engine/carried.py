"""Stored results carried to another machine's store and back: rows as bytes.

Claim: what was carried is verified when it is read, like everything in a store; damaged, it is absent.
Receipts stay where they are: what is delivered is delivered there.

What this does not know: which results will be wanted. A store that has grown too large is not carried.
"""

from __future__ import annotations

import json
import sqlite3
import zlib
from pathlib import Path
from typing import Any

MOST_BYTES = 50_000_000
_TABLES = ("results", "blobs", "prints", "walk")


def packed_up(store: Path) -> bytes:
    """The results in a store's file and its last walks; empty when there are none, or too many."""
    if not store.is_file() or store.stat().st_size > MOST_BYTES:
        return b""
    try:
        db = sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True, timeout=10)
        try:
            tables = {t: [_texts(row) for row in db.execute(f"SELECT * FROM {t}")] for t in _TABLES}
        finally:
            db.close()
    except sqlite3.DatabaseError:
        return b""
    return zlib.compress(json.dumps(tables).encode(), 1)


def unpack(carried: bytes, store: Path) -> None:
    """Take in what another store packed up; a walk replaces the one of its project. The store's file must be
    there. What cannot be taken in only costs time."""
    if not carried or not store.is_file():
        return
    try:
        tables: dict[str, list[list[Any]]] = json.loads(zlib.decompress(carried))
        db = sqlite3.connect(store, timeout=30)
        try:
            with db:
                for name in sorted({row[0] for row in tables["walk"]}):
                    db.execute("DELETE FROM walk WHERE project = ?", (name,))
                for table in _TABLES:
                    for row in tables[table]:
                        marks = ", ".join("?" * len(row))
                        db.execute(f"INSERT OR IGNORE INTO {table} VALUES ({marks})", _values(row))
        finally:
            db.close()
    except (sqlite3.DatabaseError, ValueError, KeyError, TypeError, zlib.error):
        return


def _texts(row: tuple[Any, ...]) -> list[Any]:
    return [{"hex": v.hex()} if isinstance(v, bytes) else v for v in row]


def _values(row: list[Any]) -> list[Any]:
    return [bytes.fromhex(v["hex"]) if isinstance(v, dict) else v for v in row]
