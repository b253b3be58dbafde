"""Where does the book lie?"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Final

#: Names another place than the user's data folder: a file, or the address of a database.
VARIABLE: Final = "FELLFARE_BOOK"
FILE: Final = "book.fellfare"


def usual_place(
    environ: Mapping[str, str] | None = None,
    platform: str = sys.platform,
    home: Path | None = None,
) -> str:
    """The file, or address, of the book when nobody says another.

    ``FELLFARE_BOOK`` if it is set; else ``book.fellfare`` in the user's data folder:
    ``$XDG_DATA_HOME/fellfare`` or ``~/.local/share/fellfare`` (XDG Base Directory
    Specification 0.8: a relative path there is not followed), on macOS
    ``~/Library/Application Support/Fellfare``, on Windows ``%LOCALAPPDATA%\\Fellfare``.
    """
    environ = os.environ if environ is None else environ
    named = environ.get(VARIABLE, "").strip()
    if named:
        return named
    return str(_data_folder(environ, platform, Path.home() if home is None else home) / FILE)


def _data_folder(environ: Mapping[str, str], platform: str, home: Path) -> Path:
    if platform == "win32":
        local = environ.get("LOCALAPPDATA", "")
        return (Path(local) if local else home / "AppData" / "Local") / "Fellfare"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "Fellfare"
    named = environ.get("XDG_DATA_HOME", "")
    return (Path(named) if named.startswith("/") else home / ".local" / "share") / "fellfare"
