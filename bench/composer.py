"""How fast does the composer go through combinations?

    python bench/composer.py [--rounds N]

In the same run, over the same arrays: one weighted sum of all figures for every combination
(numpy), and a plain Python loop that scores and compares one dish after another.
Goals: 10 million combinations a second and core, at most 5 weighted-sum passes, at least
1 000 times the plain loop.
"""

from __future__ import annotations

import argparse
import resource
import time
from statistics import median

import numpy as np
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.composing.laying import Laid, lay
from fellfare.recipe.composing.question import SUMS, Composition, Limit, Part
from fellfare.recipe.composing.sweeping import compose

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


def plain_loop(laid: Laid, many: int) -> int:
    """A dish after another: add up, check, keep what is not beaten."""
    rows = [[tuple(row) for row in part.low.tolist()] for part in laid.parts]
    front: list[tuple[float, float]] = []
    total = laid.combinations
    step = max(1, total // many)
    for number in range(0, step * many, step):
        sums = [0.0] * len(SUMS)
        rest = number
        for part in rows:
            rest, at = divmod(rest, len(part))
            for column, value in enumerate(part[at]):
                sums[column] += value
        if sums[0] > 160 or sums[2] < 20 or sums[1] < 4.6 * sums[0]:
            continue
        point = (round(20 * sums[1] / sums[0]), round(sums[2]))
        if not any(a >= point[0] and b >= point[1] for a, b in front):
            front = [p for p in front if p[0] > point[0] or p[1] > point[1]] + [point]
    return len(front)


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--rounds", type=int, default=5)
    rounds = words.parse_args().rounds
    pantry = shipped_pantry()
    laid = lay(WIDE, pantry)
    many = 100_000
    sums: list[float] = []
    loop: list[float] = []
    wide: list[float] = []
    limited: list[float] = []
    for _ in range(rounds):
        for times, work in (
            (sums, lambda: weighted_sums(laid)),
            (wide, lambda: compose(WIDE, pantry)),
            (limited, lambda: compose(LIMITED, pantry)),
            (loop, lambda: plain_loop(laid, many)),
        ):
            began = time.process_time()
            work()
            times.append(time.process_time() - began)
    n = laid.combinations
    base, slow = median(sums) / n, median(loop) / many
    print(f"{n:,} combinations, {rounds} rounds, median of processor seconds")
    print(f"{'':28} {'M/s':>8} {'weighted sums':>14} {'x plain loop':>13}")
    for name, each in (
        ("one weighted sum (numpy)", base),
        ("composer, no limit", median(wide) / n),
        ("composer, four limits", median(limited) / n),
        ("plain Python loop", slow),
    ):
        print(f"{name:28} {1e-6 / each:8.2f} {each / base:14.2f} {slow / each:13.0f}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory of the process {peak:.0f} MB")


if __name__ == "__main__":
    main()
