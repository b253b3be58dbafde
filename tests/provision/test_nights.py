"""Does the food fit, every night?"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.allergens import combine
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.plan import PlannedBag, bags_of
from fellfare.provision.planned import Planned, planned_recipe
from fellfare.provision.store.denser import DENSER, best_swaps
from fellfare.provision.store.nights import Store, nights
from fellfare.recipe.document import Line, Recipe

PLAIN = Store(litres=5, smellables_l=0, rubbish_g=(0, 0), gaps=1)


def bag(day: int, volume_ml: float, leg: int = 1) -> PlannedBag:
    return PlannedBag(
        number=day, dish_number=0, dish="x", name="x", day=day, time="dinner", leg=leg, stop="",
        eaters=("Ada",), contents=(), packing="zip", kept="ambient", mass_g=0.0,
        mass_unknown=(), volume_ml=volume_ml, volume_unknown=(), size=None, tare_g=None,
    )  # fmt: skip


def test_a_worked_trip() -> None:
    # Four days of 2 L: nights hold 6, 4 and 2 L; the first day's food never has to fit.
    fit = nights([bag(day, 2000) for day in range(1, 5)], 1, PLAIN)
    assert [night.food_l for night in fit.nights] == pytest.approx([6, 4, 2])
    assert [night.fits for night in fit.nights] == [False, True, True]
    assert fit.outside_first_day == (1,)
    (finding,) = fit.findings
    assert finding.severity == "error"


def test_rubbish_grows_by_day_and_person() -> None:
    # 15 to 40 g per person and day at 0.2 g/mL: 75 to 200 mL; two people, third night.
    store = Store(litres=50, smellables_l=0)
    fit = nights([bag(day, 1000) for day in range(1, 5)], 2, store)
    assert fit.nights[2].rubbish_l == pytest.approx((3 * 2 * 0.075, 3 * 2 * 0.200))


def test_a_box_begins_a_new_carry() -> None:
    bags = [bag(1, 1000), bag(2, 1000), bag(3, 3000, leg=2), bag(4, 3000, leg=2)]
    fit = nights(bags, 1, Store(litres=50, smellables_l=0))
    assert [night.food_l / 1.1 for night in fit.nights] == pytest.approx([1, 0, 3])
    # the rubbish is left where the box is opened: the third night is the first of its carry
    assert fit.nights[2].rubbish_l == fit.nights[0].rubbish_l
    assert fit.outside_first_day == (1, 3)


def test_a_box_taken_up_in_the_evening_lies_there_that_night() -> None:
    late = [replace(bag(day, 3000, leg=2), taken_on=2) for day in (3, 4)]
    fit = nights([bag(1, 1000), bag(2, 1000), *late], 1, Store(litres=50, smellables_l=0))
    assert [night.food_l / 1.1 for night in fit.nights] == pytest.approx([1, 6, 3])
    assert fit.outside_first_day == (1,)


@given(st.lists(st.tuples(st.integers(1, 8), st.floats(0, 3000)), min_size=1, max_size=12))
def test_food_only_shrinks_and_room_is_what_is_left(told: list[tuple[int, float]]) -> None:
    fit = nights([bag(day, ml) for day, ml in told], 2, Store(litres=7))
    food = [night.food_l for night in fit.nights]
    assert food == sorted(food, reverse=True)
    for night in fit.nights:
        assert night.total_l[0] <= night.total_l[1]
        assert night.room_l == pytest.approx(7 - night.total_l[1])
        assert night.fits == (night.total_l[1] <= 7)


def test_one_sure_overflow_is_an_error_and_a_doubtful_one_a_caution() -> None:
    bags = [bag(1, 0), bag(2, 4850)]
    store = Store(litres=5, smellables_l=0, gaps=1)
    (finding,) = nights(bags, 1, store).findings
    assert finding.severity == "caution"


def two_days(pantry: Pantry, *foods: tuple[str, str]) -> tuple[PlannedBag, ...]:
    lines = tuple(Line(food=food, amount=amount) for food, amount in foods)
    recipe = Recipe(title="Bulk", serves=1, lines=lines)
    return bags_of(planned_recipe(recipe, pantry, 1, days=(1, 2)))


def test_the_swaps_save_what_they_say(pantry: Pantry) -> None:
    bags = two_days(
        pantry,
        ("apple-freeze-dried", "40 g"),
        ("macaroni", "120 g"),
        ("bagel", "100 g"),
        ("puffed-rice", "60 g"),
        ("red-bell-pepper-freeze-dried", "20 g"),
        ("corn-flakes", "60 g"),
        ("olive-oil", "20 g"),
    )
    fit = nights(bags, 1, Store(litres=4), pantry)
    assert len(fit.swaps) == 5
    saved = [swap.saves_ml for swap in fit.swaps]
    assert saved == sorted(saved, reverse=True)
    assert saved[-1] > 0
    for swap in fit.swaps:
        dense, other = swap.food.bulk_density_g_per_ml, swap.stand_in.bulk_density_g_per_ml
        assert dense is not None
        assert other is not None
        room = swap.mass_g / dense - swap.stand_in_g / other
        assert swap.saves_ml == pytest.approx(room)
        if swap.basis == "energy":
            kcal, other_kcal = swap.food.per_100g.energy_kcal, swap.stand_in.per_100g.energy_kcal
            assert kcal is not None
            assert other_kcal is not None
            assert swap.mass_g * kcal == pytest.approx(swap.stand_in_g * other_kcal)
    every = best_swaps([one for one in bags if one.day == 2], pantry, most=100)
    assert saved == pytest.approx([swap.saves_ml for swap in every[:5]])


def test_freeze_dried_is_bulkier_than_dried(pantry: Pantry) -> None:
    (swap,) = best_swaps(two_days(pantry, ("apple-freeze-dried", "40 g")), pantry)
    assert swap.stand_in.form == "dried"
    # A supplier's chart and the trade: freeze-dried takes two to three times the room.
    before = swap.mass_g / (swap.food.bulk_density_g_per_ml or 1)
    assert before / (before - swap.saves_ml) > 2


def test_new_allergens_stand_beside_the_swap(pantry: Pantry) -> None:
    bags = two_days(pantry, ("rice-instant", "100 g"))
    (swap,) = best_swaps(bags, pantry)
    assert swap.stand_in.id == "couscous"
    assert "contains wheat" in swap.minds


def test_what_somebody_avoids_is_offered_as_no_swap(pantry: Pantry) -> None:
    bags = two_days(pantry, ("pretzels", "100 g"))
    assert any(swap.stand_in.id == "peanut-salted" for swap in best_swaps(bags, pantry))
    told = best_swaps(bags, pantry, avoids=("peanut",))
    assert not any(combine((swap.stand_in,)).of("peanut") == "contains" for swap in told)


def test_the_table_names_foods_of_the_pantry(pantry: Pantry) -> None:
    assert [food for row in DENSER for food in row if food not in pantry] == []


def test_unknown_volumes_are_told(plan: tuple[Planned, ...], pantry: Pantry) -> None:
    fit = nights(bags_of(plan), 3, Store(litres=12), pantry)
    assert any(finding.rule == "volume-unknown" for finding in fit.findings)


def test_an_empty_plan_has_no_nights() -> None:
    assert nights([], 1, PLAIN).nights == ()


@pytest.mark.parametrize(
    ("code", "store", "eaters"),
    [
        ("store-out-of-range", Store(litres=0), 1),
        ("store-out-of-range", Store(litres=float("nan")), 1),
        ("store-out-of-range", Store(litres=5, gaps=0.5), 1),
        ("store-out-of-range", Store(litres=5, rubbish_g=(40, 15)), 1),
        ("eaters-out-of-range", Store(litres=5), 0),
    ],
)
def test_impossible_stores_are_refused(code: str, store: Store, eaters: int) -> None:
    with pytest.raises(Mistake, match=code):
        nights([bag(1, 100)], eaters, store)


def test_no_swap_is_told_that_saves_nothing(pantry: Pantry) -> None:
    # Tomato powder: every other form takes more room.
    assert best_swaps(two_days(pantry, ("tomato-powder", "40 g")), pantry) == ()
