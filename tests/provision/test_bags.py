"""What may share a bag, and what the bags add up to."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.plan import HOT_POUR, bags_of
from fellfare.provision.bags.together import Apart, apart, grouped, kept_from
from fellfare.provision.bags.tree import View, tree_of, view
from fellfare.provision.planned import Planned, Share, in_order, planned_recipe
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet

VIEWS: tuple[View, ...] = ("day", "meal", "person", "box", "food", "dish")


def loose(*foods: str, steps: tuple[Step, ...] = (), bag: str | None = None) -> Recipe:
    lines = tuple(Line(food=food, amount="50 g", bag=bag) for food in foods)
    return Recipe(title="Loose", serves=1, lines=lines, steps=steps)


def why(pantry: Pantry, one: str, other: str, **eater: object) -> tuple[str, ...]:
    dish = planned_recipe(loose(one, other), pantry, [Share(name="Ada", **eater)])[0]  # type: ignore[arg-type]
    found = apart(dish)
    return tuple(pair.why for pair in found)


def test_the_bags_of_a_plan_sum_to_its_mass(plan: tuple[Planned, ...]) -> None:
    bags = bags_of(plan)
    by_hand = sum(
        (dish.mass_g(number, eater) or 0.0)
        for dish in plan
        for number in range(len(dish.sheet.lines))
        for eater in dish.eaters
    )
    assert sum(bag.mass_g for bag in bags) == pytest.approx(by_hand)
    # Porridge: 88 g and 25 g nuts for everybody but Ada; sheets for 3, 3 and 2 eaters.
    porridge = [bag for bag in bags if bag.dish_number in (0, 2, 4)]
    wanted = 88 * (3 + 3 + 2.25) + 25 * (2 + 2 + 1.25)
    assert sum(bag.mass_g for bag in porridge) == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("food", "word"),
    [("coconut-oil", "goes solid"), ("rye-crispbread", "crushes"), ("couscous", "")],
)
def test_a_bag_says_what_cold_and_weight_do_to_its_food(
    pantry: Pantry, food: str, word: str
) -> None:
    # Coconut oil is solid under 23 to 26 °C: common knowledge, no source.
    (bag,) = bags_of(planned_recipe(loose(food), pantry, [Share(name="Ada")]))
    said = " ".join(bag.advice)
    assert word in said
    assert ("goes solid" in said, "crushes" in said) == (word == "goes solid", word == "crushes")


@pytest.mark.parametrize("by", VIEWS)
def test_every_view_holds_the_same_grams(plan: tuple[Planned, ...], by: View) -> None:
    bags = bags_of(plan)
    rows = view(bags, by)
    assert sum(row.mass_g for row in rows) == pytest.approx(sum(bag.mass_g for bag in bags))
    assert len({row.key for row in rows}) == len(rows)


@given(
    st.lists(st.floats(0.2, 4), min_size=1, max_size=4),
    st.booleans(),
    st.booleans(),
)
def test_views_agree_whoever_eats_how_much(
    dish: Callable[..., Planned], servings: list[float], together: bool, regroup: bool
) -> None:
    eaters = tuple(Share(name=f"e{n}", servings=one) for n, one in enumerate(servings))
    plan = in_order(
        (
            dish("pot", day=2, eaters=eaters, apart=not together),
            dish("porridge", day=1, eaters=eaters, leg=1),
        )
    )
    bags = bags_of(plan, regroup=regroup)
    mass_g = sum(bag.mass_g for bag in bags)
    for by in VIEWS:
        assert sum(row.mass_g for row in view(bags, by)) == pytest.approx(mass_g)
    parcels = tree_of(bags)
    assert sum(parcel.mass_g for parcel in parcels) == pytest.approx(mass_g)
    assert sum(d.mass_g for p in parcels for d in p.days) == pytest.approx(mass_g)
    assert {bag.number for p in parcels for bag in p.bags} == {bag.number for bag in bags}


def test_gross_is_net_with_every_bag(plan: tuple[Planned, ...]) -> None:
    for parcel in tree_of(bags_of(plan)):
        tare = sum(bag.tare_g or 0.0 for bag in parcel.bags) + sum(d.tare_g for d in parcel.days)
        assert parcel.gross_g == pytest.approx(parcel.mass_g + tare)


def test_an_unknown_view_is_refused(plan: tuple[Planned, ...]) -> None:
    with pytest.raises(Mistake, match="unknown-view"):
        view(bags_of(plan), "colour")  # type: ignore[arg-type]


def test_oil_has_a_bottle_in_a_second_bag(plan: tuple[Planned, ...]) -> None:
    oils = [bag for bag in bags_of(plan) if "olive-oil" in {food.id for food in bag.foods}]
    assert oils
    for bag in oils:
        assert bag.packing == "screw"
        assert bag.second_bag
        assert len(bag.contents) == 1


def test_powder_gets_a_second_bag(plan: tuple[Planned, ...]) -> None:
    first = bags_of(plan)[0]
    assert any("dusty" in food.traits for food in first.foods)
    assert "powder" in first.second_why


def test_the_hot_pour_limits_stand_on_a_bag_that_takes_hot_water(
    plan: tuple[Planned, ...],
) -> None:
    bags = bags_of(plan)
    assert HOT_POUR in bags[0].advice
    assert "95 °C" in HOT_POUR
    assert "never boil the bag" in HOT_POUR
    nuts = next(bag for bag in bags if bag.name == "nuts")
    assert HOT_POUR not in nuts.advice


def test_everybody_apart_has_bags_of_their_own(plan: tuple[Planned, ...]) -> None:
    mine = [bag for bag in bags_of(plan) if bag.day == 2 and bag.dish == "Couscous pot"]
    assert {bag.eaters for bag in mine} == {("Bo",), ("Cy",)}
    assert len(mine) == 6


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        # Beuchat 1981: raisins near 0.60, apricots to 0.80, crackers 0.30
        ("apple-dried", "milk-powder-whole", "moist"),
        ("oatcakes", "apple-dried", "moist"),
        ("couscous", "olive-oil", "oil"),
        ("garlic", "olive-oil", "oil"),
        ("cheddar", "couscous", "moist"),
    ],
)
def test_what_must_not_share_a_bag(pantry: Pantry, one: str, other: str, said: str) -> None:
    assert any(said in reason for reason in why(pantry, one, other))


def test_dry_food_used_together_may_share_a_bag(pantry: Pantry) -> None:
    assert why(pantry, "couscous", "garlic-powder") == ()


def test_an_allergen_is_kept_apart_for_whom_it_harms(pantry: Pantry) -> None:
    assert "kept apart for Ada" not in why(pantry, "rolled-oats", "walnut")
    assert "kept apart for Ada" in why(pantry, "rolled-oats", "walnut", avoids=("walnut",))
    dish = planned_recipe(
        loose("rolled-oats", "walnut", bag="all"), pantry, [Share(name="Ada", avoids=("walnut",))]
    )[0]
    bags = bags_of((dish,))
    assert [tuple(food.id for food in bag.foods) for bag in bags] == [("rolled-oats",), ("walnut",)]
    assert bags[1].not_for == ("Ada",)


def test_unknown_allergens_separate_too(pantry: Pantry) -> None:
    mixes = [food for food in pantry if food.allergens.open_mix]
    eater = (Share(name="Ada", avoids=("lupin",)),)
    dish = planned_recipe(loose(mixes[0].id), pantry, eater)[0]
    assert kept_from(dish, mixes[0]) == ("Ada",)


def test_things_used_at_different_times_lie_apart(pantry: Pantry) -> None:
    steps = (
        Step(act="soak", bags=("couscous",), water="60 ml", minutes=20),
        Step(act="mix", bags=("sunflower-seeds",)),
    )
    dish = planned_recipe(loose("couscous", "sunflower-seeds", steps=steps), pantry, 1)[0]
    assert any("same time" in pair.why for pair in apart(dish))


def test_a_dish_without_bags_gets_the_fewest(bottled: Recipe, pantry: Pantry) -> None:
    bags = bags_of(planned_recipe(bottled, pantry, 2))
    assert sorted(len(bag.contents) for bag in bags) == [1, 1, 4]


def colourings(size: int, pairs: set[tuple[int, int]]) -> int:
    """Fewest groups without a forbidden pair, by trying every partition."""
    best = size

    def place(item: int, groups: list[set[int]]) -> None:
        nonlocal best
        if len(groups) >= best:
            return
        if item == size:
            best = len(groups)
            return
        for group in groups:
            if not any((min(item, g), max(item, g)) in pairs for g in group):
                group.add(item)
                place(item + 1, groups)
                group.remove(item)
        groups.append({item})
        place(item + 1, groups)
        groups.pop()

    place(0, [])
    return best


@given(st.integers(1, 6), st.data())
def test_grouping_is_the_fewest_possible(size: int, data: st.DataObject) -> None:
    every = list(combinations(range(size), 2))
    pairs = set(data.draw(st.lists(st.sampled_from(every), unique=True))) if every else set()
    foes = [Apart(one, other, "foes") for one, other in pairs]
    groups = grouped(range(size), foes)
    assert sorted(line for group in groups for line in group) == list(range(size))
    assert not any({one, other} <= set(group) for one, other in pairs for group in groups)
    assert len(groups) == colourings(size, pairs)
    greedy = grouped(range(size), foes, exact=0)
    assert len(greedy) >= len(groups)
    assert not any({one, other} <= set(group) for one, other in pairs for group in greedy)


def test_to_taste_is_carried_on_as_unknown(plan: tuple[Planned, ...]) -> None:
    pots = [bag for bag in bags_of(plan) if bag.name == "pot"]
    assert all(bag.mass_unknown == ("salt",) for bag in pots)
    parcels = tree_of(bags_of(plan))
    assert "salt" in parcels[0].mass_unknown


def test_the_order_of_the_plan_does_not_matter(plan: tuple[Planned, ...]) -> None:
    assert bags_of(reversed(plan)) == bags_of(plan)


def test_a_sheet_for_more_eaters_is_the_same_plan(
    pantry: Pantry, plan: tuple[Planned, ...]
) -> None:
    one = plan[0]
    larger = replace(one, sheet=make_sheet(one.sheet.recipe, pantry, 6))
    assert sum(b.mass_g for b in bags_of((larger,))) == pytest.approx(
        sum(b.mass_g for b in bags_of((one,)))
    )
