"""How quick is a recipe?  Ratios against a named baseline of the same run.

    python bench/recipe.py

* cold: `fellfare recipe FILE` against `python -c pass`       goal: at most 15 times
* sheets: a ten-line recipe in process, with and without the reading of its
  amounts, against one bare numpy weighted sum of the same sizes; aim: 10 000 a second
* memory: what the loaded pantry adds to the process           goal: under 40 MB
* search: one query over the whole pantry against one pass that only looks at every name
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np

from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import TABLES, shipped_pantry
from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.recipe.sheet import make_sheet, read_lines, sum_up

RECIPE = """
title = "Ten lines"
serves = 2
""" + "".join(
    f'[[line]]\nfood = "{food}"\namount = "{amount}"\nbag = "{bag}"\n'
    for food, amount, bag in (
        ("bulgur", "160 g", "soak"), ("red-bell-pepper-dried", "20 g", "soak"),
        ("walnut", "1/2 cup (60 g)", "top"), ("olive-oil", "3 tbsp", "oil"),
        ("paprika", "1 tsp", "soak"), ("salt", "3 g", "soak"), ("cumin", "1/2 tsp", "soak"),
        ("garlic-powder", "1 tsp", "soak"), ("raisins", "30 g", "soak"),
        ("parmesan", "25 g", "top"),
    )
)  # fmt: skip


def seconds(work: Callable[[], object], times: int) -> float:
    """Median of five rounds, per call."""
    rounds = []
    for _ in range(5):
        start = time.perf_counter()
        for _ in range(times):
            work()
        rounds.append((time.perf_counter() - start) / times)
    return statistics.median(rounds)


def cold(path: Path) -> None:
    """Whole processes, best of fifteen: start-up noise only ever adds."""

    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}

    def best(*words: str) -> float:
        taken = []
        for _ in range(15):
            start = time.perf_counter()
            subprocess.run(words, check=False, capture_output=True, env=env)
            taken.append(time.perf_counter() - start)
        return min(taken)

    bare = best(sys.executable, "-c", "pass")
    ours = best(sys.executable, "-m", "fellfare", "recipe", str(path))
    told = best(sys.executable, "-m", "fellfare", "recipe", "--json", str(path))
    print(f"cold    python -c pass {bare * 1e3:.1f} ms")
    for name, taken in (("FILE (goal 15)", ours), ("FILE --json", told)):
        said = f"{taken * 1e3:.1f} ms = {taken / bare:.1f} times"
        print(f"        fellfare recipe {name}: {said}")


def sheets(path: Path) -> None:
    """One sheet of ten lines against numpy's masses @ composition."""
    pantry = shipped_pantry()
    recipe = read_recipe(path).recipe
    sheet = make_sheet(recipe, pantry)
    matrix = np.array(
        [[value or 0.0 for value in line.food.per_100g.in_order] for line in sheet.lines]
    )
    masses = np.array([line.mass_g or 0.0 for line in sheet.lines])
    assert matrix.shape == (10, len(NUTRIENTS))
    bare = seconds(lambda: masses @ matrix / 100, 2000)
    whole = seconds(lambda: make_sheet(recipe, pantry), 500)
    lines = read_lines(recipe, pantry)
    summed = seconds(lambda: sum_up(recipe, lines, 5), 500)
    print(f"sheets  numpy weighted sum {bare * 1e6:.2f} µs")
    for name, taken in (
        ("make_sheet, reading its amounts", whole),
        ("sum_up, read before", summed),
    ):
        said = f"{taken * 1e6:.0f} µs = {taken / bare:.0f} times; {1 / taken:,.0f} a second"
        print(f"        {name}: {said}")


def memory() -> None:
    """What the pantry allocates, by tracemalloc."""
    import msgspec

    data = (TABLES / "foods.jsonl").read_bytes()
    tracemalloc.start()
    foods = msgspec.json.Decoder(Food).decode_lines(data)
    size, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"memory  {len(foods)} foods: {size / 1e6:.1f} MB (goal 40)")


def search() -> None:
    """A query against merely looking at every name once."""
    pantry = shipped_pantry()
    pantry.search("warm up")
    bare = seconds(
        lambda: [word for food in pantry for word in (food.name, *food.words) if "rice" in word], 50
    )
    ours = seconds(lambda: pantry.search("instant rice"), 20)
    odd = seconds(lambda: pantry.search("brocolli"), 10)
    print(f"search  one pass over all names {bare * 1e3:.2f} ms")
    for name, taken in (("instant rice", ours), ("brocolli", odd)):
        print(f"        {name!r}: {taken * 1e3:.1f} ms = {taken / bare:.0f} times")


def main() -> None:
    """Run them all."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ten.toml"
        path.write_text(RECIPE, encoding="utf-8")
        cold(path)
        sheets(path)
        memory()
        search()


if __name__ == "__main__":
    main()
