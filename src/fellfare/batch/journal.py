"""Every finished row is written down at once, so that nothing done is done again.

One JSON line for each row, appended and synced.  A line that a crash cut short is dropped when
the journal is read: that document is simply done again.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import IO, Any

from fellfare.mistake import Mistake


class Journal:
    """An open journal; :meth:`done` knows what earlier runs finished."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.done: dict[str, dict[str, Any]] = {}
        whole = 0
        if path.exists():
            data = path.read_bytes()
            for line in data.splitlines(keepends=True):
                try:
                    row = json.loads(line)
                except ValueError:
                    break
                if not line.endswith(b"\n") or not isinstance(row, dict) or "file" not in row:
                    break
                self.done[row["file"]] = row
                whole += len(line)
            if whole == 0 and data.strip():
                raise Mistake(
                    "journal-unreadable",
                    "is no journal of a batch",
                    "name another file for the results",
                    str(path),
                )
        path.parent.mkdir(parents=True, exist_ok=True)
        self._file: IO[bytes] = path.open("r+b" if path.exists() else "w+b")
        self._file.truncate(whole)
        self._file.seek(whole)

    def add(self, row: dict[str, Any]) -> None:
        """One more row, on the disk before this returns."""
        self._file.write(json.dumps(row, ensure_ascii=False).encode() + b"\n")
        self._file.flush()
        os.fsync(self._file.fileno())
        self.done[row["file"]] = row

    def close(self) -> None:
        """Close the file; the journal stays."""
        self._file.close()

    def forget(self) -> None:
        """Close and delete it: the results stand elsewhere."""
        self.close()
        self.path.unlink(missing_ok=True)
