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
