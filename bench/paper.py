"""How quick are the papers?  Ratios against bare typst in the same run.

    python bench/paper.py

* cold: every paper of nine days for three eaters (27 recipes of the demo), one whole
  process, against a process that sets one empty page with typst    goal: under 2 s
* labels: 1 000 labels with their codes, in process, against one empty page; each label
* memory: the most that the process of the papers held
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

import typst

from fellfare.files.demo_documents import write_demo
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.paper.grid import read_grid
from fellfare.paper.labels import labels_pdf
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.label import BagLabel, labels
from fellfare.provision.planned import Share, in_order, planned_recipe

DAYS = 9
MEALS = 3

BARE = """
import typst
typst.compile(b"", format="pdf", ignore_system_fonts=True)
"""

PAPERS = "from fellfare.cli import main; main()"


def seconds(work: Callable[[], object], rounds: int = 5) -> float:
    """The quickest of some rounds: noise only ever adds."""
    found = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def process(code: str, *words: str) -> None:
    """One whole process; 1 says that an error finding stands beside the papers."""
    done = subprocess.run(
        [sys.executable, "-c", code, *words], capture_output=True, check=False, env=dict(os.environ)
    )
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode(errors="replace"))


def demo_labels(recipes: list[Path], count: int) -> list[BagLabel]:
    """So many labels of the demo's dishes."""
    own, _ = read_own_foods(own_food_folders(recipes[0]))
    pantry = shipped_pantry().with_foods(own)
    eaters = (Share(name="Ada"), Share(name="Bo"), Share(name="Cy"))
    made: list[BagLabel] = []
    day = 1
    while len(made) < count:
        plan = in_order(
            dish
            for path in recipes
            for dish in planned_recipe(read_recipe(path).recipe, pantry, eaters, days=(day,))
        )
        made += labels(plan, bags_of(plan), first_day=date(2031, 5, 1))
        day += 1
    return made[:count]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        write_demo(home / "demo")
        recipes = sorted((home / "demo" / "recipes").glob("*.toml"))[: DAYS * MEALS]
        planned = [f"{path}@{place // MEALS + 1}" for place, path in enumerate(recipes)]
        words = ["paper", *planned, "--kind", "all", "--out", str(home / "out")]
        words += ["--eater", "Ada:tree-nut", "--eater", "Bo", "--eater", "Cy"]
        words += ["--first-day", "2031-05-01", "--packed", "2031-04-20"]
        bare = seconds(lambda: process(BARE))
        all_papers = seconds(lambda: process(PAPERS, *words), rounds=3)
        peak_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        pages = sum(path.stat().st_size for path in (home / "out").iterdir()) / 1000
        print(f"cold: {all_papers:.2f} s for {pages:.0f} kB of papers   (goal 2 s)")
        print(f"      {all_papers / bare:.1f} times an empty page by typst ({bare:.3f} s)")
        print(f"memory: {peak_mb:.0f} MB at most")
        thousand = demo_labels(recipes, 1000)
    grid = read_grid("2x4", "a4")
    empty = statistics.median(
        seconds(lambda: typst.compile(b"", format="pdf", ignore_system_fonts=True), 1)
        for _ in range(5)
    )
    for code in ("always", "never"):
        took = seconds(lambda code=code: labels_pdf(thousand, grid, code=code), 1)  # type: ignore[misc]
        print(
            f"labels: 1000 in {took:.2f} s, code {code}; {took:.2f} ms a label, "
            f"{took / empty:.0f} times an empty page ({empty * 1000:.1f} ms)"
        )


if __name__ == "__main__":
    main()
