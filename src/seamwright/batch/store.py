"""What was done before, kept: results by key, and the files that were written.

SQLite in a cache folder, in write-ahead mode: readers never wait, writers one at a time and
briefly. A result is put in whole or not at all, so a run that is killed goes on from what was done.
Only the parent of a run opens it, never a worker.

A store that cannot be used (a full disk, a damaged file, a folder that may not be written to) costs
time, never results: the batch goes on without it and says so.
"""

from __future__ import annotations

import os
import sqlite3
import time
import zlib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

import msgspec

from seamwright.findings import Finding, Severity

from .rows import Head, unpacked_head

FORMAT: Final = 1
CAP: Final = 1024 * 1024 * 1024  # bytes of results
_PATIENCE: Final = 30.0  # s, for another run that is writing

_TABLES: Final = """
CREATE TABLE IF NOT EXISTS results (
    key TEXT PRIMARY KEY, head BLOB NOT NULL, body BLOB NOT NULL, size INTEGER NOT NULL,
    used INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS by_use ON results (used);
CREATE TABLE IF NOT EXISTS written (path TEXT PRIMARY KEY, digest TEXT NOT NULL) WITHOUT ROWID;
"""


def default_folder() -> Path:
    """The user's cache folder for results."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if base.startswith("/") else Path.home() / ".cache") / "seamwright"


class Store:
    """The store in a folder; made when it is not there.

    cap  bytes of results that are kept; the longest unused go first
    """

    def __init__(self, folder: Path, *, cap: int = CAP) -> None:
        self.path, self.cap = folder / "results.sqlite", cap
        self.findings: list[Finding] = []
        self._db: sqlite3.Connection | None = None
        self._used: list[str] = []
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._db = self._opened()
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):
                self._lost(error)
            else:
                self._anew(error)
        except OSError as error:
            self._lost(error)

    def get(self, key: str) -> tuple[Head, bytes] | None:
        """The result of that key: its head, and the whole as bytes; None when there is none."""
        if self._db is None:
            return None
        try:
            row = self._db.execute(
                "SELECT head, body FROM results WHERE key = ?", (key,)
            ).fetchone()
        except sqlite3.Error as error:
            self._lost(error)
            return None
        if row is None:
            return None
        try:
            head, _ = unpacked_head(row[0]), zlib.decompress(row[1])
        except (msgspec.DecodeError, msgspec.ValidationError, zlib.error):
            return None  # made anew, and put over this one
        self._used.append(key)
        return head, row[1]

    def put(self, key: str, head: bytes, body: bytes) -> None:
        """Keeps a result, for good once this returns."""
        self._write(
            "INSERT OR REPLACE INTO results VALUES (?, ?, ?, ?, ?)",
            [(key, head, body, len(head) + len(body), time.time_ns())],
        )

    def writes(self, files: Mapping[str, str]) -> None:
        """Notes files that are about to be written: absolute path -> SHA-256."""
        self._write("INSERT OR REPLACE INTO written VALUES (?, ?)", list(files.items()))

    def written_at(self, path: str) -> str | None:
        """SHA-256 of what was written there last; None where nothing was."""
        if self._db is None:
            return None
        try:
            row = self._db.execute("SELECT digest FROM written WHERE path = ?", (path,)).fetchone()
        except sqlite3.Error as error:
            self._lost(error)
            return None
        return None if row is None else str(row[0])

    def close(self) -> None:
        """Notes what was used, takes the oldest out down to the cap, and closes."""
        if self._db is not None:
            now = time.time_ns()
            self._write("UPDATE results SET used = ? WHERE key = ?", [(now, k) for k in self._used])
            self.trim()
        if self._db is not None:
            with suppress(sqlite3.Error):
                self._db.close()
            self._db = None

    def trim(self) -> None:
        """Takes results out, the longest unused first, until all are within the cap."""
        if self._db is None:
            return
        try:
            over = self.size() - self.cap
            if over <= 0:
                return
            out: list[tuple[str]] = []
            rows = self._db.execute("SELECT key, size FROM results ORDER BY used, key")
            for key, size in rows:
                if over <= 0:
                    break
                out.append((key,))
                over -= size
            self._write("DELETE FROM results WHERE key = ?", out)
            gone = [
                (path,)
                for (path,) in self._db.execute("SELECT path FROM written")
                if not os.path.lexists(path)
            ]
            self._write("DELETE FROM written WHERE path = ?", gone)
            self._db.execute("PRAGMA incremental_vacuum")
        except sqlite3.Error as error:
            self._lost(error)

    def size(self) -> int:
        """Bytes of all results that are kept."""
        if self._db is None:
            return 0
        row = self._db.execute("SELECT coalesce(sum(size), 0) FROM results").fetchone()
        return int(row[0])

    def _opened(self) -> sqlite3.Connection:
        """The open store. SQLite does not wait when two turn a new file to WAL at once, whatever
        its patience: here is waited for it."""
        end = time.monotonic() + _PATIENCE
        while True:
            try:
                return self._opened_once()
            except sqlite3.OperationalError as error:
                busy = getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY
                if not busy or time.monotonic() > end:
                    raise
            time.sleep(0.02)

    def _opened_once(self) -> sqlite3.Connection:
        db = sqlite3.connect(self.path, timeout=_PATIENCE, isolation_level=None)
        try:
            db.execute("PRAGMA auto_vacuum = incremental")
            db.execute("PRAGMA journal_mode = wal")
            db.execute("PRAGMA synchronous = normal")
            db.execute("BEGIN IMMEDIATE")
            (form,) = db.execute("PRAGMA user_version").fetchone()
            if form not in (0, FORMAT):  # of another version of ours: its results are of no use
                db.execute("DROP TABLE IF EXISTS results")
            for statement in _TABLES.split(";"):
                db.execute(statement)
            db.execute(f"PRAGMA user_version = {FORMAT}")
            db.execute("COMMIT")
        except BaseException:
            db.close()
            raise
        return db

    def _write(self, statement: str, rows: Sequence[tuple[object, ...]]) -> None:
        if self._db is None or not rows:
            return
        try:
            self._db.execute("BEGIN IMMEDIATE")
            self._db.executemany(statement, rows)
            self._db.execute("COMMIT")
        except BaseException as error:  # ^C among them: whole or not at all
            with suppress(sqlite3.Error):
                self._db.execute("ROLLBACK")
            if not isinstance(error, sqlite3.Error):
                raise
            self._lost(error)

    def _anew(self, error: sqlite3.DatabaseError) -> None:
        """A file that is no store is put aside, and a new one begun."""
        aside = self.path.with_name(f"results.damaged-{time.time_ns()}.sqlite")
        try:
            self.path.replace(aside)
            for tail in ("-wal", "-shm"):
                self.path.with_name(self.path.name + tail).unlink(missing_ok=True)
            self._db = self._opened()
        except (OSError, sqlite3.Error) as again:
            self._lost(again)
            return
        self.findings.append(
            Finding(
                code="cache.damaged",
                severity=Severity.WARNING,
                message=f"the kept results cannot be read ({error}): all is done anew",
                file=str(aside),
                hint="delete the damaged file",
            )
        )

    def _lost(self, error: Exception) -> None:
        if self._db is not None:
            with suppress(sqlite3.Error):
                self._db.close()
            self._db = None
        self.findings.append(
            Finding(
                code="cache.unusable",
                severity=Severity.WARNING,
                message=f"results cannot be kept: {error}",
                file=str(self.path),
                hint="see whether the folder may be written to and has room, or give another "
                "by --cache",
            )
        )
