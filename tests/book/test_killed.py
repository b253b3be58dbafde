"""What was told to be saved is there after the saver was killed in the middle of its work.

With ``FELLFARE_KILL_SAVES=1000`` in the environment it is tried with so many saves.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

from fellfare.book import open_book

CHILD = """
import sys
from fellfare.book import open_book
with open_book(sys.argv[1]) as book:
    for number in range(int(sys.argv[2])):
        text = f"{number} " + "x" * (number * 37 % 5000)
        book.save("log", "camp", text, number or None)
        sys.stdout.write(f"{number}\\n")  # told only after the save has returned
        sys.stdout.flush()
"""


@pytest.mark.parametrize("seed", range(2))
def test_nothing_that_was_told_is_lost(address: str, seed: int) -> None:
    saves = int(os.environ.get("FELLFARE_KILL_SAVES", "200"))
    open_book(address).close()
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, address, str(saves)],
        stdout=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2] / "src")},
    )
    assert child.stdout is not None
    told = -1
    stop_at = Random(seed).randrange(saves // 4, saves * 3 // 4)
    for line in child.stdout:
        told = int(line)
        if told == stop_at:
            child.send_signal(signal.SIGKILL)
    child.stdout.close()
    assert child.wait() == -signal.SIGKILL, "it was done before it was killed"
    assert told >= stop_at
    with open_book(address) as book:
        kept = [one.text for one in reversed(book.history("log", "camp"))]
        # Every one that was told, whole; at most one more, whose telling was cut off.
        assert kept == [f"{n} " + "x" * (n * 37 % 5000) for n in range(len(kept))]
        assert len(kept) in (told + 1, told + 2)
        book.save("log", "camp", "and on", len(kept))


#: Dies by its own hand at the worst moment: inside the transaction, or between two renames.
IMPORTS = """
import os, signal, sys
from fellfare.book import open_book, taking_in
def die(*_):
    sys.stdout.write("in the middle")
    sys.stdout.flush()
    os.kill(os.getpid(), signal.SIGKILL)
taking_in.put = die  # the ticks come last, after every document
with open_book(sys.argv[1]) as book:
    book.import_folder(sys.argv[2])
"""
EXPORTS = """
import os, signal, sys
from pathlib import Path
from fellfare.book import open_book
def die(self, target):
    sys.stdout.write("in the middle")
    sys.stdout.flush()
    os.kill(os.getpid(), signal.SIGKILL)
Path.rename = die
os.sync = lambda: None
with open_book(sys.argv[1]) as book:
    book.export_folder(sys.argv[2])
"""


def killed(script: str, *words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", script, *words],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2] / "src")},
    )
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert done.stdout == "in the middle"


def test_an_import_that_dies_leaves_nothing_behind(address: str, tmp_path: Path) -> None:
    with open_book(tmp_path / "first") as first:
        for number in range(20):
            first.save("trip", f"t{number}", "x", None)
            first.set_tick("trip", f"t{number}", "shopping", "bulgur")
        first.export_folder(tmp_path / "out")
    open_book(address).close()
    killed(IMPORTS, address, str(tmp_path / "out"))
    with open_book(address) as book:
        assert book.stamp() == 0
        book.import_folder(tmp_path / "out")
        assert len(book.names("trip")) == 20
        assert book.ticks("trip", "t7", "shopping") == {"bulgur"}


def test_an_export_that_dies_leaves_no_folder_of_that_name(address: str, tmp_path: Path) -> None:
    with open_book(address) as book:
        book.save("recipe", "soup", "x", None)
        killed(EXPORTS, address, str(tmp_path / "out"))
        assert not (tmp_path / "out").exists()
        book.export_folder(tmp_path / "out")
        assert (tmp_path / "out/recipes/soup.toml").read_text() == "x"
