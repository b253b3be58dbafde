"""How long from 50 000 points of GPX to slopes, beside a bare XML pass and gpxpy?

    python bench/track.py

Medians of five, all in one run, taken in turn so that a busy machine hits all
alike.  Wanted: at most 3 times a bare ElementTree pass; at least 3 times
faster than ``gpxpy.parse`` alone.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from statistics import median
from time import perf_counter
from xml.etree import ElementTree
from xml.parsers import expat

import gpxpy
import numpy as np

from fellfare.files.demo_walk import demo_gpx
from fellfare.files.gpx import Gpx, read_gpx, way_of
from fellfare.walk.profile import Profile, profile_of
from fellfare.walk.stages import stages_at_camps
from fellfare.walk.track import Track

POINTS = 50_000
ROUNDS = 5


def bare_pass(data: bytes) -> None:
    """Every element seen once and thrown away; no number is read."""
    for _, element in ElementTree.iterparse(io.BytesIO(data)):
        element.clear()


def bare_expat(data: bytes) -> None:
    """The parser alone, without a single call back: nothing can be faster."""
    expat.ParserCreate().Parse(data, True)


def whole(data: bytes) -> Profile:
    """Arrays, checks, profile, climb and slopes."""
    return profile_of(way_of(read_gpx(data))[0])


def main() -> None:
    data = demo_gpx(np.random.default_rng(1), points=POINTS)
    text = data.decode()
    read: Gpx = read_gpx(data)
    track: Track = way_of(read)[0]
    profile = profile_of(track)
    jobs: dict[str, Callable[[], object]] = {
        "bare ElementTree pass": lambda: bare_pass(data),
        "bare expat, no call back": lambda: bare_expat(data),
        "GPX to slopes (ours)": lambda: whole(data),
        "  of it: reading": lambda: read_gpx(data),
        "  of it: profile, slopes": lambda: profile_of(track),
        "days at camps, 30 places": lambda: stages_at_camps(profile, read.places),
        "gpxpy.parse alone": lambda: gpxpy.parse(text),
    }
    times: dict[str, list[float]] = {name: [] for name in jobs}
    for _ in range(ROUNDS):
        for name, job in jobs.items():
            start = perf_counter()
            job()
            times[name].append(1000 * (perf_counter() - start))
    bare = median(times["bare ElementTree pass"])
    ours = median(times["GPX to slopes (ours)"])
    theirs = median(times["gpxpy.parse alone"])
    print(f"{POINTS} points, {len(data) / 1e6:.1f} MB, median of {ROUNDS}")
    print(f"{'':26}{'ms':>9}{'min':>9}{'max':>9}{'to bare':>9}")
    for name, each in times.items():
        row = f"{name:26}{median(each):9.1f}{min(each):9.1f}{max(each):9.1f}"
        print(f"{row}{median(each) / bare:9.2f}")
    print(f"to a bare pass: {ours / bare:.2f} (wanted: at most 3)")
    print(f"faster than gpxpy.parse: {theirs / ours:.1f} times (wanted: at least 3)")


if __name__ == "__main__":
    main()
