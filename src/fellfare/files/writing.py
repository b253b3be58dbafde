"""How a document gets to disk: whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from fellfare.mistake import Mistake


def write_text(path: Path, text: str, *, replace: bool = False) -> None:
    """Write UTF-8 text; as :func:`write_bytes`."""
    write_bytes(path, text.encode("utf-8"), replace=replace)


def write_bytes(path: Path, data: bytes, *, replace: bool = False) -> None:
    """Write a file so that nobody ever sees half of it.

    The bytes go to a neighbour first, which then takes the name.

    Raises
    ------
    Mistake
        ``file-exists`` unless ``replace``; ``file-unwritable``.
    """
    try:
        if not replace and os.path.lexists(path):
            raise Mistake(
                "file-exists",
                "the file is there already",
                "choose another name, or say --replace",
                str(path),
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".fellfare-")
        neighbour = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            neighbour.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
            neighbour.replace(path)
        except BaseException:
            neighbour.unlink(missing_ok=True)
            raise
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise Mistake(
            "file-unwritable",
            f"cannot be written ({reason})",
            "choose another name or folder",
            str(path),
        ) from error
