"""How fast does the composer go through combinations?

    python bench/composer.py [--rounds N]

In the same run, over the same arrays: one weighted sum of all figures for every combination
(numpy), and a plain Python loop that adds up, checks, scores and compares one dish after
another (over every third filling of each part).  The composer rules out whole tiles of dishes
by bounds; 'every dish scored' is the same without them, and must find the same dishes.
Goals: 10 million combinations a second and core, at most 5 weighted-sum passes, at least
1 000 times the plain loop, memory bounded for 1 000 million combinations.
"""

from __future__ import annotations

import argparse
import math
import resource
import time
from itertools import product
from statistics import median

import numpy as np
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.composing.laying import Laid, lay
from fellfare.recipe.composing.question import SUMS, Composition, Limit, Part
from fellfare.recipe.composing.sweeping import Composed, compose

GRAMS = tuple(f"{g} g" for g in range(5, 105, 5))
WIDE = Composition(
    title="bench",
    parts=(
        Part(name="starch", foods=("couscous", "bulgur", "rice-noodles", "potato-flakes",
             "instant-polenta"), amounts=GRAMS[9:19]),
        Part(name="sauce", foods=("tomato-powder", "coconut-milk-powder", "miso-powder"),
             amounts=GRAMS[:5]),
        Part(name="protein", foods=("black-bean-flakes", "textured-soy-mince",
             "chicken-freeze-dried"), amounts=GRAMS[1:7]),
        Part(name="fat", foods=("olive-oil", "sesame-oil"), amounts=GRAMS[:5]),
        Part(name="add-in", foods=("red-bell-pepper-dried", "spinach-dried", "mushrooms-dried",
             "carrot-dried", "green-peas-freeze-dried"), amounts=GRAMS[:5], optional=True),
        Part(name="finish", foods=("cashew-roasted", "croutons", "pumpkin-seeds-roasted"),
             amounts=GRAMS[1:5], optional=True),
    ),
)  # fmt: skip
LIMITED = replace(
    WIDE,
    limits=(
        Limit(figure="energy_kcal_per_100g", least=460.0),
        Limit(figure="mass_g", most=160.0),
        Limit(figure="protein_g", least=20.0),
        Limit(figure="minutes", most=15.0),
    ),
)


def weighted_sums(laid: Laid) -> float:
    """One weighted sum of every figure of every combination, block by block."""
    parts = [laid.parts[at] for at in laid.turning]
    weights = np.linspace(1.0, 2.0, len(SUMS))
    inner = parts[-1].low
    at = len(parts) - 1
    while at > 0 and inner.shape[0] * len(parts[at - 1]) <= 1 << 17:
        at -= 1
        inner = (parts[at].low[:, None, :] + inner[None, :, :]).reshape(-1, len(SUMS))
    best = -np.inf
    shape = [len(part) for part in parts[:at]]
    for place in np.ndindex(*shape):
        outer = sum(
            (part.low[p] for part, p in zip(parts, place, strict=False)), np.zeros(len(SUMS))
        )
        best = max(best, float((inner @ weights + outer @ weights).max()))
    return best


SUM = "one weighted sum (numpy)"

#: About a thousand million combinations: finer steps of starch, and seeds on top.
LARGE = replace(
    LIMITED,
    parts=(
        replace(WIDE.parts[0], amounts=tuple(f"{g} g" for g in range(40, 100, 2))),
        *WIDE.parts[1:],
        Part(name="top", foods=("pumpkin-seeds-roasted", "almond-roasted"), amounts=GRAMS[:3],
             optional=True),
    ),
)  # fmt: skip


def plain_loop(laid: Laid) -> tuple[int, int]:
    """A dish after another: add up, check, score, keep what is not beaten.

    Over every third filling of each part; how many dishes that is, and how many of them stay.
    """
    asked = laid.asked
    limited = bool(asked.limits)
    mass_at, energy_at, protein_at = map(SUMS.index, ("mass_g", "energy_kcal", "protein_g"))
    rows = [
        [
            (
                float(part.low[at, mass_at]),
                float(part.low[at, energy_at]),
                float(part.low[at, protein_at]),
                float(part.minutes[at]),
                int(part.tastes[at]),
                tuple(p.food.id for p in part.fillings[at]) if place in asked.kind_parts else (),
            )
            for at in range(1, len(part), 3)
        ]
        for place, part in enumerate(laid.parts)
    ]
    front: list[tuple[int, int, int]] = []
    kinds: dict[tuple[str, ...], int] = {}
    seen = 0
    for dish in product(*rows):
        seen += 1
        mass = energy = protein = minutes = 0.0
        tastes = 0
        kind: tuple[str, ...] = ()
        for m, e, p, wait, bits, foods in dish:
            mass += m
            energy += e
            protein += p
            if wait > minutes:
                minutes = wait
            tastes |= bits
            kind += foods
        if limited and (mass > 160 or protein < 20 or minutes > 15 or energy < 4.6 * mass):
            continue
        a, b, c = math.floor(20 * energy / mass), math.floor(protein), tastes.bit_count()
        if a > kinds.get(kind, -1):
            kinds[kind] = a
        for x, y, z in front:
            if x >= a and y >= b and z >= c:
                break
        else:
            front = [q for q in front if q[0] > a or q[1] > b or q[2] > c]
            front.append((a, b, c))
    return seen, len(front) + len(kinds)


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--rounds", type=int, default=5)
    rounds = words.parse_args().rounds
    pantry = shipped_pantry()
    found: dict[str, Composed] = {}
    times: dict[str, list[float]] = {}

    def take(name: str, asked: Composition, *, bounds: bool = True) -> None:
        began = time.process_time()
        found[name] = compose(asked, pantry, bounds=bounds)
        spent = time.process_time() - began
        times.setdefault(name, []).append(spent / found[name].combinations)

    def take_plain(name: str, asked: Composition) -> None:
        laid = lay(asked, pantry)
        began = time.process_time()
        seen, _ = plain_loop(laid)
        times.setdefault(name, []).append((time.process_time() - began) / seen)

    open_large = replace(LARGE, limits=())
    for _ in range(rounds):  # first, so that the peak of memory is the composer's own
        take("large, no limit", open_large)
        take("large, four limits", LARGE)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    laid = lay(WIDE, pantry)
    for _ in range(rounds):
        began = time.process_time()
        weighted_sums(laid)
        spent = time.process_time() - began
        times.setdefault(SUM, []).append(spent / laid.combinations)
        take("no limit", WIDE)
        take("no limit, every dish scored", WIDE, bounds=False)
        take("four limits", LIMITED)
        take("four limits, all that fit", LIMITED, bounds=False)
        take_plain("plain loop, no limit", WIDE)
        take_plain("plain loop, four limits", LIMITED)
    base = median(times[SUM])
    print(f"{laid.combinations:,} combinations, large {found['large, no limit'].combinations:,}; "
          f"{rounds} rounds, median of processor seconds")  # fmt: skip
    print(f"{'':28} {'M/s':>8} {'weighted sums':>14} {'x plain loop':>13} {'one by one':>11}")
    for name, each_time in times.items():
        each = median(each_time)
        slow = median(times["plain loop, four limits" if "four" in name else
                            "plain loop, no limit"])  # fmt: skip
        got = found.get(name)
        share = "" if got is None else f"{got.scored / got.combinations:.4%}"
        print(f"{name:28} {1e-6 / each:8.2f} {each / base:14.2f} {slow / each:13.0f} {share:>11}")
    for name, other in (("no limit", "no limit, every dish scored"),
                        ("four limits", "four limits, all that fit")):  # fmt: skip
        one, two = found[name], found[other]
        same = (one.dishes, one.kinds, one.fitting) == (two.dishes, two.kinds, two.fitting)
        print(f"{name}: {one.fitting:,} fit, {len(one.dishes)} on the front; "
              f"{'the same' if same else 'NOT THE SAME'} without bounds")  # fmt: skip
    print(f"peak memory of the process after the large ones {peak:.0f} MB")


if __name__ == "__main__":
    main()
