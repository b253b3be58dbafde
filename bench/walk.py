"""From a GPX file of 50 000 points to days and the need of twelve walkers.

    python bench/walk.py

Medians of five, all in one run, taken in turn so that a busy machine hits all alike.
Wanted: at most 3 times a bare ElementTree pass over the file; at least 3 times faster than
``gpxpy.parse`` alone; one more round of need, once the way is summed up, under 1 ms.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from statistics import median
from time import perf_counter
from xml.etree import ElementTree

import gpxpy
import numpy as np

from fellfare.files.demo_walk import demo_gpx
from fellfare.files.gpx import read_gpx, way_of
from fellfare.trip.ground import Ground
from fellfare.trip.plan import plan_trip
from fellfare.trip.trip import Trip
from fellfare.trip.way import Way
from fellfare.walk.demand import need_kcal
from fellfare.walk.walker import Walker

POINTS = 50_000
WALKERS = 12
ROUNDS = 5


def party() -> tuple[Walker, ...]:
    return tuple(
        Walker(
            name=f"walker {n + 1}",
            sex="female" if n % 2 else "male",
            age_y=20.0 + 3 * n,
            height_cm=162.0 + 2 * n,
            mass_kg=56.0 + 2.5 * n,
            base_pack_kg=6.0 + 0.3 * n,
            pace_factor=0.9 + 0.02 * n,
        )
        for n in range(WALKERS)
    )


def bare_pass(data: bytes) -> None:
    """Every element seen once and thrown away; no number is read."""
    for _, element in ElementTree.iterparse(io.BytesIO(data)):
        element.clear()


def ground_of(data: bytes) -> Ground:
    gpx = read_gpx(data)
    track, findings = way_of(gpx)
    return Ground(track=track, places=gpx.places, findings=findings)


def main() -> None:
    data = demo_gpx(np.random.default_rng(1), points=POINTS)
    text = data.decode()
    trip = Trip(title="bench", walkers=party(), way=Way(gpx="walk.gpx", fire="none"))
    ground = ground_of(data)
    plan = plan_trip(trip, ground)
    food = np.array([one.food_g for one in plan.walkers]) / 1000.0
    jobs: dict[str, Callable[[], object]] = {
        "bare ElementTree pass": lambda: bare_pass(data),
        "GPX to days and need (ours)": lambda: plan_trip(trip, ground_of(data)),
        "  of it: reading": lambda: ground_of(data),
        "  of it: the whole plan": lambda: plan_trip(trip, ground),
        "one more round of need": lambda: need_kcal(plan.demand, food),
        "gpxpy.parse alone": lambda: gpxpy.parse(text),
    }
    times: dict[str, list[float]] = {name: [] for name in jobs}
    for _ in range(ROUNDS):
        for name, job in jobs.items():
            start = perf_counter()
            job()
            times[name].append(1000 * (perf_counter() - start))
    bare = median(times["bare ElementTree pass"])
    ours = median(times["GPX to days and need (ours)"])
    theirs = median(times["gpxpy.parse alone"])
    print(
        f"{POINTS} points, {len(data) / 1e6:.1f} MB, {WALKERS} walkers, {len(plan.days)} days; "
        f"median of {ROUNDS}"
    )
    print(f"{'':30}{'ms':>9}{'min':>9}{'max':>9}{'to bare':>9}")
    for name, each in times.items():
        row = f"{name:30}{median(each):9.2f}{min(each):9.2f}{max(each):9.2f}"
        print(f"{row}{median(each) / bare:9.2f}")
    print(f"to a bare pass: {ours / bare:.2f} (wanted: at most 3)")
    print(f"faster than gpxpy.parse: {theirs / ours:.1f} times (wanted: at least 3)")
    print(f"a round of need: {median(times['one more round of need']):.2f} ms (wanted: under 1)")


if __name__ == "__main__":
    main()
