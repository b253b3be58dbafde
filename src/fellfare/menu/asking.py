"""Is the question one that can be answered at all? What contradicts itself is told at once."""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec

from fellfare.menu.pool import Dish, Question
from fellfare.mistake import Mistake

#: Cells x dishes beyond which no answer is tried: to price them all once takes about
#: ten seconds, and about a gigabyte is held (measured 2026-11 on two cores).
MOST_CHOICES = 100_000_000
#: Longer walks than this are refused: ten years.
MOST_DAYS = 3_660
#: Where no limit may be told as infinity: (kind, name).
ENDLESS = frozenset({
    ("dish", "keeps_days"), ("band", "high"), ("budget", "most"), ("loadcap", "most_g"),
    ("litres", "litres"), ("boxcap", "most_g"), ("boxcap", "most_ml"), ("slot", "pot_ml"),
})  # fmt: skip
#: Figures that are parts of a whole, 0 to 1.
PARTS = frozenset({
    ("slot", "carried_share"), ("litres", "rubbish_share"), ("walker", "common_share"),
})  # fmt: skip


def checked(question: Question) -> Question:
    """The question itself, or a Mistake that says what is wrong with it and where."""
    _sizes(question)
    _names(question)
    _days(question)
    for dish in question.dishes:
        _dish(dish)
    for value in _structs(question):
        for name in value.__struct_fields__:
            _figure(value, name)
    for pack in question.packs:
        if not pack.size_g > 0:
            raise _bad("pack-size", f"a pack of {pack.food} of {pack.size_g} g", "above 0 g")
    return question


def _bad(code: str, what: str, mend: str, where: str = "") -> Mistake:
    return Mistake(code, what=what, mend=mend, where=where)


def _structs(question: Question) -> Iterable[msgspec.Struct]:
    for name in question.__struct_fields__:
        value = getattr(question, name)
        if isinstance(value, tuple):
            yield from (each for each in value if isinstance(each, msgspec.Struct))
        elif isinstance(value, msgspec.Struct):
            yield value


def _figure(value: msgspec.Struct, name: str) -> None:
    """No NaN anywhere; limits, weights, prices and sizes not below zero."""
    figure = getattr(value, name)
    figures = figure if isinstance(figure, tuple) else (figure,)
    kind = type(value).__name__.lower()
    label = str(getattr(value, "wish", getattr(value, "id", getattr(value, "name", kind))))
    for each in figures:
        if not isinstance(each, int | float) or isinstance(each, bool):
            continue
        if math.isnan(each) or (math.isinf(each) and each > 0 and (kind, name) not in ENDLESS):
            raise _bad(
                "menu-not-a-number",
                f"'{name}' is {'not a number' if math.isnan(each) else 'infinite'}",
                "give a number, or leave it out where it is not known",
                f"{kind} > {label}",
            )
        if each < 0 and name not in ("liking", "liking_g", "cost_g", "day", "days"):
            raise _bad(
                "menu-below-zero",
                f"'{name}' is {each:g}, below zero",
                "give zero or more",
                f"{kind} > {label}",
            )
        if (kind, name) in PARTS and each > 1:
            raise _bad(
                "menu-share",
                f"'{name}' is {each:g}, more than the whole",
                "give a part, from 0 to 1",
                f"{kind} > {label}",
            )
        if name == "day" and kind == "weights" and each < 0:
            raise _bad("menu-below-zero", f"a day weighs {each:g}", "give zero or more", "weights")
    low, high = getattr(value, "low", None), getattr(value, "high", None)
    if name == "low" and low is not None and high is not None and low > high:
        raise _bad(
            "menu-floor-above-ceiling",
            f"at least {low:g} and at most {high:g}",
            "turn the two round, or leave one out",
            f"{kind} > {label}",
        )


def _dish(dish: Dish) -> None:
    where = f"dish > {dish.id}"
    for name in ("mass_g", "energy_kcal"):
        if not math.isfinite(getattr(dish, name)):
            raise _bad("menu-not-a-number", f"'{name}' is no number", "weigh or reckon it", where)
    for food, grams in dish.foods:
        if not math.isfinite(grams):
            raise _bad("menu-not-a-number", f"'{food}' has no mass", "weigh it", where)
        if grams < 0:
            raise _bad("menu-below-zero", f"{grams:g} g of '{food}'", "give zero or more", where)
    steps = (dish.steps_per_serving, dish.least_steps, dish.most_steps)
    if dish.steps_per_serving < 1 or not 1 <= dish.least_steps <= dish.most_steps:
        raise _bad(
            "portion-steps",
            f"steps {steps[0]} to a serving, from {steps[1]} to {steps[2]}",
            "whole numbers from 1, the least not above the most",
            where,
        )


def _sizes(question: Question) -> None:
    if question.days < 1 or not question.slots or not question.walkers:
        raise _bad(
            "menu-empty",
            "a menu needs a day, a walker and an eating time",
            "add what is missing",
        )
    if question.days > MOST_DAYS:
        raise _bad(
            "menu-too-large",
            f"a walk of {question.days:,} days; {MOST_DAYS:,} are the most",
            "split the walk",
        )
    cells = sum(1 if slot.shared else len(slot.walkers) for slot in question.slots)
    if cells * len(question.dishes) > MOST_CHOICES:
        raise _bad(
            "menu-too-large",
            f"{cells:,} eating times x {len(question.dishes):,} dishes are more choices than "
            f"{MOST_CHOICES:,}",
            "split the party or the walk, or give fewer dishes",
        )


def _names(question: Question) -> None:
    kinds: tuple[tuple[str, list[str]], ...] = (
        ("dish", [dish.id for dish in question.dishes]),
        ("walker", [walker.id for walker in question.walkers]),
        ("leg", [leg.name for leg in question.legs]),
        ("pack", [pack.food for pack in question.packs]),
        ("eating time", [f"day {slot.day}, {slot.time}" for slot in question.slots]),
    )
    for kind, names in kinds:
        if len(set(names)) < len(names):
            twice = next(name for name in names if names.count(name) > 1)
            raise _bad(
                "menu-name-twice",
                f"two of kind '{kind}' are called '{twice}'",
                "give each a name of its own",
            )
    for slot in question.slots:
        if len(set(slot.walkers)) < len(slot.walkers):
            twice = next(name for name in slot.walkers if slot.walkers.count(name) > 1)
            raise _bad(
                "menu-name-twice",
                f"'{twice}' eats twice at one eating time",
                "name each eater once",
                f"day {slot.day}, {slot.time}",
            )
    dishes, walkers, legs = (set(kinds[at][1]) for at in range(3))
    packs = set(kinds[3][1])
    times = {slot.time for slot in question.slots}

    def one(name: str | None) -> tuple[str, ...]:
        return () if name is None else (name,)

    asked: list[tuple[str, Iterable[str], set[str]]] = [
        *((f"day {slot.day}, {slot.time}", slot.walkers, walkers) for slot in question.slots),
        *((band.wish, (band.walker,), walkers) for band in question.bands),
        *((band.wish, band.times, times) for band in question.bands),
        *((often.wish, often.dishes, dishes) for often in question.oftens),
        *((often.wish, one(often.walker), walkers) for often in question.oftens),
        *(("fixed dish", (lock.dish,), dishes) for lock in question.locks),
        *(("fixed dish", one(lock.walker), walkers) for lock in question.locks),
        *(("banned dish", one(ban.walker), walkers) for ban in question.bans),
        *((litre.wish, litre.walkers, walkers) for litre in question.litres),
        *((cap.wish, (cap.walker,), walkers) for cap in question.load_caps),
        *((box.wish, (box.leg,), legs) for box in question.box_caps),
    ]
    slots = {(slot.day, slot.time): slot for slot in question.slots}
    for beside in question.besides:
        pot = slots.get((beside.day, beside.pot_time))
        if pot is None or (beside.day, beside.time) not in slots or not pot.shared or pot.most != 1:
            raise _bad(
                "menu-beside",
                f"'{beside.dish}' on day {beside.day} beside '{beside.pot_time}'",
                "name eating times of that day, the other one common and of one dish",
            )
    asked += [
        (f"beside {one.pot_time}", (one.dish, one.pot_dish), dishes) for one in question.besides
    ]
    if question.budget is not None or question.weights.cost_g != 0:
        asked += [
            (f"dish {dish.id}", [food for food, _ in dish.foods], packs) for dish in question.dishes
        ]
    for where, called, known in asked:
        for name in called:
            if name not in known:
                raise _bad(
                    "menu-unknown-name",
                    f"'{name}' is named but not there",
                    "check the spelling, or add it",
                    where,
                )
    for slot in question.slots:
        if not slot.walkers:
            raise _bad("menu-empty", "nobody eats", "name the eaters", f"day {slot.day}")


def _days(question: Question) -> None:
    for slot in question.slots:
        where = f"day {slot.day} > {slot.time}"
        if not 1 <= slot.day <= question.days:
            raise _bad(
                "menu-day", f"the walk has {question.days} days", "give one of its days", where
            )
        if not 0 <= slot.least <= slot.most or slot.most < 1 or slot.twice < 1:
            raise _bad(
                "menu-picks",
                f"from {slot.least} to {slot.most} dishes, each {slot.twice} times at most",
                "give 0 <= least <= most, and at least once",
                where,
            )
    if question.legs:
        first = [1, *(leg.last_day + 1 for leg in question.legs)]
        fits = all(
            leg.first_day == begins <= leg.last_day <= question.days
            for leg, begins in zip(question.legs, first, strict=False)
        )
        if not fits or first[-1] != question.days + 1:
            raise _bad(
                "menu-legs",
                "the legs do not cover every day once, in order",
                "let each leg begin on the day after the one before",
            )
    supplies = {dish.supply for dish in question.dishes}
    for slot in question.slots:
        if not slot.mass_weights or len(slot.mass_weights) not in (1, max(supplies, default=0) + 1):
            raise _bad(
                "menu-weights",
                f"{len(slot.mass_weights)} weights of mass for {len(supplies)} kinds of supply",
                "give one for all, or one for each kind",
                f"day {slot.day} > {slot.time}",
            )
    if question.weights.day and len(question.weights.day) != question.days:
        raise _bad("menu-weights", "the day weights are not one per day", "give one per day")
    for repeat in question.repeats:
        if repeat.within_days < 1 or repeat.most < 1:
            raise _bad("menu-repeat", "a repeat rule of no days", "give 1 or more", repeat.wish)
    _named_days(question)
    for band in question.bands:
        for part in (band.low, band.high):
            if band.share and part is not None and part > 1:
                raise _bad(
                    "menu-share", f"{part:.0%} of the energy", "give a part, from 0 to 1", band.wish
                )
        if band.share and band.nutrient not in ("protein_g", "fat_g", "carbohydrate_g"):
            raise _bad(
                "menu-share", f"no share of energy for {band.nutrient}", "see the list", band.wish
            )
        if band.share and band.whole:
            raise _bad("menu-share", "a share over several days", "give it for each day", band.wish)


def _named_days(question: Question) -> None:
    """Wishes for days that the walk does not have say nothing, and are told."""
    named = [(band.wish, band.days, 1) for band in question.bands]
    named += [(cap.wish, cap.days, 1) for cap in question.load_caps]
    named += [(litre.wish, litre.days, 0) for litre in question.litres]
    for wish, days, first in named:
        for day in days:
            if not first <= day <= question.days:
                raise _bad(
                    "menu-day",
                    f"day {day} is named, and the walk has {question.days}",
                    f"give days from {first} to {question.days}",
                    wish,
                )
