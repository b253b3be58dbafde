"""How quick is a menu?  Against the textbook model, same solver, threads and seed, same run.

    python -m bench.menu [--times 5] [--cut 60] [--threads 1] [--only WORD] [--cpu]

Both prove what they say: the textbook model by the solver's own bound, ours by
the bound of ``menu.model.pricing`` or the solver's on what that leaves. Times
are medians; ours is the whole time of a call from question to checked menu,
the textbook's the solver's time alone (its model is made before). A textbook
run that is cut off is told as 'more than', and so is the ratio. Every menu is
checked again (``menu.checking``). ``--cpu`` counts processor time, for a
machine that others use too; the cut is counted so as well.

Goals: lone walker to 0.5 %, 10 times faster; party to 1 %, 30 times faster; 7 x 200
to 1 % in 1 s; 12 walkers with three diets in 5 s; 28 days x 12 walkers x 600
recipes: a menu within 30 s; time grows with days, recipes and walkers by a
power of at most 1.2.
"""

from __future__ import annotations

import argparse
import math
import resource
import statistics
import time
from collections.abc import Callable, Iterator

import msgspec
from bench.menu_baseline import run, textbook
from bench.menu_instances import lone, party

from fellfare.menu.answer import Menu
from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Question
from fellfare.menu.trying import Trying


class Case(msgspec.Struct, frozen=True):
    """One size of one family, the gap to prove, and what we want of it."""

    name: str
    make: Callable[[int], Question]
    gap: float
    times_faster: float | None = None
    seconds: float | None = None


class Given(msgspec.Struct, frozen=True):
    """What was asked for on the command line."""

    times: int
    cut: float
    threads: int
    only: str
    clock: Callable[[], float]


CASES = (
    Case("lone 7 days x 200", lambda seed: lone(7, 200, seed), 0.005, times_faster=10),
    Case("lone 14 days x 200", lambda seed: lone(14, 200, seed), 0.005, times_faster=10),
    Case("lone 28 days x 600", lambda seed: lone(28, 600, seed), 0.005, times_faster=10),
    Case("party 7 x 1 x 200", lambda seed: party(7, 1, 200, seed), 0.01, times_faster=30),
    Case("party 14 x 4 x 200", lambda seed: party(14, 4, 200, seed), 0.01, times_faster=30),
    Case("quick 7 days x 200", lambda seed: lone(7, 200, seed), 0.01, seconds=1),
    Case("diets 7 x 12 x 200", lambda seed: party(7, 12, 200, seed), 0.01, seconds=5),
    Case("large 28 x 12 x 600", lambda seed: party(28, 12, 600, seed), 0.02, seconds=30),
)

#: What grows, the sizes, and how the question is made.
GROWTH: tuple[tuple[str, tuple[int, ...], Callable[[int, int], Question], float], ...] = (
    ("grows days, lone", (7, 14, 28, 56), lambda n, s: lone(n, 200, s), 0.005),
    ("grows days, party", (7, 14, 28, 56), lambda n, s: party(n, 2, 200, s), 0.01),
    ("grows recipes, lone", (150, 300, 600, 1200), lambda n, s: lone(14, n, s), 0.005),
    ("grows recipes, party", (150, 300, 600, 1200), lambda n, s: party(7, 4, n, s), 0.01),
    ("grows walkers, party", (3, 6, 12, 24), lambda n, s: party(7, n, 200, s), 0.01),
)


def ours(question: Question, gap: float, given: Given) -> tuple[float, Menu]:
    """Seconds, and the menu, checked."""
    began = given.clock()
    tries = Trying(gap=gap, seconds=180.0, threads=given.threads, clock=time.perf_counter)
    menu = plan_menu(question, tries)
    spent = given.clock() - began
    broken = broken_rules(question, menu.plates)
    if broken:
        raise SystemExit(f"a menu breaks {broken[0].wish}: {broken[0].what}")
    return spent, menu


def peak_mb() -> float:
    """The most memory that this process has held so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def theirs(case: Case, given: Given) -> tuple[float, bool]:
    """Median seconds of the textbook model, and whether it is of runs that were cut off."""
    spent, cut = [], []
    for seed in range(1, given.times + 1):
        problem = textbook(case.make(seed))
        began = given.clock()
        own = None if given.clock is time.perf_counter else given.clock
        out = run(problem, case.gap, given.cut, given.threads, 0, own)
        spent.append(given.clock() - began)
        cut.append(out.x is None or out.gap > case.gap * (1 + 1e-6))
    middle = statistics.median(spent)
    # a run that is cut off where it had taken longer than the median leaves that as it is
    return middle, any(off and each <= middle for off, each in zip(cut, spent, strict=True))


def told(case: Case, given: Given) -> str:
    """One line about one case."""
    times = given.times
    runs = [ours(case.make(seed), case.gap, given) for seed in range(1, times + 1)]
    mine = statistics.median(spent for spent, _ in runs)
    proven = max(menu.gap for _, menu in runs)
    line = f"{case.name:22} {mine:7.2f} s  proven {proven:.2%} (worst of {times})"
    met = proven <= case.gap
    if case.seconds is not None:
        met = met and max(spent for spent, _ in runs) <= case.seconds
        line += f"  goal: {case.seconds:g} s"
    if case.times_faster is not None:
        base, cut_off = theirs(case, given)
        more = "more than " if cut_off else ""
        met = met and base / mine >= case.times_faster
        line += (
            f"  textbook {more}{base:.1f} s: {more}{base / mine:.0f} times"
            f"  goal: {case.times_faster:g} times"
        )
    return f"{line}  {'met' if met else 'NOT MET'}"


def growth(given: Given) -> Iterator[str]:
    """The power by which time grows: least squares through the medians, both as logarithms."""
    for name, sizes, make, gap in GROWTH:
        if given.only not in name:
            continue
        medians = [
            statistics.median(
                ours(make(size, seed), gap, given)[0] for seed in range(1, given.times + 1)
            )
            for size in sizes
        ]
        x, y = [math.log(n) for n in sizes], [math.log(s) for s in medians]
        power = statistics.linear_regression(x, y).slope
        seconds = ", ".join(f"{n}: {s:.2f} s" for n, s in zip(sizes, medians, strict=True))
        yield f"{name:22} power {power:.2f} ({seconds})  {'met' if power <= 1.2 else 'NOT MET'}"


def main() -> None:
    """Print a line as soon as it is known."""
    asked = argparse.ArgumentParser(description="How quick is a menu?")
    asked.add_argument("--times", type=int, default=5, help="questions per size; medians")
    asked.add_argument("--cut", type=float, default=60.0, help="seconds for a textbook run")
    asked.add_argument("--threads", type=int, default=1)
    asked.add_argument("--only", default="", help="only cases with this word in the name")
    asked.add_argument("--cpu", action="store_true", help="count processor time, not the wall's")
    said = asked.parse_args()
    given = Given(
        times=said.times,
        cut=said.cut,
        threads=said.threads,
        only=said.only,
        clock=time.process_time if said.cpu else time.perf_counter,
    )
    for case in CASES:
        if given.only in case.name:
            print(told(case, given), flush=True)
            print(f"{'':22} peak memory of this run so far {peak_mb():.0f} MB", flush=True)
    for line in growth(given):
        print(line, flush=True)


if __name__ == "__main__":
    main()
