"""The checker against menus made by hand: one that keeps every rule, then one fault at a time.

The sums beside the checks were done by hand.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from msgspec.structs import replace

from fellfare.menu import checking
from fellfare.menu.answer import Plate, Portion
from fellfare.menu.checking import Broken, broken_rules
from fellfare.menu.pool import (
    Avoid,
    Ban,
    Band,
    BoxCap,
    Budget,
    Different,
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
)

PORRIDGE = Dish(
    id="porridge",
    title="Porridge",
    meals=("breakfast",),
    mass_g=100,
    energy_kcal=400,
    protein_g=12,
    fat_g=8,
    carbohydrate_g=66,
    sodium_mg=5,
    fuel_g=4,
    volume_ml=250,
    cost=1.0,
    family="oats",
    base="oats",
    ways=("hot-pour", "cold-soak"),
    diets=("vegan",),
    steps_per_serving=10,
    least_steps=6,
    most_steps=16,
)
MUESLI = replace(
    PORRIDGE,
    id="muesli",
    title="Muesli",
    mass_g=110,
    energy_kcal=450,
    fuel_g=0,
    ways=("dry",),
    contains=("nuts",),
    may_contain=("milk",),
    unknown_allergens=("sesame",),
    foods=(("oats", 60.0),),
    cost=0.5,
)
STEW = Dish(
    id="stew",
    title="Stew",
    meals=("supper",),
    mass_g=150,
    energy_kcal=600,
    protein_g=30,
    fat_g=20,
    carbohydrate_g=70,
    sodium_mg=900,
    fuel_g=10,
    volume_ml=400,
    pot_ml=500,
    cost=3.0,
    family="pot",
    base="lentils",
    ways=("boil",),
    diets=("vegan",),
    keeps_days=30,
    steps_per_serving=10,
    least_steps=6,
    most_steps=16,
)
CURRY = replace(STEW, id="curry", title="Curry", base="rice", family="curry")


def question(**changes: object) -> Question:
    """Two days, two walkers: each a breakfast of their own, a common supper."""
    slots = [
        slot
        for day in (1, 2)
        for slot in (
            Slot(
                day=day, time="breakfast", meal="breakfast", walkers=("Ana", "Ben"), carried_share=0
            ),
            Slot(day=day, time="supper", meal="supper", walkers=("Ana", "Ben"), shared=True),
        )
    ]
    plain = Question(
        days=2,
        dishes=(PORRIDGE, MUESLI, STEW, CURRY),
        walkers=(Walker(id="Ana"), Walker(id="Ben")),
        slots=tuple(slots),
    )
    return replace(plain, **changes)


def plate(day: int, dish: Dish, steps: dict[str, int], times: int = 1) -> Plate:
    shared = "supper" in dish.meals
    return Plate(
        day=day,
        time="supper" if shared else "breakfast",
        dish=dish.id,
        shared=shared,
        times=times,
        portions=tuple(
            Portion(
                walker=who,
                steps=many,
                mass_g=(dish.mass_g + dish.fuel_g) * many / dish.steps_per_serving,
                energy_kcal=dish.energy_kcal * many / dish.steps_per_serving,
            )
            for who, many in steps.items()
        ),
    )


#: One serving each, but Ben takes 1.5 of the stew.
MENU = (
    plate(1, PORRIDGE, {"Ana": 10}),
    plate(1, MUESLI, {"Ben": 10}),
    plate(1, STEW, {"Ana": 10, "Ben": 15}),
    plate(2, PORRIDGE, {"Ana": 10}),
    plate(2, PORRIDGE, {"Ben": 10}),
    plate(2, CURRY, {"Ana": 10, "Ben": 10}),
)


def only(found: tuple[Broken, ...]) -> Broken:
    assert len(found) == 1, found
    return found[0]


def wishes(asked: Question, plates: tuple[Plate, ...] = MENU) -> set[str]:
    return {each.wish for each in broken_rules(asked, plates)}


def swapped(at: int, new: Plate) -> tuple[Plate, ...]:
    return (*MENU[:at], new, *MENU[at + 1 :])


def test_a_menu_that_keeps_all_is_let_through() -> None:
    assert broken_rules(question(), MENU) == ()


# -- plates ----------------------------------------------------------------------


def test_a_plate_at_no_eating_time_is_found() -> None:
    assert wishes(question(), (*MENU, replace(MENU[0], time="elevenses"))) == {"the plan"}
    assert wishes(question(), swapped(0, replace(MENU[0], dish="cake"))) == {"the plan"}


def test_a_common_dish_needs_a_portion_for_everybody() -> None:
    assert wishes(question(), swapped(2, plate(1, STEW, {"Ana": 10}))) == {
        "the plan",
        "a dish at every eating time",  # Ben has no supper
    }
    assert "the plan" in wishes(question(), swapped(2, replace(MENU[2], shared=False)))


def test_an_own_dish_has_one_eater() -> None:
    both = plate(1, PORRIDGE, {"Ana": 10, "Ben": 10})
    assert "the plan" in wishes(question(), (both, *MENU[2:]))


def test_a_portion_outside_its_range_is_found() -> None:
    assert only(broken_rules(question(), swapped(0, plate(1, PORRIDGE, {"Ana": 5})))).amount == 1
    assert only(broken_rules(question(), swapped(0, plate(1, PORRIDGE, {"Ana": 18})))).amount == 2
    assert wishes(question(), swapped(0, plate(1, PORRIDGE, {"Ana": 6}))) == set()
    assert wishes(question(), swapped(0, plate(1, PORRIDGE, {"Ana": 16}))) == set()


def test_two_of_one_dish_have_twice_the_range() -> None:
    slots = tuple(
        replace(slot, most=2, twice=2) if slot.meal == "breakfast" else slot
        for slot in question().slots
    )
    assert wishes(question(slots=slots), swapped(0, plate(1, PORRIDGE, {"Ana": 30}, 2))) == set()
    assert wishes(question(slots=slots), swapped(0, plate(1, PORRIDGE, {"Ana": 11}, 2))) == {
        "portion sizes"
    }


def test_figures_on_a_plate_must_be_its_portions() -> None:
    wrong = replace(MENU[0], portions=(replace(MENU[0].portions[0], mass_g=100.0),))
    assert "104 reckoned" in only(broken_rules(question(), swapped(0, wrong))).what


def test_a_missing_and_a_surplus_dish_are_found() -> None:
    found = only(broken_rules(question(), MENU[1:]))
    assert (found.wish, found.amount) == ("a dish at every eating time", 1)
    assert "Ana" in found.what
    assert wishes(question(), (*MENU, plate(1, MUESLI, {"Ana": 10}))) == {
        "a dish at every eating time"
    }


def test_the_same_dish_twice_only_where_it_may() -> None:
    def slots(twice: int) -> tuple[Slot, ...]:
        return tuple(
            replace(slot, least=2, most=2, twice=twice)
            if slot.day == 1 and not slot.shared
            else slot
            for slot in question().slots
        )

    day = (
        plate(1, PORRIDGE, {"Ana": 20}, 2),
        plate(1, MUESLI, {"Ben": 10}),
        plate(1, PORRIDGE, {"Ben": 10}),
        *MENU[2:],
    )
    assert wishes(question(slots=slots(2)), day) == set()
    assert wishes(question(slots=slots(1)), day) == {"not the same twice"}


# -- what may stand where ----------------------------------------------------------


def changed(dish: Dish, **changes: object) -> Question:
    new = replace(dish, **changes)
    return question(dishes=tuple(new if each.id == dish.id else each for each in question().dishes))


@pytest.mark.parametrize(
    ("changes", "wish"),
    [
        ({"meals": ("lunch",)}, "kinds of meal"),
        ({"ways": ("fry",)}, "ways of making"),
        ({"shared_only": True}, "common pot"),
        ({"keeps_days": 1.0}, "keeping"),
        ({"keeps_days": None}, "keeping"),
        ({"stops": ("the hut",)}, "supply"),
    ],
)
def test_a_dish_that_does_not_fit_is_found(changes: dict[str, object], wish: str) -> None:
    assert wishes(changed(PORRIDGE, **changes)) == {wish}


def test_keeping_counts_from_the_start_of_the_leg() -> None:
    # Porridge that keeps a day is eaten on day 2, which is the first of the second leg.
    legs = (Leg(name="a", first_day=1, last_day=1), Leg(name="b", first_day=2, last_day=2))
    assert wishes(replace(changed(PORRIDGE, keeps_days=1.0), legs=legs)) == set()
    assert wishes(replace(changed(PORRIDGE, stops=("a",)), legs=legs)) == {"supply"}


def test_no_flame_means_no_boiling() -> None:
    slots = tuple(
        replace(slot, ways=("dry", "cold-soak")) if slot.day == 2 else slot
        for slot in question().slots
    )
    found = only(broken_rules(question(slots=slots), MENU))
    assert (found.wish, "Curry" in found.what) == ("ways of making", True)


@pytest.mark.parametrize(
    ("avoid", "hurts"),
    [
        (Avoid(allergen="nuts", may_contain=False, unknown=False), True),
        (Avoid(allergen="milk"), True),
        (Avoid(allergen="milk", may_contain=False), False),
        (Avoid(allergen="sesame"), True),
        (Avoid(allergen="sesame", unknown=False), False),
        (Avoid(allergen="egg"), False),
    ],
)
def test_an_allergen_on_the_plate_is_found(avoid: Avoid, hurts: bool) -> None:
    # Ben eats the muesli: it contains nuts, may contain milk, and nobody knows of sesame.
    ana, ben = Walker(id="Ana", avoids=(avoid,)), Walker(id="Ben", avoids=(avoid,))
    assert wishes(question(walkers=(Walker(id="Ana"), ben))) == ({"allergies"} if hurts else set())
    assert wishes(question(walkers=(ana, Walker(id="Ben")))) == set()


def test_a_diet_and_a_dislike_are_the_eaters_own() -> None:
    meat = changed(CURRY, diets=())
    vegan = replace(meat, walkers=(Walker(id="Ana", diets=("vegan",)), Walker(id="Ben")))
    assert wishes(meat) == set()
    assert wishes(vegan) == {"diets"}
    for word in ("curry", "oats"):  # a dish, and a family
        picky = question(walkers=(Walker(id="Ana", dislikes=(word,)), Walker(id="Ben")))
        assert wishes(picky) == {"dislikes"}
    assert wishes(question(walkers=(Walker(id="Ana", dislikes=("muesli",)), Walker(id="Ben")))) == (
        set()
    )


@pytest.mark.parametrize(
    ("ban", "hurts"),
    [
        (Ban(dish="muesli"), True),
        (Ban(dish="muesli", day=1), True),
        (Ban(dish="muesli", day=2), False),
        (Ban(dish="muesli", time="supper"), False),
        (Ban(dish="muesli", walker="Ben"), True),
        (Ban(dish="muesli", walker="Ana"), False),
        (Ban(dish="stew", time="supper"), True),
    ],
)
def test_a_banned_dish_is_found(ban: Ban, hurts: bool) -> None:
    assert wishes(question(bans=(ban,))) == ({"banned by you"} if hurts else set())


@pytest.mark.parametrize(
    ("lock", "kept"),
    [
        (Lock(day=1, time="breakfast", dish="muesli", walker="Ben"), True),
        (Lock(day=1, time="breakfast", dish="muesli", walker="Ana"), False),
        (Lock(day=1, time="breakfast", dish="muesli"), False),  # for both
        (Lock(day=2, time="breakfast", dish="porridge"), True),
        (Lock(day=1, time="supper", dish="stew"), True),
        (Lock(day=2, time="supper", dish="stew"), False),
    ],
)
def test_a_fixed_dish_must_be_there(lock: Lock, kept: bool) -> None:
    assert wishes(question(locks=(lock,))) == (set() if kept else {"fixed by you"})


# -- nourishment -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("band", "short"),
    [
        # Ben on day 1: muesli 450 + 1.5 x 600 = 1350 kcal, 12 + 45 = 57 g protein,
        # 8 + 30 = 38 g fat, 66 + 105 = 171 g carbohydrate, 5 + 1350 = 1355 mg sodium.
        (Band(wish="w", walker="Ben", nutrient="energy_kcal", low=1350, days=(1,)), 0),
        (Band(wish="w", walker="Ben", nutrient="energy_kcal", low=1400, days=(1,)), 50),
        (Band(wish="w", walker="Ben", nutrient="energy_kcal", high=1350, days=(1,)), 0),
        (Band(wish="w", walker="Ben", nutrient="energy_kcal", high=1300, days=(1,)), 50),
        (Band(wish="w", walker="Ben", nutrient="protein_g", low=60, days=(1,)), 3),
        (Band(wish="w", walker="Ben", nutrient="sodium_mg", high=1355, days=(1,)), 0),
        (Band(wish="w", walker="Ben", nutrient="sodium_mg", high=1350, days=(1,)), 5),
        # Share: fat 38 x 9 = 342 kcal of 1350 (0.25333); protein 228 kcal (0.16889).
        (Band(wish="w", walker="Ben", nutrient="fat_g", high=0.26, days=(1,), share=True), 0),
        (Band(wish="w", walker="Ben", nutrient="fat_g", high=0.24, days=(1,), share=True), 18),
        (Band(wish="w", walker="Ben", nutrient="protein_g", low=0.20, days=(1,), share=True), 42),
        (
            Band(wish="w", walker="Ben", nutrient="carbohydrate_g", low=0.5, days=(1,), share=True),
            0,
        ),
        # Both days: 1350 + 400 + 600 = 2350 kcal.
        (Band(wish="w", walker="Ben", nutrient="energy_kcal", low=2350, whole=True), 0),
        (Band(wish="w", walker="Ben", nutrient="energy_kcal", low=2360, whole=True), 10),
        # Nobody knows the fibre: nothing counts towards a floor, nor against a ceiling.
        (Band(wish="w", walker="Ben", nutrient="fibre_g", low=1, days=(1,)), 1),
        (Band(wish="w", walker="Ben", nutrient="fibre_g", high=1, days=(1,)), 0),
    ],
)
def test_a_floor_or_ceiling_is_reckoned_exactly(band: Band, short: float) -> None:
    found = broken_rules(question(bands=(band,)), MENU)
    if short == 0:
        assert found == ()
    else:
        assert only(found).amount == pytest.approx(short)


def test_a_band_without_days_holds_on_every_day() -> None:
    band = Band(wish="w", walker="Ana", nutrient="energy_kcal", low=1001)  # both days have 1000
    assert len(broken_rules(question(bands=(band,)), MENU)) == 2


def test_a_limit_may_be_missed_by_a_millionth_of_itself() -> None:
    def short(by: float) -> set[str]:
        low = 1000 * (1 + by)
        return wishes(
            question(bands=(Band(wish="w", walker="Ana", nutrient="energy_kcal", low=low),))
        )

    assert short(0.9e-6) == set()
    assert short(1.2e-6) == {"w"}


def test_the_need_grows_with_what_is_carried() -> None:
    # Ben on day 1 carries: his own porridge of day 2 (104 g); half of day 1's stew
    # (160 x 2.5 / 2 = 200 g) and half of day 2's curry (160 x 2 / 2 = 160 g); his muesli
    # of day 1 is eaten before he sets out (carried_share 0). 464 g at 100 kcal/kg: 46.4 kcal.
    def with_need(kcal: float) -> set[str]:
        band = Band(wish="need", walker="Ben", nutrient="energy_kcal", low=kcal, days=(1,))
        walkers = (Walker(id="Ana"), Walker(id="Ben", load_kcal_per_kg=100))
        return wishes(question(bands=(band,), walkers=walkers))

    assert with_need(1350 - 46.4) == set()
    assert with_need(1350 - 46.3) == {"need"}


def test_shares_of_the_common_food_are_as_agreed() -> None:
    # Ben carries all of it: 104 + 400 + 320 = 824 g.
    def with_need(kcal: float) -> set[str]:
        band = Band(wish="need", walker="Ben", nutrient="energy_kcal", low=kcal, days=(1,))
        ben = Walker(id="Ben", load_kcal_per_kg=100, common_share=1.0)
        return wishes(question(bands=(band,), walkers=(Walker(id="Ana", common_share=0), ben)))

    assert with_need(1350 - 82.4) == set()
    assert with_need(1350 - 82.3) == {"need"}


# -- variety -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("repeat", "times"),
    [
        (Repeat(wish="w", key="dish", within_days=1), 0),
        (Repeat(wish="w", key="dish", within_days=2), 1),  # Ana's porridge
        (Repeat(wish="w", key="dish", within_days=2, most=2), 0),
        (Repeat(wish="w", key="dish", within_days=2, times=("supper",)), 0),
        (Repeat(wish="w", key="family", within_days=2, times=("breakfast",)), 2),  # oats, both
        (Repeat(wish="w", key="base", within_days=2, times=("supper",)), 0),
        (Repeat(wish="w", key="base", within_days=2), 2),
    ],
)
def test_repeats_are_counted_per_eater(repeat: Repeat, times: int) -> None:
    assert len(broken_rules(question(repeats=(repeat,)), MENU)) == times


def test_a_dish_of_no_family_never_repeats() -> None:
    asked = replace(
        changed(PORRIDGE, family=""), repeats=(Repeat(wish="w", key="family", within_days=9),)
    )
    assert wishes(asked) == set()


@pytest.mark.parametrize(
    ("often", "short"),
    [
        (Often(wish="w", dishes=("porridge",), least=3), 0),
        (Often(wish="w", dishes=("porridge",), least=4), 1),
        (Often(wish="w", dishes=("porridge", "muesli"), least=4), 0),
        (Often(wish="w", dishes=("porridge",), least=2, walker="Ben"), 1),
        (Often(wish="w", dishes=("curry",), least=1, walker="Ben"), 0),
        (Often(wish="w", dishes=("curry",), least=2), 1),  # a common dish is one dish
    ],
)
def test_a_dish_asked_for_must_come_often_enough(often: Often, short: int) -> None:
    found = broken_rules(question(oftens=(often,)), MENU)
    assert sum(each.amount for each in found) == short


@pytest.mark.parametrize(("least", "short"), [(2, 0), (3, 1)])
def test_so_many_different_dishes(least: int, short: int) -> None:
    different = Different(wish="w", times=("supper",), least=least)
    found = broken_rules(question(differents=(different,)), MENU)
    assert sum(each.amount for each in found) == short


# -- rooms and money ---------------------------------------------------------------

# Volumes: breakfasts 250 ml a serving, suppers 400. Day 1: 250 + 250 + 400 + 600 = 1500 ml,
# day 2: 250 + 250 + 400 + 400 = 1300 ml.


@pytest.mark.parametrize(
    ("litres", "over"),
    [
        (Litres(wish="w", litres=1.45), 0),  # night 1: 1300 + 0.1 x 1500
        (Litres(wish="w", litres=1.40), 0.05),
        (Litres(wish="w", litres=1.30, rubbish_share=0.0), 0),
        (Litres(wish="w", litres=2.75, days=(0,)), 0.05),  # the night before: 2800
        (Litres(wish="w", litres=2.80, days=(0, 1)), 0),
        # Ana alone: day 1 650, day 2 650.
        (Litres(wish="w", litres=0.715, walkers=("Ana",)), 0),
        (Litres(wish="w", litres=0.700, walkers=("Ana",)), 0.015),
    ],
)
def test_litres_at_night(litres: Litres, over: float) -> None:
    found = broken_rules(question(litres=(litres,)), MENU)
    assert sum(each.amount for each in found) == pytest.approx(over)


def test_litres_start_again_with_a_leg() -> None:
    legs = (Leg(name="a", first_day=1, last_day=1), Leg(name="b", first_day=2, last_day=2))
    # No night lies inside a leg of one day; asked for night 1, it is the one before leg b.
    asked = question(legs=legs, litres=(Litres(wish="w", litres=0.1),))
    assert wishes(asked) == set()
    asked = question(legs=legs, litres=(Litres(wish="w", litres=1.2, days=(1,)),))
    assert only(broken_rules(asked, MENU)).amount == pytest.approx(0.1)


def test_unknown_volume_is_never_put_where_litres_count() -> None:
    unknown = changed(CURRY, volume_ml=None)
    assert wishes(unknown) == set()
    assert wishes(replace(unknown, litres=(Litres(wish="w", litres=99),))) == {"litres"}
    boxed = BoxCap(wish="w", leg="all", most_ml=99_000)
    legs = (Leg(name="all", first_day=1, last_day=2),)
    assert wishes(replace(unknown, legs=legs, box_caps=(boxed,))) == {"litres"}
    boxed = replace(boxed, most_ml=None, most_g=99_000)
    assert wishes(replace(unknown, legs=legs, box_caps=(boxed,))) == set()


@pytest.mark.parametrize(
    ("cap", "over"),
    [
        # Ana at the start of day 1: 104 + 104 + 200 + 160 = 568 g; of day 2: 104 + 160 = 264 g.
        (LoadCap(wish="w", walker="Ana", most_g=568), 0),
        (LoadCap(wish="w", walker="Ana", most_g=560), 8),
        (LoadCap(wish="w", walker="Ana", most_g=264, days=(2,)), 0),
        (LoadCap(wish="w", walker="Ana", most_g=260, days=(2,)), 4),
    ],
)
def test_loads_in_the_morning(cap: LoadCap, over: float) -> None:
    found = broken_rules(question(load_caps=(cap,)), MENU)
    assert sum(each.amount for each in found) == pytest.approx(over)


@pytest.mark.parametrize(
    ("box", "over"),
    [
        # Leg b is day 2: 104 + 104 + 160 + 160 = 528 g, 1300 ml.
        (BoxCap(wish="w", leg="b", most_g=528, most_ml=1300), 0),
        (BoxCap(wish="w", leg="b", most_g=500), 28),
        (BoxCap(wish="w", leg="b", most_ml=1000), 300),
        (BoxCap(wish="w", leg="a", most_g=1000), 0),
    ],
)
def test_what_a_box_holds(box: BoxCap, over: float) -> None:
    legs = (Leg(name="a", first_day=1, last_day=1), Leg(name="b", first_day=2, last_day=2))
    found = broken_rules(question(legs=legs, box_caps=(box,)), MENU)
    assert sum(each.amount for each in found) == pytest.approx(over)


@pytest.mark.parametrize(("pot_ml", "over"), [(1250, 0), (1200, 50)])
def test_what_the_pot_holds(pot_ml: float, over: float) -> None:
    # Stew on day 1: 2.5 x 500 = 1250 ml.
    slots = tuple(
        replace(slot, pot_ml=pot_ml) if (slot.day, slot.time) == (1, "supper") else slot
        for slot in question().slots
    )
    found = broken_rules(question(slots=slots), MENU)
    assert sum(each.amount for each in found) == pytest.approx(over)


# Money: porridges 3 x 1, muesli 0.5, stew 2.5 x 3, curry 2 x 3: 17.00, and 60 g of oats.


@pytest.mark.parametrize(
    ("pack", "most", "over"),
    [
        (Pack(food="oats", size_g=60, price=1.2), 18.2, 0),
        (Pack(food="oats", size_g=60, price=1.2), 18.0, 0.2),
        (Pack(food="oats", size_g=59, price=1.2), 19.4, 0),  # two packs
        (Pack(food="oats", size_g=59, price=1.2), 19.0, 0.4),
        (Pack(food="oats", size_g=500, price=2.0), 19.0, 0),
    ],
)
def test_only_whole_packs_are_bought(pack: Pack, most: float, over: float) -> None:
    asked = question(packs=(pack,), budget=Budget(wish="w", most=most))
    assert sum(each.amount for each in broken_rules(asked, MENU)) == pytest.approx(over)


def test_fees_are_paid_and_packs_run_out() -> None:
    legs = (Leg(name="all", first_day=1, last_day=2, fee=5.0),)
    pack = Pack(food="oats", size_g=20, price=0.0, most=2)  # three are wanted
    asked = question(legs=legs, packs=(pack,), budget=Budget(wish="money", most=22.0))
    assert wishes(asked) == {"whole packs of oats"}
    assert wishes(replace(asked, budget=Budget(wish="money", most=21.9))) == {
        "whole packs of oats",
        "money",
    }


def test_an_unknown_price_is_never_put_where_money_counts() -> None:
    asked = changed(CURRY, cost=None)
    assert wishes(asked) == set()
    assert wishes(replace(asked, budget=Budget(wish="money", most=99.0))) == {"budget"}


def test_the_checker_shares_nothing_with_the_model() -> None:
    seen: set[str] = set()
    for file in Path(checking.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.ImportFrom):
                seen.add(node.module or "")
            elif isinstance(node, ast.Import):
                seen.update(alias.name for alias in node.names)
    ours = {name for name in seen if name.startswith("fellfare") and ".checking." not in name}
    assert ours == {"fellfare.menu.answer", "fellfare.menu.pool"}
    assert not seen & {"numpy", "highspy", "scipy"}
