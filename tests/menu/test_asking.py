"""A question that cannot be answered as it stands is refused at once, in words that help."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from fellfare.menu.asking import checked
from fellfare.menu.pool import (
    Ban,
    Band,
    BoxCap,
    Budget,
    Dish,
    Leg,
    Litres,
    LoadCap,
    Lock,
    Often,
    Pack,
    Question,
    Repeat,
    Slot,
    Walker,
    Weights,
)
from fellfare.mistake import Mistake

NAN, INF = float("nan"), float("inf")
STEW = Dish(
    id="stew", title="Stew", meals=("supper",), mass_g=150.0, energy_kcal=600.0, protein_g=30.0
)
SUPPER = Slot(day=1, time="supper", meal="supper", walkers=("Ana", "Ben"), shared=True)


def asked(**changes: object) -> Question:
    plain = Question(
        days=2,
        dishes=(STEW, replace(STEW, id="curry", title="Curry")),
        walkers=(Walker(id="Ana"), Walker(id="Ben")),
        slots=(SUPPER, replace(SUPPER, day=2)),
    )
    return replace(plain, **changes)


def stew(**changes: object) -> Question:
    return asked(dishes=(replace(STEW, **changes),))


def slot(**changes: object) -> Question:
    return asked(slots=(replace(SUPPER, **changes),))


def band(**changes: object) -> Question:
    plain = Band(wish="protein", walker="Ana", nutrient="protein_g", low=20.0)
    return asked(bands=(replace(plain, **changes),))


def refused(question: Question) -> Mistake:
    with pytest.raises(Mistake) as caught:
        checked(question)
    assert caught.value.what
    assert caught.value.mend
    return caught.value


def test_a_plain_question_is_let_through_unchanged() -> None:
    question = asked()
    assert checked(question) is question


@pytest.mark.parametrize(
    "question",
    [
        asked(days=0),
        asked(slots=()),
        asked(walkers=()),
        slot(walkers=()),
    ],
)
def test_a_menu_needs_a_day_a_walker_and_an_eating_time(question: Question) -> None:
    assert refused(question).code == "menu-empty"


def test_a_menu_without_dishes_is_a_question_all_the_same() -> None:
    # It has an answer: none, and why (see test_impossible).
    assert checked(asked(dishes=()))


@pytest.mark.parametrize(
    "question",
    [
        asked(dishes=(STEW, STEW)),
        asked(walkers=(Walker(id="Ana"), Walker(id="Ben"), Walker(id="Ana"))),
        asked(slots=(SUPPER, SUPPER)),
        asked(
            legs=(Leg(name="a", first_day=1, last_day=1), Leg(name="a", first_day=2, last_day=2))
        ),
        asked(packs=(Pack(food="oats", size_g=500.0, price=1.0),) * 2),
        slot(walkers=("Ana", "Ana")),
    ],
)
def test_names_stand_once(question: Question) -> None:
    assert refused(question).code == "menu-name-twice"


@pytest.mark.parametrize(
    "question",
    [
        band(walker="Zoe"),
        slot(walkers=("Ana", "Zoe")),
        asked(oftens=(Often(wish="w", dishes=("cake",), least=1),)),
        asked(oftens=(Often(wish="w", dishes=("stew",), least=1, walker="Zoe"),)),
        asked(locks=(Lock(day=1, time="supper", dish="cake"),)),
        asked(locks=(Lock(day=1, time="supper", dish="stew", walker="Zoe"),)),
        asked(bans=(Ban(dish="stew", walker="Zoe"),)),
        asked(litres=(Litres(wish="w", litres=5.0, walkers=("Zoe",)),)),
        asked(load_caps=(LoadCap(wish="w", walker="Zoe", most_g=5000.0),)),
        asked(box_caps=(BoxCap(wish="w", leg="hut", most_g=5000.0),)),
        replace(stew(foods=(("oats", 50.0),)), budget=Budget(wish="w", most=50.0)),
        replace(stew(foods=(("oats", 50.0),)), weights=Weights(cost_g=1.0)),
    ],
)
def test_a_name_that_is_not_there_is_told(question: Question) -> None:
    mistake = refused(question)
    assert mistake.code == "menu-unknown-name"
    assert mistake.where


def test_foods_need_no_packs_where_nobody_asks_about_money() -> None:
    assert checked(stew(foods=(("oats", 50.0),)))


DISH_FIGURES = (
    "mass_g", "energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sodium_mg",
    "water_ml", "fuel_g", "volume_ml", "pot_ml", "cost",
)  # fmt: skip


@pytest.mark.parametrize("name", [*DISH_FIGURES, "liking"])
@pytest.mark.parametrize("figure", [NAN, INF])
def test_a_dish_has_no_endless_figure(name: str, figure: float) -> None:
    mistake = refused(stew(**{name: figure}))
    assert mistake.code == "menu-not-a-number"
    assert "stew" in mistake.where


@pytest.mark.parametrize("name", DISH_FIGURES)
def test_a_dish_has_no_figure_below_zero(name: str) -> None:
    mistake = refused(stew(**{name: -0.5}))
    assert mistake.code == "menu-below-zero"
    assert name in mistake.what


def test_liking_may_be_below_zero_and_a_figure_unknown() -> None:
    assert checked(stew(liking=-3.0, protein_g=None, volume_ml=None, keeps_days=None, cost=None))


@pytest.mark.parametrize(
    ("grams", "code"),
    [(NAN, "menu-not-a-number"), (INF, "menu-not-a-number"), (-1.0, "menu-below-zero")],
)
def test_grams_of_a_food_are_looked_at_too(grams: float, code: str) -> None:
    assert refused(stew(foods=(("oats", grams),))).code == code


@pytest.mark.parametrize(
    "question",
    [
        band(low=NAN),
        band(low=INF),
        band(high=NAN),
        asked(budget=Budget(wish="w", most=NAN)),
        asked(litres=(Litres(wish="w", litres=NAN),)),
        asked(load_caps=(LoadCap(wish="w", walker="Ana", most_g=NAN),)),
        asked(weights=Weights(mass=NAN)),
        asked(weights=Weights(mass=INF)),
        asked(weights=Weights(liking_g=INF)),
        asked(weights=Weights(day=(NAN, 1.0))),
        asked(weights=Weights(day=(INF, 1.0))),
        asked(legs=(Leg(name="a", first_day=1, last_day=2, fee=INF),)),
        asked(packs=(Pack(food="oats", size_g=INF, price=1.0),)),
        asked(packs=(Pack(food="oats", size_g=500.0, price=INF),)),
        asked(walkers=(Walker(id="Ana", load_kcal_per_kg=INF), Walker(id="Ben"))),
        slot(carried_share=NAN),
        slot(water_g_per_ml=INF),
        slot(pot_ml=NAN),
        stew(keeps_days=NAN),
    ],
)
def test_limits_prices_and_weights_are_numbers(question: Question) -> None:
    assert refused(question).code == "menu-not-a-number"


@pytest.mark.parametrize(
    "question",
    [
        band(low=None, high=INF),
        asked(budget=Budget(wish="w", most=INF)),
        asked(load_caps=(LoadCap(wish="w", walker="Ana", most_g=INF),)),
        stew(keeps_days=INF),
    ],
)
def test_no_limit_may_be_told_as_endless(question: Question) -> None:
    assert checked(question)


@pytest.mark.parametrize(
    "question",
    [
        band(low=-1.0),
        band(low=-INF),
        asked(budget=Budget(wish="w", most=-1.0)),
        asked(weights=Weights(mass=-1.0)),
        asked(weights=Weights(day=(-1.0, 1.0))),
        asked(packs=(Pack(food="oats", size_g=500.0, price=-1.0),)),
        asked(walkers=(Walker(id="Ana", load_kcal_per_kg=-1.0), Walker(id="Ben"))),
        asked(oftens=(Often(wish="w", dishes=("stew",), least=-1),)),
        stew(keeps_days=-1.0),
        slot(pot_ml=-1.0),
    ],
)
def test_nothing_else_is_below_zero(question: Question) -> None:
    assert refused(question).code == "menu-below-zero"


@pytest.mark.parametrize(
    "question",
    [
        slot(carried_share=1.5),
        band(low=2.0, share=True),
        band(low=None, high=1.2, share=True),
        band(nutrient="sodium_mg", low=0.2, share=True),
        band(low=0.2, share=True, whole=True),
        asked(litres=(Litres(wish="w", litres=9.0, rubbish_share=1.1),)),
        asked(walkers=(Walker(id="Ana", common_share=1.1), Walker(id="Ben"))),
    ],
)
def test_a_share_is_a_part_of_the_whole(question: Question) -> None:
    assert refused(question).code == "menu-share"


def test_a_floor_is_not_above_its_ceiling() -> None:
    mistake = refused(band(low=30.0, high=20.0))
    assert mistake.code == "menu-floor-above-ceiling"
    assert "30" in mistake.what
    assert "protein" in mistake.where
    assert checked(band(low=20.0, high=20.0))


@pytest.mark.parametrize(
    "question",
    [
        slot(day=0),
        slot(day=3),
        band(days=(3,)),
        band(days=(0, 1)),
        asked(load_caps=(LoadCap(wish="w", walker="Ana", most_g=900.0, days=(0,)),)),
        asked(load_caps=(LoadCap(wish="w", walker="Ana", most_g=900.0, days=(3,)),)),
        asked(litres=(Litres(wish="w", litres=9.0, days=(3,)),)),
    ],
)
def test_a_day_is_one_of_the_walk(question: Question) -> None:
    assert refused(question).code == "menu-day"


def test_the_night_before_the_walk_may_be_asked_about() -> None:
    assert checked(asked(litres=(Litres(wish="w", litres=9.0, days=(0, 1, 2)),)))


@pytest.mark.parametrize(
    "question",
    [slot(least=2, most=1), slot(least=0, most=0), slot(least=-1), slot(twice=0)],
)
def test_how_many_dishes_makes_sense(question: Question) -> None:
    assert refused(question).code in ("menu-picks", "menu-below-zero")


@pytest.mark.parametrize(
    "legs",
    [
        (Leg(name="a", first_day=1, last_day=1),),
        (Leg(name="a", first_day=2, last_day=2),),
        (Leg(name="a", first_day=2, last_day=1),),
        (Leg(name="a", first_day=1, last_day=2), Leg(name="b", first_day=2, last_day=2)),
        (Leg(name="b", first_day=2, last_day=2), Leg(name="a", first_day=1, last_day=1)),
        (Leg(name="a", first_day=1, last_day=30_000_000),),
    ],
)
def test_legs_cover_every_day_once_in_order(legs: tuple[Leg, ...]) -> None:
    assert refused(asked(legs=legs)).code == "menu-legs"


@pytest.mark.parametrize(("steps", "least", "most"), [(0, 1, 1), (4, 0, 4), (4, 5, 4), (-4, 1, 1)])
def test_portions_have_steps(steps: int, least: int, most: int) -> None:
    question = stew(steps_per_serving=steps, least_steps=least, most_steps=most)
    assert refused(question).code in ("portion-steps", "menu-below-zero")


def test_the_rest() -> None:
    assert refused(asked(weights=Weights(day=(1.0,)))).code == "menu-weights"
    assert refused(asked(packs=(Pack(food="oats", size_g=0.0, price=1.0),))).code == "pack-size"
    for within, most in ((0, 1), (2, 0)):
        repeat = Repeat(wish="w", key="dish", within_days=within, most=most)
        assert refused(asked(repeats=(repeat,))).code == "menu-repeat"


def test_a_walk_without_end_is_too_large() -> None:
    assert refused(asked(days=1_000_000_000)).code == "menu-too-large"


def test_too_many_choices_are_refused_before_they_are_tried() -> None:
    many = tuple(replace(STEW, id=str(at)) for at in range(10_000))
    slots = tuple(replace(SUPPER, day=1, time=str(at), shared=False) for at in range(50_001))
    mistake = refused(asked(dishes=many, slots=slots))
    assert mistake.code == "menu-too-large"
    assert "split" in mistake.mend
