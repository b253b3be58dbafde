"""How quick are the papers?  Ratios against bare typst in the same run.

    python bench/paper.py

* cold: every paper and list of the demo trip (three walkers, nine days, a menu by hand: no
  solver), one whole process, against a process that sets one empty page with typst
                                                    goal: under 2 s on two idle cores
* sums: the same without papers
* labels: 1 000 labels with their codes, in process, against one empty page; small ones too
* memory: the most that the process of the papers held, and that of the 1 000 labels

Every process runs once before it is measured, so that its modules lie compiled on the disk, as
an installer leaves them.  The clock says what a cook waits; the processor's seconds, all cores
together, hardly change on a busy machine.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import typst
from msgspec.structs import replace

from fellfare.cli.provision import provided
from fellfare.files.demo_documents import write_demo
from fellfare.files.menu_toml import menu_text
from fellfare.files.recipe_folder import read_recipes_of
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.menu.answer import Plate, Portion
from fellfare.menu.written import WrittenMenu
from fellfare.paper.grid import read_grid
from fellfare.paper.labels import labels_pdf
from fellfare.trip.plan import plan_trip

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


class Took(NamedTuple):
    """Least seconds on the clock and of the processor over some rounds: noise only ever adds."""

    clock: float
    processor: float


def process(code: str, *words: str) -> None:
    """One whole process; 1 says that an error finding stands beside the papers."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(
        [sys.executable, "-c", code, *words], capture_output=True, check=False, env=env
    )
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode(errors="replace"))


def cold(code: str, *words: str, rounds: int = 3) -> Took:
    """The quickest of some whole processes, all cores together, after one that is not counted."""
    process(code, *words)
    clocks, processors = [], []
    for _ in range(rounds):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        clocks.append(seconds(lambda: process(code, *words), rounds=1))
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        processors.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return Took(min(clocks), min(processors))


def told(name: str, took: Took, bare: Took) -> str:
    """Both figures, each against the same of an empty page."""
    return (
        f"{name}: {took.clock:.2f} s ({took.clock / bare.clock:.0f} times an empty page), "
        f"{took.processor:.2f} s of the processor ({took.processor / bare.processor:.0f} times)"
    )


def most_mb(whose: int) -> float:
    """The most memory that one process held."""
    return resource.getrusage(whose).ru_maxrss / 1024


def hand_menu(home: Path) -> WrittenMenu:
    """A menu of the demo trip by turns, without any solving: dinners by kitchen, else own."""
    file = read_trip(home / "trip.toml")
    plan = plan_trip(file.trip, read_ground(file))
    recipes = read_recipes_of(file).recipes
    plates = []
    for day in plan.days:
        for meal in day.meals:
            for turn in range(meal.count):
                for kitchen in file.trip.kitchens:
                    pots = [kitchen.walkers]
                    if meal.name != "dinner":
                        pots = [(name,) for name in kitchen.walkers]
                    for pot in pots:
                        cold = kitchen.stoveless or day.fire == "no-flame"
                        some = [
                            name
                            for name, recipe in recipes.items()
                            if meal.name in recipe.meals and not (cold and "stove" in recipe.tags)
                        ]
                        dish = some[(3 * day.day + 7 * turn + len(pot[0])) % len(some)]
                        portions = tuple(
                            Portion(walker=name, steps=20, mass_g=150.0, energy_kcal=600.0)
                            for name in pot
                        )
                        plates.append(
                            Plate(day=day.day, time=meal.name, dish=dish, shared=len(pot) > 1,
                                  times=1, portions=portions)
                        )  # fmt: skip
    steps = dict.fromkeys((plate.dish for plate in plates), 20)
    return WrittenMenu(title=file.trip.title, plates=tuple(plates), steps_per_serving=steps)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "demo"
        write_demo(home)
        (home / "menu.toml").write_text(menu_text(hand_menu(home)), "utf-8")
        trip, out = str(home / "trip.toml"), str(home / "out")
        bare = cold(BARE, rounds=5)
        sums = cold(PAPERS, "provision", trip)
        papers = cold(PAPERS, "provision", trip, "--out", out)
        made = sum(path.stat().st_size for path in Path(out).iterdir()) / 1000
        count = len(list(Path(out).iterdir()))
        one, _, _ = provided(read_trip(Path(trip)))
        print(f"an empty page: {bare.clock:.3f} s, {bare.processor:.3f} s of the processor")
        print(told("cold", papers, bare) + "   (goal 2 s)")
        print(f"      {count} papers and lists, {made:.0f} kB, {len(one.bags)} bags")
        print(told("sums", sums, bare))
        print(f"memory: {most_mb(resource.RUSAGE_CHILDREN):.0f} MB at most")
        thousand = [one.labels[place % len(one.labels)] for place in range(1000)]
        thousand = [
            replace(label, number=number, count=1000) for number, label in enumerate(thousand, 1)
        ]
    empty = seconds(lambda: typst.compile(b"", format="pdf", ignore_system_fonts=True))
    print(f"an empty page in the same process: {empty * 1000:.1f} ms")
    # On small labels most texts go on over several: four times the work, so fewer of them.
    for cells, count in (("2x4", 1000), ("3x8", 200)):
        grid, some = read_grid(cells, "a4"), thousand[:count]
        for code in ("always", "never"):
            started = time.process_time()
            labels_pdf(some, grid, code=code)
            took = time.process_time() - started
            print(
                f"labels: {count} on {cells}, code {code}: {took:.2f} s of the processor, "
                f"{1000 * took / count:.2f} ms each, {took / empty:.0f} times an empty page"
            )
        print(f"memory: {most_mb(resource.RUSAGE_SELF):.0f} MB at most so far")


if __name__ == "__main__":
    main()
