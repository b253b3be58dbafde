"""Has anything in the database changed?  Asked before every page, so it has to be cheap.

SQLite counts the commits of all *other* connections, of this process and of others, for
whoever asks ``PRAGMA data_version`` (sqlite.org, "PRAGMA data_version"): a connection that never
writes sees every change.  PostgreSQL tells nothing of the kind, so there the answer is None and
the tables are asked.
"""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from threading import Lock

from sqlalchemy import Engine


class Moving:
    """Notices that a database of one file has changed."""

    def __init__(self, engine: Engine) -> None:
        self._path = engine.url.database if engine.dialect.name == "sqlite" else None
        self._lock = Lock()
        self._connection: sqlite3.Connection | None = None
        #: How often it was opened: each connection counts for itself.
        self._opened = 0

    def version(self) -> tuple[int, int] | None:
        """Other numbers whenever anything has been committed; None = it cannot be told."""
        if self._path is None:
            return None
        with self._lock:
            try:
                if self._connection is None:
                    self._connection = sqlite3.connect(
                        self._path, isolation_level=None, check_same_thread=False
                    )
                    self._opened += 1
                row = self._connection.execute("PRAGMA data_version").fetchone()
            except sqlite3.Error:  # the tables are asked, and tell what is wrong
                return None
            return self._opened, int(row[0])

    def close(self) -> None:
        """Let go of the file."""
        with self._lock, suppress(sqlite3.Error):
            if self._connection is not None:
                self._connection.close()
            self._connection = None
