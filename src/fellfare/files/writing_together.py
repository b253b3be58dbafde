"""How do several files get to disk: all of them, or none?"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from fellfare.mistake import Mistake


def write_together(files: Mapping[Path, bytes]) -> None:
    """Write every file under a name of its own first; only when all are there, rename them.

    What stands under the same names is replaced.  A failure before the renaming leaves
    nothing behind; the renaming itself moves no data.

    Raises
    ------
    Mistake
        ``file-unwritable``.
    """
    waiting: list[tuple[Path, Path]] = []
    path = Path()
    try:
        for path, data in files.items():
            if path.is_dir():
                raise IsADirectoryError(21, "a folder has this name", str(path))
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=".fellfare-")
            waiting.append((Path(name), path))
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(name).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        for neighbour, path in waiting:
            neighbour.replace(path)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise Mistake(
            "file-unwritable",
            f"cannot be written ({reason})",
            "choose another name or folder; none of the papers was written",
            str(path),
        ) from error
    finally:
        for neighbour, _ in waiting:
            neighbour.unlink(missing_ok=True)
