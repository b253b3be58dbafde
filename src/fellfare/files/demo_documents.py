"""The invented demo as documents in a folder of one's own.

Everything here is made up for showing: the Harrowmoor Round, its people, its
recipes and the labels of its own foods.  After writing, the folder is an
ordinary folder of documents.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final, Literal

from numpy.random import default_rng

from fellfare.files.demo_walk import demo_gpx
from fellfare.files.writing import write_text

DEMO: Final = Path(__file__).parent / "demo"

#: Seed of the invented walk: the same file wherever it is written (with one numpy).
SEED: Final = 20
WALK: Final = "walk.gpx"

#: What happened to one document of the demo.
Fate = Literal["written", "kept"]


def demo_documents() -> Iterator[tuple[str, str]]:
    """(path inside the demo folder, text) of every demo document; the track is made here."""
    for path in sorted(DEMO.rglob("*.toml")):
        yield path.relative_to(DEMO).as_posix(), path.read_text("utf-8")
    yield WALK, demo_gpx(default_rng(SEED)).decode()


def write_demo(folder: Path) -> list[tuple[Path, Fate]]:
    """Write the demo's documents into ``folder``.

    A file that is there already and differs was changed by somebody: it is
    kept as it is.

    Raises
    ------
    Mistake
        ``file-unwritable``.
    """
    fates: list[tuple[Path, Fate]] = []
    for name, text in demo_documents():
        path = folder / name
        if path.exists() and path.read_text("utf-8", errors="replace") != text:
            fates.append((path, "kept"))
            continue
        write_text(path, text, replace=True)
        fates.append((path, "written"))
    return fates
