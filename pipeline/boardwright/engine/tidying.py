"""What a store forgets when it has grown too large.

What the last walk of any project of the folder went by is never forgotten, even above the limit; of the
rest, the oldest results go first. Pieces go when their stage or its board is in no last walk.
"""

from __future__ import annotations

import json
import sqlite3

from .keys import Key


def length(db: sqlite3.Connection, table: str) -> int:
    """Bytes that a table of the store holds."""
    return int(db.execute(f"SELECT coalesce(sum(length(data)), 0) FROM {table}").fetchone()[0])


def forget(db: sqlite3.Connection, limit_bytes: int) -> None:
    """Delete what is too much, as part of the caller's transaction."""
    db.execute(
        "DELETE FROM pieces WHERE NOT EXISTS (SELECT 1 FROM walk WHERE walk.project = pieces.project"
        " AND walk.stage = pieces.stage AND walk.item = pieces.item)"
    )
    kept = _needed(db)
    sizes = dict(db.execute("SELECT digest, length(data) FROM blobs").fetchall())
    rows = db.execute("SELECT rowid, key, reads, output FROM results ORDER BY rowid DESC").fetchall()
    keep_blobs = {d for d in _needed_inputs(db) if d in sizes}
    room = limit_bytes - length(db, "pieces") - sum(sizes[d] for d in keep_blobs)
    drop: list[int] = []
    for needed in (True, False):
        for rowid, key, reads, output in rows:
            if ((key, reads) in kept) is not needed:
                continue
            cost = 0 if output in keep_blobs else sizes.get(output, 0)
            if needed or cost <= room:
                keep_blobs.add(output)
                room -= cost
            else:
                drop.append(rowid)
    db.executemany("DELETE FROM results WHERE rowid = ?", [(r,) for r in drop])
    db.executemany("DELETE FROM blobs WHERE digest = ?", [(d,) for d in sizes if d not in keep_blobs])


def _needed(db: sqlite3.Connection) -> set[tuple[str, str]]:
    """(key digest, reads) of every result the last walks went by."""
    rows = db.execute("SELECT stage, item, parts, reads FROM walk").fetchall()
    needed = {(Key(stage, item, json.loads(parts)).digest, reads) for stage, item, parts, reads in rows}
    for stage in ("drawing", "reading"):
        needed |= set(
            db.execute("SELECT key, reads FROM results WHERE stage = ? ORDER BY rowid DESC LIMIT 1", (stage,))
        )
    return needed


def _needed_inputs(db: sqlite3.Connection) -> set[str]:
    """Digests named in the last walks' keys: the plan and the boards as they then were, for ``why``."""
    found: set[str] = set()
    for (parts,) in db.execute("SELECT parts FROM walk").fetchall():
        found.update(v for v in json.loads(parts).values() if len(v) == 64)
    return found
