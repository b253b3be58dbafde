"""Change one thing: the rest stays, the new menu keeps every rule, and the changes are told."""

from __future__ import annotations

from functools import cache

import pytest
from msgspec.structs import replace
from tests.menu.meals import plain_walk

from fellfare.menu.answer import Menu, Plate, Portion
from fellfare.menu.changing import (
    Changed,
    change_menu,
    with_avoid,
    with_ban,
    with_diet,
    with_lock,
    with_no_fire_from,
    with_swap,
    without_lock,
)
from fellfare.menu.changing.differing import changes_of
from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Avoid, Ban, Lock, Question
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake

TRIES = Trying(gap=0.01, seconds=20.0)


@cache
def walk(seed: int = 1) -> tuple[Question, Menu]:
    question = plain_walk(seed)
    menu = plan_menu(question, TRIES)
    assert menu.plates
    return question, menu


def dishes_at(menu: Menu, time: str, day: int | None = None) -> list[str]:
    return [p.dish for p in menu.plates if p.time == time and day in (None, p.day)]


def stands(menu: Menu) -> set[tuple[int, str, str, str]]:
    return {
        (plate.day, plate.time, portion.walker, plate.dish)
        for plate in menu.plates
        for portion in plate.portions
    }


def kept(changed: Changed, question: Question) -> None:
    """What must hold of every changed menu."""
    menu = changed.menu
    assert menu.plates
    assert broken_rules(question, menu.plates) == ()
    assert menu.weighed_g is not None
    assert menu.bound_g <= menu.weighed_g + 1e-6
    assert changed.further_possible_g is not None
    assert changed.further_possible_g == pytest.approx(max(0, menu.weighed_g - menu.bound_g))


@pytest.mark.parametrize("seed", [1, 2])
def test_changing_nothing_changes_nothing(seed: int) -> None:
    question, menu = walk(seed)
    changed = change_menu(menu, question, TRIES)
    assert changed.changes == ()
    assert changed.portions_changed == 0
    assert changed.menu.plates == menu.plates
    assert changed.mass_after_g == menu.mass_g
    kept(changed, question)


def test_a_change_that_the_old_menu_bears_changes_nothing() -> None:
    question, menu = walk()
    not_eaten = next(d.id for d in question.dishes if d.id not in {p.dish for p in menu.plates})
    changed = change_menu(menu, with_ban(question, not_eaten), TRIES)
    assert changed.changes == ()
    assert "nothing changes" in changed.sentences[0]


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("time", ["dinner", "breakfast"])
def test_a_ban_changes_little_beside_what_it_must(seed: int, time: str) -> None:
    question, menu = walk(seed)
    banned = dishes_at(menu, time)[0]
    asked = with_ban(question, banned)
    changed = change_menu(menu, asked, TRIES)
    kept(changed, asked)
    must = sum(p.dish == banned for p in menu.plates)
    assert banned not in {p.dish for p in changed.menu.plates}
    assert must <= len(changed.changes) <= must + 3
    assert "banned" in changed.changes[0].why
    for change in changed.changes:
        assert change.before != change.after


def test_a_ban_on_one_day_leaves_the_other_days_as_they_are() -> None:
    question, menu = walk()
    banned = dishes_at(menu, "dinner", 2)[0]
    changed = change_menu(menu, with_ban(question, banned, day=2, time="dinner"), TRIES)
    assert [change.day for change in changed.changes] == [2]
    assert {one for one in stands(menu) if one[0] != 2} == {
        one for one in stands(changed.menu) if one[0] != 2
    }


def test_a_fixed_dish_stays_through_further_changes() -> None:
    question, menu = walk()
    other = next(
        d.id for d in question.dishes
        if "dinner" in d.meals and d.ways == ("dry",) and d.id not in dishes_at(menu, "dinner")
        and "vegetarian" in d.diets
    )  # fmt: skip
    locked = with_lock(question, 3, "dinner", other)
    first = change_menu(menu, locked, TRIES)
    kept(first, locked)
    assert dishes_at(first.menu, "dinner", 3) == [other]
    assert any(change.after == other and "fixed" in change.why for change in first.changes)
    second_asked = with_diet(locked, "w1", "vegetarian")
    second = change_menu(first.menu, second_asked, TRIES)
    kept(second, second_asked)
    assert dishes_at(second.menu, "dinner", 3) == [other]


def test_a_fixed_snack_stays_among_the_free_ones() -> None:
    question, menu = walk()
    eaten = {p.dish for p in menu.plates}
    snack = next(d.id for d in question.dishes if "snack" in d.meals and d.id not in eaten)
    asked = with_lock(question, 1, "snacks", snack, "w2")
    changed = change_menu(menu, asked, TRIES)
    kept(changed, asked)
    assert (1, "snacks", "w2", snack) in stands(changed.menu)
    assert {change.walker for change in changed.changes} == {"w2"}
    assert {change.day for change in changed.changes} == {1}


def test_a_swap_is_made_and_told() -> None:
    question, menu = walk()
    before = dishes_at(menu, "lunch", 2)[0]
    after = next(d.id for d in question.dishes if "lunch" in d.meals and d.id != before)
    asked = with_swap(question, 2, "lunch", before, after, "w1")
    changed = change_menu(menu, asked, TRIES)
    kept(changed, asked)
    assert (2, "lunch", "w1", after) in stands(changed.menu)
    assert any(
        (c.day, c.time, c.walker, c.before, c.after) == (2, "lunch", "w1", before, after)
        for c in changed.changes
    )


def test_no_fire_from_a_day_on_leaves_the_days_before() -> None:
    question, menu = walk()
    asked = with_no_fire_from(question, 3)
    changed = change_menu(menu, asked, TRIES)
    kept(changed, asked)
    ways = {dish.id: dish.ways for dish in question.dishes}
    for plate in changed.menu.plates:
        if plate.day >= 3:
            assert ways[plate.dish] == ("dry",)
    assert all(change.day >= 3 for change in changed.changes if "needs boil" in change.why)


def test_a_late_allergy_is_met_and_told() -> None:
    question, menu = walk()
    eaten = dishes_at(menu, "lunch")[0]
    labelled = replace(
        question,
        dishes=tuple(
            replace(dish, contains=("mustard",)) if dish.id == eaten else dish
            for dish in question.dishes
        ),
    )
    asked = with_avoid(labelled, "w2", "mustard")
    changed = change_menu(menu, asked, TRIES)
    kept(changed, asked)
    must = [one for one in stands(menu) if one[2:] == ("w2", eaten)]
    assert not [one for one in stands(changed.menu) if one[2:] == ("w2", eaten)]
    told = [change for change in changed.changes if "contains mustard" in change.why]
    assert [(c.day, c.time) for c in told] == sorted((day, time) for day, time, _, _ in must)


def test_the_dearer_a_change_the_more_stays() -> None:
    question, menu = walk()
    asked = with_diet(with_no_fire_from(question, 2), "w1", "vegetarian")
    free = change_menu(menu, asked, TRIES, keep_g=0.0)
    near = change_menu(menu, asked, TRIES, keep_g=200.0)
    kept(free, asked)
    kept(near, asked)
    gone = [sum(c.before is not None for c in each.changes) for each in (near, free)]
    assert gone[0] <= gone[1]


def test_what_cannot_be_done_is_said_and_not_hidden() -> None:
    question, menu = walk()
    asked = question
    for dish in question.dishes:
        if "dinner" in dish.meals:
            asked = with_ban(asked, dish.id, day=2)
    changed = change_menu(menu, asked, TRIES)
    assert changed.menu.verdict == "impossible"
    assert changed.menu.plates == ()
    assert changed.changes == ()
    assert changed.sentences == ("no menu keeps all that is asked now",)


def test_no_time_is_not_told_as_no_menu() -> None:
    question, menu = walk()
    asked = with_diet(question, "w1", "vegetarian")
    changed = change_menu(menu, asked, Trying(gap=0.0, seconds=1e-3))
    if not changed.menu.plates:
        assert changed.menu.verdict == "stopped"
        assert "there may be one" in changed.sentences[0]


def test_a_longer_walk_keeps_the_days_that_were() -> None:
    longer = plain_walk(1, days=5)
    _, menu = walk(1)
    changed = change_menu(menu, longer, TRIES)
    kept(changed, longer)
    assert all(change.day == 5 and change.before is None for change in changed.changes)


def test_the_changed_questions_are_plain_values() -> None:
    question, menu = walk()
    dish = dishes_at(menu, "lunch", 1)[0]
    locked = with_lock(question, 1, "lunch", dish, "w1")
    assert locked.locks == (Lock(day=1, time="lunch", dish=dish, walker="w1"),)
    assert with_lock(locked, 1, "lunch", dish, "w1") == locked
    assert without_lock(locked, 1, "lunch", dish, "w1") == question
    assert with_ban(question, dish).bans == (Ban(dish=dish),)
    assert with_ban(with_ban(question, dish), dish) == with_ban(question, dish)
    assert with_diet(with_diet(question, "w1", "vegan"), "w1", "vegan").walkers[0].diets == (
        "vegan",
    )


def test_an_avoid_is_never_made_weaker() -> None:
    question, _ = walk()
    strict = with_avoid(question, "w1", "almond")
    again = with_avoid(strict, "w1", "almond", may_contain=False, unknown=False)
    assert again.walkers[0].avoids == (Avoid(allergen="almond"),)


def test_a_swap_takes_the_lock_of_the_old_dish_off() -> None:
    question, menu = walk()
    before = dishes_at(menu, "dinner", 1)[0]
    after = next(d.id for d in question.dishes if "dinner" in d.meals and d.id != before)
    asked = with_swap(with_lock(question, 1, "dinner", before), 1, "dinner", before, after)
    assert [lock.dish for lock in asked.locks] == [after]


def test_a_swap_does_not_lift_what_the_place_bars() -> None:
    question, menu = walk()
    before = dishes_at(menu, "dinner", 1)[0]
    after = next(d.id for d in question.dishes if "dinner" in d.meals and d.id != before)
    wished = Ban(dish=after, day=1, time="dinner")
    for ban, stays in ((wished, False), (replace(wished, firm=True), True)):
        asked = with_swap(replace(question, bans=(ban,)), 1, "dinner", before, after)
        assert (ban in asked.bans) == stays


def test_nonsense_is_refused() -> None:
    question, menu = walk()
    dish = dishes_at(menu, "dinner", 1)[0]
    locked = with_lock(question, 1, "dinner", dish)
    only_boil = replace(
        question, slots=tuple(replace(slot, ways=("boil",)) for slot in question.slots)
    )
    for change, code in (
        (lambda: with_lock(question, 1, "dinner", "nothing"), "change-unknown-name"),
        (lambda: with_lock(question, 99, "dinner", dish), "change-no-such-time"),
        (lambda: with_lock(question, 1, "dinner", dish, "w1"), "change-no-such-time"),
        (lambda: with_ban(locked, dish), "change-ban-of-fixed-dish"),
        (lambda: with_swap(question, 1, "dinner", dish, dish), "change-swap-of-itself"),
        (lambda: with_diet(question, "nobody", "vegan"), "change-unknown-name"),
        (lambda: with_no_fire_from(only_boil, 2), "change-no-fire-nothing-left"),
        (lambda: change_menu(menu, question, TRIES, keep_g=float("nan")), "change-keep"),
    ):
        with pytest.raises(Mistake) as caught:
            change()
        assert caught.value.code == code


def plate(day: int, time: str, dish: str, *walkers: str, shared: bool = False) -> Plate:
    portions = tuple(Portion(walker=w, steps=20, mass_g=100.0, energy_kcal=400.0) for w in walkers)
    return Plate(day=day, time=time, dish=dish, shared=shared, times=1, portions=portions)


def test_a_common_pot_that_is_split_is_compared_eater_by_eater() -> None:
    question, _ = walk()
    old = (plate(1, "dinner", "dinner-4", "w1", "w2", shared=True),)
    new = (plate(1, "dinner", "dinner-4", "w1"), plate(1, "dinner", "dinner-10", "w2"))
    (change,) = changes_of(old, new, question)
    assert (change.walker, change.before, change.after) == ("w2", "dinner-4", "dinner-10")


def test_a_dish_for_all_counts_as_one_change() -> None:
    question, _ = walk()
    old = (plate(1, "dinner", "dinner-4", "w1", "w2", shared=True),)
    new = (plate(1, "dinner", "dinner-10", "w1", "w2", shared=True),)
    (change,) = changes_of(old, new, question)
    assert change.walker is None


def test_an_eating_time_that_is_gone_is_told() -> None:
    question, _ = walk()
    old = (plate(9, "supper", "dinner-4", "w1"),)
    (change,) = changes_of(old, (), question)
    assert (change.before, change.after) == ("dinner-4", None)
    assert change.why == "there is no such eating time any more"


def test_what_came_and_what_went_stand_in_pairs() -> None:
    question, _ = walk()
    old = (plate(1, "snacks", "snack-1", "w1"), plate(1, "snacks", "snack-3", "w1"))
    new = (plate(1, "snacks", "snack-3", "w1"), plate(1, "snacks", "snack-7", "w1"),
           plate(1, "snacks", "snack-9", "w1"))  # fmt: skip
    first, second = changes_of(old, new, question)
    assert (first.before, first.after) == ("snack-1", "snack-7")
    assert (second.before, second.after) == (None, "snack-9")
