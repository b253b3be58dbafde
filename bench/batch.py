"""Two workers against one, over the same recipes in the same run (goal: 1.8 times).

    python bench/batch.py [--copies 30] [--rounds 3]

The documents are the demo's recipes, many times over, so that both runs do the same.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from pathlib import Path
from statistics import median

from fellfare.batch.journal import Journal
from fellfare.batch.running import cluster, run
from fellfare.files.demo_documents import DEMO


def main() -> None:
    """Print the ratio."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--copies", type=int, default=30, help="copies of the demo's recipes")
    words.add_argument("--rounds", type=int, default=3)
    asked = words.parse_args()
    times: dict[int, list[float]] = {1: [], 2: []}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for copy in range(asked.copies):
            shutil.copytree(DEMO / "recipes", folder / str(copy) / "recipes")
            shutil.copytree(DEMO / "foods", folder / str(copy) / "foods")
        paths = sorted(str(path) for path in folder.rglob("recipes/*.toml"))
        for number in range(asked.rounds):
            for workers in (1, 2):
                with cluster(workers) as client:
                    journal = Journal(folder / f"warm-{workers}-{number}")
                    run(client, "recipe", paths[: 4 * workers], journal)  # the pantry is read
                    journal.close()
                    journal = Journal(folder / f"{workers}-{number}")
                    began = time.perf_counter()
                    run(client, "recipe", paths, journal)
                    times[workers].append(time.perf_counter() - began)
                    journal.close()
    one, two = median(times[1]), median(times[2])
    print(f"{len(paths)} recipes: one worker {one:.2f} s, two {two:.2f} s: {one / two:.2f} times")


if __name__ == "__main__":
    main()
