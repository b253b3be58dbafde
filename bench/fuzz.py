"""Grammar-aware fuzzing of every reader, by hand.

    python bench/fuzz.py [--cases 100000] [--kind amount] [--seed 0] [--seconds 1200]

Prints how many cases of each kind were read and how many were told, and every case that
ended in anything but a value or a Mistake, with the number that makes it again.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.fuzz.grammar import GROWN
from tests.fuzz.reading import try_reading

#: Parts of all cases that go to each kind, by what a case costs.
PARTS = {"amount": 60, "pasted": 3, "recipe": 14, "trip": 2, "gpx": 15, "json-ld": 6}


def main() -> None:
    """Run and report; status 1 when a fault was found."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--cases", type=int, default=100_000)
    words.add_argument("--kind", choices=list(GROWN))
    words.add_argument("--seed", type=int, default=0)
    words.add_argument("--seconds", type=float, default=1200.0)
    asked = words.parse_args()
    ends = time.monotonic() + asked.seconds
    faults = 0
    with tempfile.TemporaryDirectory() as name:
        for kind, part in PARTS.items():
            if asked.kind not in (None, kind):
                continue
            many = asked.cases if asked.kind else asked.cases * part // 100
            told: Counter[str] = Counter()
            slowest, began = 0.0, time.monotonic()
            done = 0
            for number in range(many):
                if time.monotonic() > ends:
                    break
                case = f"{kind} {asked.seed} {number}"
                text = GROWN[kind](Random(case))
                at = time.monotonic()
                try:
                    told[try_reading(kind, text, Path(name))] += 1
                except Exception:
                    faults += 1
                    print(f"FAULT in case {case!r}: {text!r}")
                    traceback.print_exc(limit=-3)
                slowest = max(slowest, time.monotonic() - at)
                done += 1
            print(
                f"{kind:8} {done:7,} cases, {told['read']:6,} read, {len(told) - 1:3} kinds of "
                f"mistake, slowest {slowest:.2f} s, all {time.monotonic() - began:.0f} s"
            )
    raise SystemExit(1 if faults else 0)


if __name__ == "__main__":
    main()
