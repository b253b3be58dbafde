"""Bounds, halves and tiles against one dish after another, added up in plain Python.

The plain loop shares the laid-out fillings with the composer and nothing else: limits,
pairings, unknown figures, steps, the front and the kinds are all written out again here.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.composing import rounds, tiles
from fellfare.recipe.composing.beating import beaters, unbeaten_by
from fellfare.recipe.composing.front import Front, unbeaten
from fellfare.recipe.composing.laying import Laid, lay
from fellfare.recipe.composing.question import (
    FIGURES,
    RATIOS,
    SUMS,
    Aim,
    Composition,
    Limit,
    Pairing,
    Part,
)
from fellfare.recipe.composing.scoring import Scoring
from fellfare.recipe.composing.sweeping import compose
from fellfare.recipe.composing.tables import KIND, NUMBER, Table, bounded
from fellfare.recipe.composing.taste import BIT

PANTRY = shipped_pantry()
FOODS = tuple(
    food.id for food in PANTRY if {"dry", "cold-soak", "hot-pour"} & set(food.ways)
)  # fmt: skip
#: Foods whose energy, protein or sodium nobody has told.
GAPS = tuple(
    name
    for name in FOODS
    if None in (PANTRY.food(name).per_100g.energy_kcal, PANTRY.food(name).per_100g.sodium_mg,
                PANTRY.food(name).per_100g.sugars_g)
)  # fmt: skip
Plain = tuple[int, list[int], list[int]]


def plain(asked: Composition) -> Plain:
    """How many fit; the numbers of the front; the numbers of the best of every kind."""
    laid = lay(asked, PANTRY)
    fitting = 0
    first: dict[tuple[float, ...], int] = {}
    best: dict[tuple[frozenset[str], ...], tuple[float, int]] = {}
    for number in range(laid.combinations):
        places = laid.places(number)
        if not fits(laid, places):
            continue
        fitting += 1
        point = tuple(steps(laid, places, aim) for aim in asked.aims)
        first.setdefault(point, number)
        kind = tuple(
            frozenset(p.food.id for p in laid.parts[at].fillings[places[at]])
            for at in asked.kind_parts
        )
        if kind not in best or point[0] > best[kind][0]:
            best[kind] = (point[0], number)
    front = [
        number
        for point, number in first.items()
        if not any(q != point and all(a >= b for a, b in zip(q, point, strict=True)) for q in first)
    ]
    return fitting, sorted(front), sorted(number for _, number in best.values())


def total(laid: Laid, places: Sequence[int], name: str, *, low: bool) -> float:
    column = SUMS.index(name)
    tables = [part.low if low else part.high for part in laid.parts]
    return sum(float(t[at, column]) for t, at in zip(tables, places, strict=True))


def fits(laid: Laid, places: Sequence[int]) -> bool:
    asked = laid.asked
    pairs = list(zip(laid.parts, places, strict=True))
    foods = {portion.food.id for part, at in pairs for portion in part.fillings[at]}
    for pair in asked.pairings:
        if pair.food in foods:
            if pair.only_with and not foods & set(pair.only_with):
                return False
            if foods & set(pair.never_with):
                return False
    tastes = 0
    for part, at in pairs:
        tastes |= int(part.tastes[at])
    if any(not tastes & BIT[name] for name in asked.tastes):
        return False
    for limit in asked.limits:
        least, most = limit.least, limit.most
        if limit.figure == "minutes":
            assert most is not None
            if max(float(part.minutes[at]) for part, at in pairs) > most:
                return False
            continue
        if limit.figure in RATIOS:
            above, below, per = RATIOS[limit.figure]
            for end, sign in ((least, 1.0), (most, -1.0)):
                if end is None:
                    continue
                # an unknown never helps: low above and high below for a floor, and the other way
                top = per * total(laid, places, above, low=sign > 0)
                bottom = total(laid, places, below, low=sign < 0)
                if not math.isfinite(top) or not math.isfinite(bottom):
                    return False
                if sign * (top - end * bottom) < -1e-9:
                    return False
            continue
        if least is not None and (
            total(laid, places, limit.figure, low=True) < least - 1e-9 * max(1, abs(least))
        ):
            return False
        if most is not None and (
            total(laid, places, limit.figure, low=False) > most + 1e-9 * max(1, abs(most))
        ):
            return False
    return True


def steps(laid: Laid, places: Sequence[int], aim: Aim) -> float:
    more = aim.better == "more"
    pairs = list(zip(laid.parts, places, strict=True))
    if aim.figure == "tastes":
        tastes = 0
        for part, at in pairs:
            tastes |= int(part.tastes[at])
        value = float(tastes.bit_count())
    elif aim.figure == "minutes":
        waits = [float(part.minutes[at]) for part, at in pairs]
        value = max(0.0 if more and math.isinf(wait) else wait for wait in waits)
    elif aim.figure in RATIOS:
        above, below, per = RATIOS[aim.figure]
        top = total(laid, places, above, low=more)
        bottom = total(laid, places, below, low=not more)
        if math.isinf(bottom):
            value = 0.0 if more or math.isfinite(top) else math.inf
        elif bottom > 0:
            value = top * (per / bottom)
        else:
            value = math.inf if top > 0 or not more else 0.0
    else:
        value = total(laid, places, aim.figure, low=more)
    value = value if more else -value
    if math.isinf(value):
        return value
    return math.floor(value / aim.grain + 1e-9) if aim.grain else value


def names(many: int) -> st.SearchStrategy[list[str]]:
    food = st.one_of(st.sampled_from(FOODS), st.sampled_from(GAPS))
    return st.lists(food, min_size=1, max_size=many, unique=True)


@st.composite
def parts(draw: st.DrawFn, at: int) -> Part:
    foods = draw(names(3))
    amounts = draw(
        st.lists(
            st.integers(1, 12).map(lambda n: f"{5 * n} g"), min_size=1, max_size=3, unique=True
        )
    )
    return Part(
        name=f"part {at}",
        foods=tuple(foods),
        amounts=tuple(amounts),
        picks=draw(st.integers(1, min(2, len(foods)))),
        optional=draw(st.booleans()),
    )


@st.composite
def compositions(draw: st.DrawFn) -> Composition:
    some = tuple(draw(parts(at)) for at in range(draw(st.integers(1, 4))))
    foods = sorted({food for part in some for food in part.foods})
    figures = st.sampled_from(FIGURES)
    aims = draw(
        st.lists(
            st.builds(
                Aim,
                figure=figures,
                better=st.sampled_from(["more", "less"]),
                step=st.sampled_from([None, None, 5.0]),
            ),
            min_size=1,
            max_size=4,
            unique_by=lambda aim: aim.figure,
        )
    )
    limits = [
        Limit(figure=figure, least=least, most=most)
        for figure, least, most in draw(
            st.lists(
                st.sampled_from(
                    [
                        ("mass_g", None, 150.0), ("mass_g", 60.0, 110.0),
                        ("energy_kcal_per_100g", 380.0, None), ("protein_g", 8.0, None),
                        ("sodium_mg", None, 900.0), ("minutes", None, 10.0),
                        ("sodium_mg_per_1000_kcal", 100.0, 2500.0), ("cost", None, 1.0),
                        ("fibre_g_per_1000_kcal", 10.0, None), ("water_add_ml", None, 200.0),
                    ]
                ),
                max_size=3,
                unique=True,
            )
        )
    ]  # fmt: skip
    pairings = draw(
        st.lists(
            st.builds(
                Pairing,
                food=st.sampled_from(foods),
                only_with=st.lists(st.sampled_from(foods), max_size=2).map(tuple),
                never_with=st.lists(st.sampled_from(foods), max_size=1).map(tuple),
            ),
            max_size=2,
        )
    )
    return Composition(
        title="x",
        way="hot-pour",
        parts=some,
        aims=tuple(aims),
        limits=tuple(limits),
        pairings=tuple(pairings),
        tastes=tuple(draw(st.lists(st.sampled_from(["sour", "rich"]), max_size=1))),
        price_per_kg=tuple((food, 3.0 + len(food)) for food in foods[1:]),
    )


@settings(max_examples=120, deadline=None)
@given(compositions(), st.sampled_from([1, 7, 40, 1 << 16]), st.booleans())
def test_bounds_change_nothing(asked: Composition, block: int, bounds: bool) -> None:
    laid = lay(asked, PANTRY)
    if laid.combinations > 3000:
        asked = replace(asked, parts=asked.parts[:2], pairings=())
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rounds, "BLOCK", block)
        patch.setattr(rounds, "MOST_BLOCK", block)
        patch.setattr(rounds, "CHUNK", 500)
        patch.setattr(rounds, "AT_ONCE", 50)
        patch.setattr(rounds, "SEEDS", 1)
        patch.setattr(tiles, "SIZES", (9, 3))
        found = compose(asked, PANTRY, bounds=bounds)
    fitting, front, kinds = plain(asked)
    assert found.fitting == fitting
    assert sorted(dish.number for dish in found.dishes) == front
    assert sorted(dish.number for dish in found.kinds) == kinds
    assert found.seen == found.combinations


ends = st.sampled_from([0.0, 0.5, 1.0, 3.0, 7.25, 40.0, math.inf])
rows = st.lists(st.tuples(ends, ends, st.integers(0, 255)), min_size=1, max_size=6)


@settings(max_examples=300)
@given(
    rows,
    rows,
    st.sampled_from([name for name in FIGURES if name not in SUMS[2:]]),
    st.sampled_from(["more", "less"]),
    st.floats(0, 2000),
    st.sampled_from([0.0, 0.3, 5.0]),
)
def test_no_dish_is_better_than_its_tile(
    inner: list[tuple[float, float, int]],
    outer: list[tuple[float, float, int]],
    figure: str,
    better: Literal["more", "less"],
    near: float,
    step: float,
) -> None:
    scoring = Scoring((Aim(figure=figure, better=better, step=step),))

    def table(rows: list[tuple[float, float, int]]) -> Table:
        made: Table = {NUMBER: np.arange(len(rows)), KIND: np.zeros(len(rows), dtype=np.int64)}
        for place, (end, name) in enumerate(scoring.wanted()):
            if name == "tastes":
                made[end, name] = np.array([row[2] for row in rows], dtype=np.uint8)
            else:  # what is at least there is always a number
                known = [row[place] for row in rows]
                made[end, name] = np.nan_to_num(known, posinf=0.0 if end == "low" else np.inf)
        return made

    dishes, beside = table(inner), table(outer)
    scoring.aim_at([dishes, beside], near=near)
    tile = bounded(dishes, np.zeros(1, dtype=np.int64))
    at, by = (grid.reshape(-1) for grid in np.indices((len(inner), len(outer))))
    points = scoring.points(dishes, at, beside, by, tiles=False)
    bounds = scoring.points(tile, np.zeros_like(at), beside, by, tiles=True)
    assert (bounds >= points).all()
    # and of a single dish the bound is no wider than a step
    alone = scoring.points(bounded(dishes, np.arange(len(inner))), at, beside, by, tiles=True)
    assert (alone <= points + max(1.0, 1e-6 * float(np.abs(points).max()))).all()


@given(
    st.lists(st.tuples(*[st.integers(0, 4)] * 3), min_size=1, max_size=150),
    st.lists(st.tuples(st.tuples(*[st.integers(0, 4)] * 3), st.integers(0, 99)), min_size=1),
)
def test_asking_all_at_once_is_asking_each(
    those: list[tuple[int, ...]], asked: list[tuple[tuple[int, ...], int]]
) -> None:
    held, numbers = unbeaten(
        np.array(those, dtype=np.float64), (np.arange(len(those), dtype=np.int64) * 37) % 151
    )
    points = np.array([point for point, _ in asked], dtype=np.float64).T
    mine = np.array([number for _, number in asked], dtype=np.int64)
    kept = [
        at
        for at, (point, number) in enumerate(asked)
        if not any(
            all(a >= b for a, b in zip(p, point, strict=True))
            and (tuple(p) != point or n <= number)
            for p, n in zip(held.tolist(), numbers.tolist(), strict=True)
        )
    ]
    assert unbeaten_by(beaters(held.T, numbers), points, mine).tolist() == kept
    front = Front(3)
    front.points, front.numbers = held, numbers
    assert front.unmet(points, mine).tolist() == kept


def test_most_dishes_are_ruled_out_and_none_is_missed() -> None:
    grams = tuple(f"{g} g" for g in range(5, 65, 5))
    asked = Composition(
        title="x",
        parts=(
            Part(name="starch", foods=("couscous", "rice-noodles"), amounts=grams),
            Part(name="sauce", foods=("tomato-powder", "miso-powder"), amounts=grams),
            Part(name="fat", foods=("olive-oil",), amounts=grams),
            Part(name="nuts", foods=("cashew-roasted",), amounts=grams, optional=True),
        ),
    )
    found, every = compose(asked, PANTRY), compose(asked, PANTRY, bounds=False)
    assert every.scored == every.combinations == 24 * 24 * 12 * 13
    assert found.scored < every.scored / 4
    assert found.dishes == every.dishes
    assert found.kinds == every.kinds


def test_many_limits_in_many_orders_of_the_parts_count_the_same() -> None:
    amounts = ("10 g", "30 g", "50 g")
    some = [
        Part(name=food, foods=(food, "couscous"), amounts=amounts)
        for food in ("rice-noodles", "olive-oil", "cashew-roasted", "chicken-freeze-dried")
    ]
    limits = (
        Limit(figure="mass_g", least=80.0, most=140.0),
        Limit(figure="energy_kcal_per_100g", least=420.0),
        Limit(figure="protein_g", least=10.0, most=30.0),
        Limit(figure="sodium_mg_per_1000_kcal", most=1500.0),
    )
    counts = {
        compose(Composition(title="x", parts=tuple(order), limits=limits), PANTRY).fitting
        for order in itertools.permutations(some)
    }
    assert len(counts) == 1
    assert counts.pop() > 0
