"""Two workers against one, over the same trips in the same run (goal: 1.8 times).

    python bench/batch.py [--trips 8] [--rounds 3]

Copies of the demo trip, each with its menu worked out and everything provided.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path
from statistics import median

from fellfare.batch.journal import Journal
from fellfare.batch.running import cluster, run
from fellfare.files.demo_documents import write_demo


def main() -> None:
    """Print the ratio."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--trips", type=int, default=8, help="copies of the demo's trip")
    words.add_argument("--rounds", type=int, default=3)
    asked = words.parse_args()
    times: dict[int, list[float]] = {1: [], 2: []}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for copy in range(asked.trips):
            write_demo(folder / str(copy))
        paths = sorted(str(path) for path in folder.rglob("trip.toml"))
        for number in range(asked.rounds):
            for workers in (1, 2):
                with cluster(workers) as client:
                    journal = Journal(folder / f"warm-{workers}-{number}")
                    run(client, "trip", paths[:workers], journal)  # everything is imported
                    journal.close()
                    journal = Journal(folder / f"{workers}-{number}")
                    began = time.perf_counter()
                    rows = run(client, "trip", paths, journal)
                    times[workers].append(time.perf_counter() - began)
                    journal.close()
                    assert all(row["code"] is None for row in rows)
    one, two = median(times[1]), median(times[2])
    print(f"{len(paths)} trips: one worker {one:.2f} s, two {two:.2f} s: {one / two:.2f} times")


if __name__ == "__main__":
    main()
