"""The store: one SQLite file holding every finished result, verified when read.

One transaction a finished item; a process killed at any moment loses at most the item it was at. Damaged is
absent: a blob whose digest does not match is a miss, an unreadable file is set aside and a new one begun.
Locks belong to SQLite and end with their process.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec

from .. import canon
from ..findings import Finding
from .keys import SCHEMA, Key
from .printed import Prints
from .tidying import forget, length

OPEN_TRIES = 40
OPEN_WAIT_S = 0.05
CHECKPOINT_PAGES = 10_000  # 40 MB of new results are copied into the file at once, mostly as it is closed

_TABLES = """
CREATE TABLE IF NOT EXISTS results (
    key TEXT NOT NULL, reads TEXT NOT NULL, stage TEXT NOT NULL, item TEXT NOT NULL, parts TEXT NOT NULL,
    output TEXT NOT NULL, findings BLOB NOT NULL, UNIQUE (key, reads)
);
CREATE TABLE IF NOT EXISTS blobs (digest TEXT PRIMARY KEY, data BLOB NOT NULL);
CREATE TABLE IF NOT EXISTS walk (
    project TEXT NOT NULL, stage TEXT NOT NULL, item TEXT NOT NULL, parts TEXT NOT NULL, reads TEXT NOT NULL,
    PRIMARY KEY (project, stage, item)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS walk_before (
    project TEXT NOT NULL, stage TEXT NOT NULL, item TEXT NOT NULL, parts TEXT NOT NULL, reads TEXT NOT NULL,
    PRIMARY KEY (project, stage, item)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS prints (raw TEXT PRIMARY KEY, print TEXT NOT NULL, imports TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS pieces (
    project TEXT NOT NULL, stage TEXT NOT NULL, item TEXT NOT NULL, made_by TEXT NOT NULL,
    digest TEXT NOT NULL, data BLOB NOT NULL, PRIMARY KEY (project, stage, item)
);
CREATE TABLE IF NOT EXISTS receipts (place TEXT PRIMARY KEY, receipt TEXT NOT NULL);
"""


_NAMES = ("results", "blobs", "walk", "walk_before", "prints", "pieces", "receipts")


class Stored(msgspec.Struct, frozen=True):
    """A result found in the store. ``output`` is the digest of its bytes, ``reads`` the settings it read."""

    output: str
    reads: dict[str, str]
    findings: tuple[Finding, ...]


class Step(msgspec.Struct, frozen=True):
    """What one item went by in a walk: the parts of its key and the settings it read."""

    parts: dict[str, str]
    reads: dict[str, str]


class Store:
    """Open a store; ``path`` None keeps it in memory, and so does a folder that cannot be written.

    ``note`` says what was wrong, if anything.

    ``project`` names the project file, so that two in one folder do not mix up their last walks.
    """

    def __init__(self, path: Path | None, project: str = "") -> None:
        self.note = ""
        self._project = project
        self._kept: list[str] = []
        try:
            self._db = self._open_patiently(path)
        except (
            sqlite3.OperationalError
        ) as problem:  # locked, full, not to be opened: not damaged, not ours to move
            self._cannot_keep(problem)
            self._db = self._open(None)
        except OSError as problem:  # the folder cannot be made or written
            self.note = f"results cannot be kept for the next run: {problem.strerror or problem}"
            self._db = self._open(None)
        except sqlite3.DatabaseError as problem:
            self.note = (
                f"the store of earlier results could not be used ({problem}); everything is computed anew"
            )
            self._db = self._open(self._set_aside(path))

    def _open_patiently(self, path: Path | None) -> sqlite3.Connection:
        """Two processes that begin one store at the same moment get in each other's way for an instant."""
        for _ in range(OPEN_TRIES - 1):
            with contextlib.suppress(sqlite3.OperationalError):  # the last try tells what is wrong
                return self._open(path)
            time.sleep(OPEN_WAIT_S)
        return self._open(path)

    @staticmethod
    def _open(path: Path | None) -> sqlite3.Connection:
        if path is not None:
            path.parent.mkdir(parents=True, exist_ok=True)
        db = sqlite3.connect(path or ":memory:", timeout=30, isolation_level=None)
        try:
            db.execute("PRAGMA journal_mode=WAL")
            db.execute("PRAGMA synchronous=NORMAL")
            db.execute(f"PRAGMA wal_autocheckpoint={CHECKPOINT_PAGES}")
            if db.execute("PRAGMA user_version").fetchone()[0] not in (0, int(SCHEMA)):
                db.executescript("".join(f"DROP TABLE IF EXISTS {t};" for t in _NAMES))
            db.execute(f"PRAGMA user_version={SCHEMA}")
            db.executescript(_TABLES)
        except sqlite3.DatabaseError:
            db.close()
            raise
        return db

    @staticmethod
    def _set_aside(path: Path | None) -> Path | None:
        """Move a damaged store out of the way; None (memory) when the folder cannot be written."""
        if path is None:
            return None
        try:
            for suffix in ("", "-wal", "-shm"):
                old = path.with_name(path.name + suffix)
                if old.exists():
                    old.replace(path.with_name(path.name + ".damaged" + suffix))
        except OSError:
            return None
        return path if _writable(path.parent) else None

    def close(self) -> None:
        self._db.close()

    def find(self, key: Key, settings_now: dict[str, str]) -> Stored | None:
        """The result whose key parts are equal and whose settings read all have the values of now."""
        try:
            rows = self._db.execute(
                "SELECT reads, output, findings FROM results WHERE key = ? ORDER BY reads", (key.digest,)
            ).fetchall()
            for reads, output, findings in rows:
                asked = json.loads(reads)
                if all(settings_now.get(name) == value for name, value in asked.items()):
                    return Stored(output, asked, canon.decode(findings, tuple[Finding, ...]))
        except (sqlite3.DatabaseError, ValueError):
            return None
        return None

    def blob(self, digest: str) -> bytes | None:
        """Bytes by digest, or None when absent or damaged."""
        try:
            row = self._db.execute("SELECT data FROM blobs WHERE digest = ?", (digest,)).fetchone()
        except sqlite3.DatabaseError:
            return None
        if row is None or not isinstance(row[0], bytes) or canon.digest(row[0]) != digest:
            return None
        return row[0]

    def keep(self, key: Key, reads: dict[str, str], data: bytes, findings: tuple[Finding, ...]) -> str:
        """Store one finished item in one transaction; returns the digest of its bytes."""
        output = canon.digest(data)
        self._kept.append(key.digest)
        row = (
            key.digest,
            _text(reads),
            key.stage,
            key.item,
            _text(key.parts),
            output,
            canon.encode(findings),
        )
        self._write(
            ("INSERT OR REPLACE INTO blobs VALUES (?, ?)", [(output, data)]),
            ("INSERT OR REPLACE INTO results VALUES (?, ?, ?, ?, ?, ?, ?)", [row]),
        )
        return output

    def forget_kept(self) -> None:
        """Forget every result kept since the store was opened, and all pieces."""
        self._write(
            ("DELETE FROM results WHERE key = ?", [(key,) for key in self._kept]),
            ("DELETE FROM pieces", [()]),
        )
        self._kept.clear()

    def pieces(self, stage: str, item: str, made_by: str) -> dict[str, bytes]:
        """What the last call of a stage used of its memo; empty when it was another stage (``made_by``), or
        what is stored is damaged."""
        try:
            row = self._db.execute(
                "SELECT digest, data FROM pieces"
                " WHERE project = ? AND stage = ? AND item = ? AND made_by = ?",
                (self._project, stage, item, made_by),
            ).fetchone()
        except sqlite3.DatabaseError:
            return {}
        if row is None or not isinstance(row[1], bytes) or canon.digest(row[1]) != row[0]:
            return {}
        found: dict[str, bytes] = msgspec.msgpack.decode(row[1], type=dict[str, bytes])
        return found

    def keep_pieces(self, stage: str, item: str, made_by: str, pieces: dict[str, bytes]) -> None:
        """Keep what a call used of its memo, in place of what the one before it did."""
        data = msgspec.msgpack.encode(pieces, order="deterministic")
        row = (self._project, stage, item, made_by, canon.digest(data), data)
        self._write(("INSERT OR REPLACE INTO pieces VALUES (?, ?, ?, ?, ?, ?)", [row]))

    def keep_blobs(self, blobs: list[bytes]) -> None:
        """Keep bytes that no stage answered as such (plan, boards), so that changes in them can be told."""
        rows = [(canon.digest(data), data) for data in blobs]
        self._write(("INSERT OR IGNORE INTO blobs VALUES (?, ?)", rows))

    def last_walk(self) -> dict[tuple[str, str], Step]:
        """What the last whole walk went by, by (stage, item); empty when there was none."""
        return self._walk("walk")

    def walk_before(self) -> dict[tuple[str, str], Step]:
        """The last walk that went by anything else than the last one did; empty when there was none."""
        return self._walk("walk_before")

    def _walk(self, table: str) -> dict[tuple[str, str], Step]:
        try:
            rows = self._db.execute(
                f"SELECT stage, item, parts, reads FROM {table} WHERE project = ?", (self._project,)
            ).fetchall()
            return {
                (stage, item): Step(json.loads(parts), json.loads(reads))
                for stage, item, parts, reads in rows
            }
        except (sqlite3.DatabaseError, ValueError):
            return {}

    def keep_walk(self, walk: dict[tuple[str, str], Step]) -> None:
        if walk == self.last_walk():
            return
        rows = [
            (self._project, stage, item, _text(step.parts), _text(step.reads))
            for (stage, item), step in sorted(walk.items())
        ]
        own = [(self._project,)]
        self._write(
            ("DELETE FROM walk_before WHERE project = ?", own),
            ("INSERT INTO walk_before SELECT * FROM walk WHERE project = ?", own),
            ("DELETE FROM walk WHERE project = ?", own),
            ("INSERT INTO walk VALUES (?, ?, ?, ?, ?)", rows),
        )

    def known_prints(self) -> Prints:
        """What ``codeprint`` worked out before: digest of a source file -> (fingerprint, imports)."""
        try:
            rows = self._db.execute("SELECT raw, print, imports FROM prints").fetchall()
        except sqlite3.DatabaseError:
            return {}
        return {raw: (code, tuple(imports.split())) for raw, code, imports in rows}

    def keep_prints(self, prints: Prints) -> None:
        rows = [(raw, code, " ".join(imports)) for raw, (code, imports) in prints.items()]
        self._write(("INSERT OR REPLACE INTO prints VALUES (?, ?, ?)", rows))

    def receipt(self, place: str) -> dict[str, Any] | None:
        """What was delivered to a place last time, or None."""
        try:
            row = self._db.execute("SELECT receipt FROM receipts WHERE place = ?", (place,)).fetchone()
            return json.loads(row[0]) if row else None
        except (sqlite3.DatabaseError, ValueError):
            return None

    def keep_receipt(self, place: str, receipt: dict[str, Any]) -> None:
        self._write(("INSERT OR REPLACE INTO receipts VALUES (?, ?)", [(place, _text(receipt))]))

    def size_bytes(self) -> int:
        """Bytes of stored results (not of the file, which shrinks only when tidied)."""
        return length(self._db, "blobs") + length(self._db, "pieces")

    def tidy(self, limit_bytes: int) -> int:
        """Forget the oldest results until at most ``limit_bytes`` are left (``tidying``); returns the bytes
        freed."""
        before = self.size_bytes()
        with self._transaction():
            forget(self._db, limit_bytes)
        self._db.execute("VACUUM")
        return before - self.size_bytes()

    @contextlib.contextmanager
    def alone(self) -> Iterator[None]:
        """Keep other processes with this store waiting, so that two packs are not delivered at once.

        The lock is SQLite's and ends with the process. A store that cannot lock does not stop the work.
        """
        try:
            self._db.execute("BEGIN IMMEDIATE")
        except sqlite3.DatabaseError as problem:
            self._cannot_keep(problem)
            yield
            return
        try:
            yield
        finally:
            if self._db.in_transaction:
                try:
                    self._db.execute("COMMIT")
                except sqlite3.DatabaseError as problem:
                    self._cannot_keep(problem)

    def _cannot_keep(self, problem: sqlite3.DatabaseError) -> None:
        """A full disk or a lock that does not end: the work goes on, only the next run has more to do."""
        self.note = f"some results could not be kept for the next run: {problem}"

    def _write(self, *statements: tuple[str, list[tuple[Any, ...]]]) -> None:
        """Statements with their rows in one transaction, whose failure costs only what it would have kept."""
        try:
            with self._transaction():
                for statement, rows in statements:
                    self._db.executemany(statement, rows)
        except sqlite3.DatabaseError as problem:
            self._cannot_keep(problem)

    @contextlib.contextmanager
    def _transaction(self) -> Iterator[None]:
        """One transaction; inside ``alone`` it is part of that one."""
        if self._db.in_transaction:
            yield
            return
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:  # Ctrl-C too: nothing half-done stays, and it goes on up
            if self._db.in_transaction:  # some errors end it themselves
                self._db.execute("ROLLBACK")
            raise


def _writable(folder: Path) -> bool:
    try:
        probe = folder / ".probe"
        probe.touch()
        probe.unlink()
    except OSError:
        return False
    return True


def _text(value: dict[str, Any]) -> str:
    return canon.encode(value).decode()
