"""Questions that are odd, large or contradict themselves: an answer or a clear refusal, soon.

The sizes here are small enough for a test; 10 000 dishes, 100 days and 60 people are
tried by hand (see the bench).
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from tests.menu.making import walk_question

from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible.why import why_impossible
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import (
    Avoid,
    Ban,
    Band,
    BoxCap,
    Budget,
    Dish,
    Leg,
    Litres,
    Lock,
    Question,
    Repeat,
    Slot,
    Walker,
)
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake

SOON = Trying(gap=0.1, seconds=20.0)
STEW = Dish(
    id="stew", title="Stew", meals=("supper",), mass_g=150.0, energy_kcal=600.0, protein_g=30.0,
    steps_per_serving=4, least_steps=2, most_steps=8,
)  # fmt: skip


def question(dishes: tuple[Dish, ...] = (STEW,), days: int = 2, **changes: object) -> Question:
    plain = Question(
        days=days,
        dishes=dishes,
        walkers=(Walker(id="Ana"),),
        slots=tuple(
            Slot(day=day, time="supper", meal="supper", walkers=("Ana",))
            for day in range(1, days + 1)
        ),
        bands=(Band(wish="energy", walker="Ana", nutrient="energy_kcal", low=700.0),),
    )
    return replace(plain, **changes)


def answered(asked: Question) -> float:
    """The mass of a menu that keeps every rule."""
    menu = plan_menu(asked, SOON)
    assert menu.plates
    assert broken_rules(asked, menu.plates) == ()
    assert menu.mass_g is not None
    return menu.mass_g


def proven_none(asked: Question) -> tuple[tuple[str, ...], ...]:
    """No menu, proven both ways; what clashes."""
    menu = plan_menu(asked, SOON)
    assert menu.verdict == "impossible"
    assert menu.plates == ()
    why = why_impossible(asked, SOON)
    assert why.proven
    return why.clashes


# -- contradictions ------------------------------------------------------------------------


def test_two_wishes_that_contradict_each_other() -> None:
    low = Band(wish="hunger", walker="Ana", nutrient="energy_kcal", low=900.0)
    high = Band(wish="diet", walker="Ana", nutrient="energy_kcal", high=800.0)
    assert proven_none(question(bands=(low, high))) == (
        (
            "hunger: Ana, at least 900 kcal energy a day",
            "diet: Ana, at most 800 kcal energy a day",
        ),
    )


def test_a_load_that_eats_more_than_it_feeds() -> None:
    # Each further gram of food asks for more than it gives: no portion is ever enough.
    slots = tuple(replace(slot, carried_share=1.0) for slot in question().slots)
    hungry = (Walker(id="Ana", load_kcal_per_kg=5000.0),)
    assert proven_none(question(slots=slots, walkers=hungry)) == (
        ("energy: Ana, at least 700 kcal energy a day",),
    )


def test_no_dish_at_all_and_no_dish_for_one_time() -> None:
    assert proven_none(question(())) == (("a dish at every eating time",),)
    tea = Slot(day=1, time="tea", meal="tea", walkers=("Ana",))
    menu = plan_menu(question(slots=(*question().slots, tea)), SOON)
    assert menu.verdict == "impossible"
    assert menu.gives[0].gives.startswith("no dish for tea on day 1 that Ana may eat")


def test_everything_is_banned_or_bad_for_the_walker() -> None:
    nutty = replace(STEW, contains=("nuts",))
    ana = Walker(id="Ana", avoids=(Avoid(allergen="nuts"),))
    assert proven_none(question((nutty,), walkers=(ana,))) == (("a dish at every eating time",),)
    # one ban is enough; the same ban twice says nothing more
    clash = proven_none(question(bans=(Ban(dish="stew"), Ban(dish="stew"))))
    assert clash


def test_a_fixed_dish_that_cannot_stand_is_refused_with_the_reason() -> None:
    lock = Lock(day=1, time="supper", dish="stew")
    for asked, reason in (
        (question(locks=(lock,), bans=(Ban(dish="stew"),)), "banned"),
        (question(locks=(lock, lock)), "no place"),
        (question((replace(STEW, ways=("fry",)),), locks=(lock,)), "fry"),
    ):
        with pytest.raises(Mistake) as caught:
            plan_menu(asked, SOON)
        assert caught.value.code == "locked-dish-does-not-fit"
        assert reason in caught.value.what
    with pytest.raises(Mistake) as caught:
        plan_menu(question(locks=(replace(lock, time="tea"),)), SOON)
    assert caught.value.code == "lock-without-eating-time"


def test_nothing_may_cost_or_take_up_anything() -> None:
    dear = replace(STEW, cost=3.0, volume_ml=400.0)
    assert proven_none(question((dear,), budget=Budget(wish="purse", most=0.0)))
    assert proven_none(question((dear,), litres=(Litres(wish="bag", litres=0.0, days=(0,)),)))
    free = replace(STEW, cost=0.0, volume_ml=0.0)
    answered(
        question(
            (free,),
            budget=Budget(wish="purse", most=0.0),
            litres=(Litres(wish="bag", litres=0.0, days=(0,)),),
        )
    )


def test_a_dish_of_unknown_volume_is_not_put_into_a_box_of_litres() -> None:
    known = replace(STEW, id="known", mass_g=200.0, volume_ml=100.0)
    legs = (Leg(name="all", first_day=1, last_day=2),)
    box = BoxCap(wish="box", leg="all", most_ml=5000.0)
    answered(question((STEW, known), legs=legs, box_caps=(box,)))


def test_a_fixed_dish_is_not_taken_again_beside_itself() -> None:
    slots = tuple(replace(slot, least=2, most=2) for slot in question().slots)
    heavy = replace(STEW, id="heavy", mass_g=400.0)
    lock = Lock(day=1, time="supper", dish="stew")
    answered(question((STEW, heavy), slots=slots, locks=(lock,)))


def test_no_dish_fits_a_time_that_may_stay_empty() -> None:
    slots = tuple(replace(slot, least=0) for slot in question().slots)
    menu = plan_menu(question((), slots=slots, bands=()), SOON)
    assert (menu.verdict, menu.plates, menu.mass_g) == ("optimal", (), 0.0)
    floor = Band(wish="w", walker="Ana", nutrient="protein_g", low=10.0)
    assert plan_menu(question((), slots=slots, bands=(floor,)), SOON).verdict == "impossible"


def test_a_dish_fixed_once_may_come_again_where_twice_is_allowed() -> None:
    slots = tuple(replace(slot, least=2, most=2, twice=2) for slot in question().slots)
    lock = Lock(day=1, time="supper", dish="stew")
    answered(question((STEW,), slots=slots, locks=(lock,)))


# -- degenerate ---------------------------------------------------------------------------


def test_fifty_dishes_that_are_all_the_same() -> None:
    same = tuple(replace(STEW, id=f"stew {at}") for at in range(50))
    # 700 kcal are 4.67 quarters of 600: five quarters, 187.5 g, on each of five days
    apart = Repeat(wish="w", key="dish", within_days=5)
    assert answered(question(same, days=5, repeats=(apart,))) == pytest.approx(5 * 187.5)


def test_a_dish_of_nothing() -> None:
    air = replace(STEW, id="air", mass_g=0.0, energy_kcal=0.0, protein_g=0.0)
    assert answered(question((STEW, air))) == pytest.approx(2 * 187.5)
    assert answered(question((air,), bands=())) == 0.0
    assert proven_none(question((air,)))


def test_very_fine_and_very_coarse_portions() -> None:
    fine = replace(STEW, steps_per_serving=10_000, least_steps=1, most_steps=20_000)
    # 700 / 600 of a serving is 11 666.7 steps: 11 667, 175.005 g a day
    assert answered(question((fine,))) == pytest.approx(2 * 175.005, rel=0.1)
    coarse = replace(STEW, steps_per_serving=1, least_steps=1, most_steps=1)
    assert proven_none(question((coarse,)))


def test_names_that_could_be_mistaken_for_something_else() -> None:
    odd = replace(STEW, id="Ana", title="")
    strange = replace(
        question((odd, replace(STEW, id="#0", title="Žluťoučký kůň"))),
        bands=(
            Band(wish="#1", walker="Ana", nutrient="protein_g", low=100.0),
            Band(wish="what the pot holds, supper", walker="Ana", nutrient="energy_kcal", low=1.0),
            Band(wish="", walker="Ana", nutrient="protein_g", high=90.0),
        ),
    )
    why = why_impossible(strange, SOON)
    assert why.proven
    assert {way.gives[0].wish for way in why.ways_out} <= {"#1", ""}
    for way in why.ways_out:
        assert broken_rules(way.question, way.plates) == ()


def test_a_slot_that_may_stay_empty() -> None:
    slots = tuple(replace(slot, least=0) for slot in question().slots)
    menu = plan_menu(question(slots=slots, bands=()), SOON)
    assert (menu.verdict, menu.plates, menu.mass_g) == ("optimal", (), 0.0)


# -- large, within reason -------------------------------------------------------------------


def test_two_thousand_dishes() -> None:
    answered(walk_question(1, days=2, walkers=1, dishes=2000, packs=False))


def test_three_weeks() -> None:
    answered(walk_question(1, days=21, walkers=1, dishes=40, packs=False))


def test_a_dozen_people() -> None:
    answered(walk_question(1, days=1, walkers=12, dishes=40, packs=False))


def test_why_not_with_two_thousand_dishes() -> None:
    asked = walk_question(1, days=2, walkers=1, dishes=2000, packs=False)
    bands = tuple(
        replace(band, low=400.0) if band.nutrient == "protein_g" else band for band in asked.bands
    )
    why = why_impossible(replace(asked, bands=bands), SOON)
    assert why.proven
    assert why.ways_out


@pytest.mark.parametrize(
    "tries",
    [
        {"gap": -0.1},
        {"gap": 1.0},
        {"gap": float("nan")},
        {"seconds": 0.0},
        {"seconds": float("nan")},
        {"threads": 0},
        {"seed": -1},
    ],
)
def test_trying_out_of_range_is_refused(tries: dict[str, float]) -> None:
    with pytest.raises(Mistake) as caught:
        Trying(**tries)  # type: ignore[arg-type]  # figures of either kind, on purpose
    assert caught.value.code == "trying-out-of-range"
