"""The composer against a plain loop over every combination."""

from __future__ import annotations

import itertools
import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.recipe.composing.differing import distances, most_different
from fellfare.recipe.composing.front import Front, unbeaten
from fellfare.recipe.composing.laying import lay
from fellfare.recipe.composing.question import (
    SUMS,
    Aim,
    Composition,
    Limit,
    Pairing,
    Part,
)
from fellfare.recipe.composing.sweeping import Dish, Progress, compose, dish_of
from fellfare.recipe.composing.written import recipe_of
from fellfare.recipe.sheet import make_sheet

PANTRY = shipped_pantry()
POT = Composition(
    title="Pot",
    way="hot-pour",
    parts=(
        Part(name="starch", foods=("couscous", "rice-noodles", "potato-flakes"),
             amounts=("60 g", "90 g")),
        Part(name="sauce", foods=("tomato-powder", "coconut-milk-powder", "miso-powder"),
             amounts=("10 g", "20 g")),
        Part(name="fat", foods=("olive-oil", "sesame-oil"), amounts=("5 g", "20 g"),
             at_the_end=True),
        Part(name="spice", foods=("curry-powder", "smoked-paprika", "citric-acid"),
             amounts=("1 g", "2 g"), picks=2),
        Part(name="finish", foods=("cashew-roasted", "croutons"), amounts=("10 g", "20 g"),
             at_the_end=True, optional=True),
    ),
    pairings=(Pairing(food="coconut-milk-powder", only_with=("curry-powder",)),
              Pairing(food="miso-powder", never_with=("smoked-paprika",))),
    limits=(Limit(figure="energy_kcal_per_100g", least=430.0),
            Limit(figure="mass_g", most=150.0), Limit(figure="sodium_mg", most=1500.0),
            Limit(figure="minutes", most=12.0)),
)  # fmt: skip


@cache
def loop(asked: Composition) -> list[Dish]:
    """Every dish that keeps everything, one after another, from the dishes' own figures."""
    laid = lay(asked, PANTRY)
    kept = []
    for number in range(laid.combinations):
        dish = dish_of(laid, number)
        foods = {portion.food.id for filling in dish.fillings for portion in filling}
        good = all(
            (not pair.only_with or pair.food not in foods or foods & set(pair.only_with))
            and not (pair.food in foods and foods & set(pair.never_with))
            for pair in asked.pairings
        )
        for limit in asked.limits:
            value = dish.figure(limit.figure)
            if value is None:  # an unknown figure is nothing for a floor, too much for a ceiling
                good = False
                continue
            good &= limit.least is None or value >= limit.least * (1 - 1e-9)
            good &= limit.most is None or value <= limit.most * (1 + 1e-9)
        if good:
            kept.append(dish)
    return kept


def steps(dish: Dish, aims: tuple[Aim, ...]) -> tuple[float, ...]:
    out = []
    for aim in aims:
        value = dish.figure(aim.figure)
        assert value is not None
        out.append(math.floor((value if aim.better == "more" else -value) / aim.grain + 1e-9))
    return tuple(out)


def test_the_front_is_that_of_a_plain_loop() -> None:
    found = compose(POT, PANTRY)
    kept = loop(POT)
    assert found.combinations == 6 * 6 * 4 * 12 * 5 == found.seen
    assert found.fitting == len(kept) > 30
    points = {steps(dish, POT.aims) for dish in kept}
    unbeaten_points = {
        p
        for p in points
        if not any(q != p and all(a >= b for a, b in zip(q, p, strict=True)) for q in points)
    }
    assert {steps(dish, POT.aims) for dish in found.dishes} == unbeaten_points
    assert len(found.dishes) == len(unbeaten_points)


def test_the_best_of_every_kind_is_that_of_a_plain_loop() -> None:
    found = compose(POT, PANTRY)
    best: dict[tuple[str, ...], float] = {}
    for dish in loop(POT):
        kind = tuple(dish.fillings[at][0].food.id for at in (0, 1))
        best[kind] = max(best.get(kind, -1.0), steps(dish, POT.aims)[0])
    assert {
        tuple(d.fillings[at][0].food.id for at in (0, 1)): steps(d, POT.aims)[0]
        for d in found.kinds
    } == best


@settings(max_examples=8, deadline=None)
@given(
    least=st.sampled_from([None, 400.0, 450.0, 500.0]),
    protein=st.sampled_from([None, 8.0, 12.0]),
    minutes=st.sampled_from([None, 5.0, 10.0]),
    per_1000=st.sampled_from([None, 900.0, 2500.0]),
    order=st.permutations(range(5)),
    tastes=st.sampled_from([(), ("sour",), ("crisp", "sour")]),
)
def test_any_limits_in_any_order_of_parts(
    least: float | None,
    protein: float | None,
    minutes: float | None,
    per_1000: float | None,
    order: list[int],
    tastes: tuple[str, ...],
) -> None:
    limits = [
        Limit(figure="energy_kcal_per_100g", least=least),
        Limit(figure="protein_g", least=protein),
        Limit(figure="minutes", most=minutes),
        Limit(figure="sodium_mg_per_1000_kcal", most=per_1000),
    ]
    asked = replace(
        POT,
        parts=tuple(POT.parts[at] for at in order),
        limits=tuple(limit for limit in limits if limit.least or limit.most),
        tastes=tastes,
    )
    found = compose(asked, PANTRY)
    kept = [
        dish
        for dish in loop(asked)
        if set(tastes) <= {t for t in ("sour", "crisp") if dish.tastes & _BIT[t]}
    ]
    assert found.fitting == len(kept)


_BIT = {"sour": 1, "crisp": 64}


def test_a_small_block_and_a_large_one_find_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    from fellfare.recipe.composing import rounds

    whole = compose(POT, PANTRY)
    monkeypatch.setattr(rounds, "BLOCK", 40)
    monkeypatch.setattr(rounds, "MOST_BLOCK", 40)
    parts = compose(POT, PANTRY)
    assert parts.fitting == whole.fitting
    assert [dish.number for dish in parts.dishes] == [dish.number for dish in whole.dishes]


def test_it_stops_when_told_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    from fellfare.recipe.composing import rounds

    monkeypatch.setattr(rounds, "BLOCK", 40)
    monkeypatch.setattr(rounds, "MOST_BLOCK", 40)
    monkeypatch.setattr(rounds, "CHUNK", 400)
    heard: list[Progress] = []

    def stop(progress: Progress) -> bool:
        heard.append(progress)
        return True

    found = compose(POT, PANTRY, stop)
    assert found.stopped
    assert found.seen == heard[0].seen < found.combinations


def test_an_unknown_figure_never_helps() -> None:
    unknown = next(
        food.id
        for food in PANTRY
        if food.per_100g.sodium_mg is None and food.per_100g.energy_kcal and "dry" in food.ways
    )
    asked = Composition(
        title="x",
        way="hot-pour",
        parts=(Part(name="one", foods=(unknown, "couscous"), amounts=("50 g",)),),
        limits=(Limit(figure="sodium_mg", most=5000.0),),
        aims=(Aim(figure="sodium_mg", better="less"), Aim(figure="energy_kcal", better="more")),
    )
    found = compose(asked, PANTRY)
    assert [dish.fillings[0][0].food.id for dish in found.dishes] == ["couscous"]
    free = compose(replace(asked, limits=(), kind=("one",)), PANTRY)
    assert {dish.figure("sodium_mg") for dish in free.kinds} > {None}


def test_allergens_leave_out_doubtful_foods_too_and_say_so() -> None:
    found = compose(replace(POT, avoid=("tree-nut",), limits=()), PANTRY)
    eaten = {p.food.id for dish in found.dishes for filling in dish.fillings for p in filling}
    assert "cashew-roasted" not in eaten
    assert any("cashew" in finding.text for finding in found.findings)


def test_a_dish_becomes_a_recipe_with_the_same_figures() -> None:
    found = compose(POT, PANTRY)
    for number, dish in enumerate(found.dishes[:5], 1):
        sheet = make_sheet(recipe_of(dish, POT, number), PANTRY)
        mass = dish.figure("mass_g")
        assert mass is not None
        assert sheet.mass.value == pytest.approx(mass, abs=1e-6)
        # what goes in at the end as it is takes no water; the sheet rounds its own to 5 mL
        assert sheet.water_add_ml.unknown == ()
        assert sheet.water_add_ml.value == pytest.approx(dish.figure("water_add_ml"), abs=5.0)
        for name in ("energy_kcal", "protein_g", "sodium_mg"):
            assert sheet.total(name).whole == pytest.approx(dish.figure(name), abs=1e-6)
        assert dish.figure("energy_kcal_per_100g") == pytest.approx(sheet.energy_kcal_per_100g)


@given(
    st.lists(st.tuples(*[st.integers(0, 6)] * 3), min_size=1, max_size=60),
    st.integers(1, 20),
)
def test_a_front_in_pieces_is_the_front(points: list[tuple[int, ...]], size: int) -> None:
    table = np.array(points, dtype=np.float64)
    front = Front(3)
    for first in range(0, len(points), size):
        part = table[first : first + size]
        front.add(
            np.ascontiguousarray(part.T), np.arange(first, first + part.shape[0], dtype=np.int64)
        )
    # each point of the front once, with the first dish that has it in its block
    best = {p for p in points if not any(q != p and all(np.array(q) >= p) for q in points)}
    assert {tuple(int(x) for x in row) for row in front.points} == best
    assert len(front) == len(best)
    rows, _ = unbeaten(table, np.arange(len(points), dtype=np.int64))
    assert {tuple(int(x) for x in row) for row in rows} == best


def test_those_that_differ_most_reach_half_of_the_best() -> None:
    # Gonzalez (1985), Theoretical Computer Science 38: farthest-first is a 2-approximation.
    found = compose(POT, PANTRY)
    pool = (*found.dishes, *found.kinds)[:14]
    chosen = most_different(pool, 4)

    def least_distance(some: tuple[Dish, ...]) -> float:
        return min(float(distances([a], b)[0]) for a, b in itertools.combinations(some, 2))

    best = max(least_distance(some) for some in itertools.combinations(pool, 4))
    assert least_distance(chosen) >= best / 2
    assert chosen[0] is pool[0]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"parts": ()}, "composition-empty"),
        ({"parts": (POT.parts[0], POT.parts[0])}, "part-twice"),
        ({"parts": (replace(POT.parts[0], picks=9),)}, "part-picks"),
        ({"parts": (replace(POT.parts[0], picks=4),)}, "part-picks"),
        ({"parts": (replace(POT.parts[0], foods=("moon-dust",)),)}, "unknown-food"),
        ({"parts": (replace(POT.parts[0], amounts=("to taste",)),)}, "amount-not-understood"),
        ({"limits": (Limit(figure="joy", least=1.0),)}, "figure-unknown"),
        ({"limits": (Limit(figure="mass_g", least=2.0, most=1.0),)}, "limit-not-understood"),
        ({"limits": (Limit(figure="mass_g", least=math.nan),)}, "limit-not-understood"),
        ({"limits": (Limit(figure="tastes", least=3.0),)}, "limit-not-understood"),
        ({"aims": ()}, "aim-not-understood"),
        ({"aims": (Aim(figure="mass_g", better="less", step=-1.0),)}, "aim-not-understood"),
        ({"tastes": ("blue",)}, "taste-unknown"),
        ({"kind": ("roof",)}, "part-unknown"),
        ({"avoid": ("gravity",)}, "unknown-allergen"),
        ({"price_per_kg": (("couscous", -1.0),)}, "price-out-of-range"),
        ({"avoid": ("wheat",), "parts": (replace(POT.parts[0], foods=("couscous",)),)},
         "part-without-food"),
    ],
)  # fmt: skip
def test_what_cannot_be_composed_is_told(change: dict[str, object], code: str) -> None:
    with pytest.raises(Mistake, match=code):
        compose(replace(POT, **change), PANTRY)


def test_more_fillings_than_memory_are_refused() -> None:
    big = Part(name="big", foods=tuple(f.id for f in PANTRY if "dry" in f.ways)[:60],
               amounts=tuple(f"{n} g" for n in range(1, 21)), picks=3)  # fmt: skip
    with pytest.raises(Mistake, match="composition-too-large"):
        compose(Composition(title="x", parts=(big,)), PANTRY)


def test_all_sums_are_figures_of_a_dish() -> None:
    dish = compose(POT, PANTRY).dishes[0]
    assert tuple(name for name, _ in dish.figures) == SUMS
    assert dish.figure("cost") is None  # no price was given
    priced = replace(
        POT, price_per_kg=tuple((f, 4.0) for part in POT.parts for f in part.foods), limits=()
    )
    dish = compose(priced, PANTRY).dishes[0]
    assert dish.figure("cost") == pytest.approx(4.0 * (dish.figure("mass_g") or 0) / 1000)
