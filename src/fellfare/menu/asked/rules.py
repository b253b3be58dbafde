"""From the rules of a trip to the wishes of a menu."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final, Literal

from msgspec import Struct

from fellfare.menu.asked.at_table import AT_TABLE
from fellfare.menu.asked.stowing import litres_of
from fellfare.menu.asked.taking import Take
from fellfare.menu.pool import (
    Avoid,
    Ban,
    Band,
    BoxCap,
    Different,
    Leg,
    Litres,
    LoadCap,
    Nutrient,
    Repeat,
    Slot,
    Walker,
)
from fellfare.trip.meals import usual_share
from fellfare.trip.plan import TripPlan
from fellfare.trip.trip import Trip
from fellfare.trip.wishes import Rules
from fellfare.walk.figures import Array

#: Where the trip has no rule: so many days lie between two of one dish, if there are dishes
#: enough for it (judgement).
USUAL_BETWEEN: Final = 2
#: So many bases must be on offer before none may come on two days running (judgement).
LEAST_BASES: Final = 3
_DINNER: Final = "dinner"


class Share(Struct, frozen=True, kw_only=True, eq=False):
    """Which part of a walker's day the menu has to bring; arrays are walkers x days (W, D)."""

    #: Energy that the dishes of each day must bring [kcal].
    target_kcal: Array
    #: Energy of all that the day's eating times bring, carried or not [kcal].
    day_kcal: Array
    #: Part of a whole day's food, 0 to 1: hours on trail food, less what is bought or by weight.
    part: Array


def eaters_of(trip: Trip) -> tuple[Walker, ...]:
    """The party as eaters; common food is borne by those who share a pot, in even parts."""
    shared = [k for k in trip.kitchens if len(k.walkers) > 1]
    mates = {name for kitchen in shared for name in kitchen.walkers}
    if not trip.kitchens and len(trip.walkers) > 1:
        mates = {walker.name for walker in trip.walkers}
    may_contain = trip.rules.traces == "avoid"
    return tuple(
        Walker(
            id=walker.name,
            avoids=tuple(
                Avoid(allergen=agent, may_contain=may_contain, unknown=True)
                for agent in walker.avoids
            ),
            diets=tuple(walker.diets),
            common_share=(1.0 / len(mates) if walker.name in mates else 0.0) if mates else None,
        )
        for walker in trip.walkers
    )


def bands_of(trip: Trip, share: Share) -> tuple[Band, ...]:
    """Floors and ceilings of every walker and day that eats anything of the menu.

    With an energy band that lies wholly below the target, the band's own top is the most that
    the whole walk can ask for.
    """
    rules = trip.rules
    out: list[Band] = []
    for w, walker in enumerate(trip.walkers):
        for d in range(share.target_kcal.shape[1]):
            target, part = float(share.target_kcal[w, d]), float(share.part[w, d])
            if target <= 0.0 or part <= 0.0:
                continue
            out += _day(rules, walker.name, walker.mass_kg, d + 1, target, part)
        out += _whole(rules, walker.name, share, w)
    return tuple(out)


def _whole(rules: Rules, walker: str, share: Share, row: int) -> Iterator[Band]:
    """Over the whole walk no less than all targets: a day's band is for days that differ."""
    targets = share.target_kcal[row]
    days = tuple(int(d) + 1 for d in range(len(targets)) if targets[d] > 0 < share.part[row, d])
    if len(days) > 1:
        yield Band(
            wish="coverage over the whole walk",
            walker=walker,
            nutrient="energy_kcal",
            low=min(1.0, rules.energy_band[1]) * float(sum(targets[d - 1] for d in days)),
            days=days,
            whole=True,
        )


def _day(
    rules: Rules, walker: str, mass_kg: float, day: int, target: float, part: float
) -> Iterator[Band]:
    def band(
        wish: str, nutrient: Nutrient, low: float | None, high: float | None, *, share: bool = False
    ) -> Band:
        return Band(
            wish=wish,
            walker=walker,
            nutrient=nutrient,
            low=low,
            high=high,
            days=(day,),
            share=share,
        )

    least, most = rules.energy_band
    yield band(f"energy_band = [{least:g}, {most:g}]", "energy_kcal", least * target, most * target)
    if rules.protein_g_per_kg is not None:
        low = rules.protein_g_per_kg * mass_kg * part
        yield band(f"protein_g_per_kg = {rules.protein_g_per_kg:g}", "protein_g", low, None)
    shares: tuple[tuple[str, Nutrient, tuple[float, float] | None], ...] = (
        ("protein_share", "protein_g", rules.protein_share),
        ("fat_share", "fat_g", rules.fat_share),
        ("carbohydrate_share", "carbohydrate_g", rules.carbohydrate_share),
    )
    for key, nutrient, pair in shares:
        if pair is not None:
            wish = f"{key} = [{pair[0]:g}, {pair[1]:g}]"
            yield band(wish, nutrient, pair[0], pair[1], share=True)
    if rules.fibre_g_per_1000_kcal is not None:
        low = rules.fibre_g_per_1000_kcal * target / 1000.0
        yield band(f"fibre_g_per_1000_kcal = {rules.fibre_g_per_1000_kcal:g}", "fibre_g", low, None)
    if rules.sodium_mg is not None:
        least_mg, most_mg = rules.sodium_mg
        wish = f"sodium_mg = [{least_mg:g}, {most_mg:g}]"
        yield band(wish, "sodium_mg", least_mg * part, most_mg * part)


def meal_bands(plan: TripPlan, slots: Sequence[Slot], share: Share) -> Iterator[Band]:
    """What an eating time brings of its day's energy.

    On a day that is not whole the shares of the eating times that are left are scaled up as
    the plan scales them, and so is the band.
    """
    asked = {one.name: one for one in plan.trip.eating if one.energy_share is not None}
    if not asked:
        return
    rows = {walker.name: row for row, walker in enumerate(plan.trip.walkers)}
    whole = sum(usual_share(one) for one in plan.trip.eating)
    for slot in slots:
        if slot.meal not in asked:
            continue
        eating = asked[slot.meal]
        least, most = eating.energy_share or (0.0, 1.0)
        meal = next(one for one in plan.days[slot.day - 1].meals if one.name == slot.meal)
        usual = usual_share(eating) / whole if whole > 0 else 0.0
        scale = meal.share / usual if usual > 0 else 1.0
        for who in slot.walkers:
            day_kcal = float(share.day_kcal[rows[who], slot.day - 1])
            if day_kcal > 0:
                yield Band(
                    wish=f"energy_share = [{least:g}, {most:g}] at {slot.meal}",
                    walker=who,
                    nutrient="energy_kcal",
                    low=least * scale * day_kcal,
                    high=most * scale * day_kcal,
                    days=(slot.day,),
                    times=(slot.time, *_beside(slots, slot)),
                )


def _beside(slots: Sequence[Slot], pot: Slot) -> tuple[str, ...]:
    """Eating times of what is put on one's own plate out of that pot."""
    return tuple(
        one.time
        for one in slots
        if pot.shared
        and (one.day, one.meal) == (pot.day, AT_TABLE)
        and set(one.walkers) <= set(pot.walkers)
    )


class Usual(Struct, frozen=True, kw_only=True):
    """Wishes for variety that hold where the trip says nothing, and how they are told."""

    repeats: tuple[Repeat, ...] = ()
    said: tuple[str, ...] = ()


def repeats_of(trip: Trip, slots: Sequence[Slot], days: int) -> tuple[Repeat, ...]:
    """The document's own rules on repeats; those of an eating time go before those of all."""
    times: dict[str, tuple[str, ...]] = {}
    for slot in slots:
        times[slot.meal] = tuple(dict.fromkeys((*times.get(slot.meal, ()), slot.time)))
    most: dict[tuple[int | None, bool], list[str]] = {}
    between: dict[tuple[int | None, bool], list[str]] = {}
    for eating in trip.eating:
        own, all_of = eating.most_of_one_dish, trip.rules.most_of_one_dish
        most.setdefault((all_of if own is None else own, own is None), []).append(eating.name)
        own, all_of = eating.days_between, trip.rules.days_between
        between.setdefault((all_of if own is None else own, own is None), []).append(eating.name)

    def told(key: str, value: int, names: Sequence[str], common: bool) -> str:
        return f"{key} = {value}" + ("" if common else f" at {', '.join(names)}")

    def at(names: Sequence[str]) -> tuple[str, ...]:
        return tuple(time for name in names for time in times.get(name, ()))

    def all_or(names: Sequence[str]) -> tuple[str, ...]:
        return () if set(times) <= set(names) else at(names)

    out = [
        Repeat(
            wish=told("most_of_one_dish", value, names, common),
            key="dish",
            within_days=days,
            most=value,
            times=all_or(names),
        )
        for (value, common), names in most.items()
        if value is not None and at(names)
    ]
    out += [
        Repeat(
            wish=told("days_between", value, names, common),
            key="dish",
            within_days=min(value + 1, days),
            times=all_or(names),
        )
        for (value, common), names in between.items()
        if value and at(names)
    ]
    out += [
        Repeat(
            wish=f"{wish} = {value} at {name}",
            key=key,
            within_days=min(value + 1, days),
            times=at((name,)),
        )
        for name, wish, key, value in _kin_between(trip)
        if value and at((name,))
    ]
    return tuple(out)


def _kin_between(trip: Trip) -> Iterator[tuple[str, str, Literal["base", "family"], int]]:
    """(eating time, key of the document, what must not come again, days between)."""
    for eating in trip.eating:
        base, family = eating.base_days_between, eating.flavour_days_between
        base = trip.rules.base_days_between if base is None else base
        family = trip.rules.flavour_days_between if family is None else family
        if base is not None:
            yield eating.name, "base_days_between", "base", base
        if family is not None:
            yield eating.name, "flavour_days_between", "family", family


def usual_repeats(
    trip: Trip,
    slots: Sequence[Slot],
    fits: Mapping[tuple[int, str, str], frozenset[str]],
    bases: Mapping[str, str],
) -> Usual:
    """Some days between two of one dish, no base on two dinners running: if dishes allow it.

    ``fits`` is by (day, time, walker): ids of the dishes that may stand there.
    """
    repeats, said = [], []
    rules = trip.rules
    common = rules.days_between is not None or rules.most_of_one_dish is not None
    ruled = {
        one.name
        for one in trip.eating
        if common or one.days_between is not None or one.most_of_one_dish is not None
    }
    based = {name for name, _, key, _ in _kin_between(trip) if key == "base"}
    times: dict[str, list[Slot]] = {}
    for slot in slots:
        if slot.meal != AT_TABLE:
            times.setdefault(slot.meal, []).append(slot)
    for meal, group in times.items():
        names = tuple(dict.fromkeys(slot.time for slot in group))
        ids = [fits[slot.day, slot.time, who] for slot in group for who in slot.walkers]
        picks = max(slot.most for slot in group)
        between = min(USUAL_BETWEEN, min(map(len, ids), default=0) // max(picks, 1) - 1)
        if meal not in ruled and between >= 1:
            days = "a day" if between == 1 else f"{between} days"
            wish = f"usual: {days} between two of one dish at {meal}"
            said.append(f"at least {days} between two of one dish at {meal}")
            repeats.append(Repeat(wish=wish, key="dish", within_days=between + 1, times=names))
        told = [{bases[dish] for dish in each if bases.get(dish)} for each in ids]
        if meal in based:
            continue
        if meal == _DINNER and picks == 1 and min(map(len, told), default=0) >= LEAST_BASES:
            wish = "usual: no base on two dinners running"
            said.append("no base (rice, pasta …) on two dinners running")
            repeats.append(Repeat(wish=wish, key="base", within_days=2, times=names))
    return Usual(repeats=tuple(repeats), said=tuple(said))


def differents_of(rules: Rules, slots: Sequence[Slot]) -> tuple[Different, ...]:
    """Different dinners in each kitchen, no more than it has dinners."""
    if rules.least_dinners is None:
        return ()
    times: dict[str, int] = {}
    for slot in slots:
        if slot.meal == _DINNER:
            times[slot.time] = times.get(slot.time, 0) + 1
    return tuple(
        Different(
            wish=f"least_dinners = {rules.least_dinners}",
            times=(time,),
            least=min(rules.least_dinners, count),
        )
        for time, count in times.items()
    )


def caps_of(
    trip: Trip, legs: Sequence[tuple[Leg, Take]]
) -> tuple[tuple[LoadCap, ...], tuple[BoxCap, ...], tuple[Litres, ...]]:
    """What a back bears, what a box holds, what the food bags hold at night."""
    most = trip.rules.most_food_kg
    loads = tuple(
        LoadCap(wish=f"most_food_kg = {most:g}", walker=walker.name, most_g=1000.0 * most)
        for walker in trip.walkers
        if most is not None
    )
    boxes = []
    for leg, take in legs:
        stop = None if take.stop is None else take.stop.stop
        if stop is None or (stop.most_kg is None and stop.most_litres is None):
            continue
        boxes.append(
            BoxCap(
                wish=f"what {stop.name} may hold",
                leg=leg.name,
                most_g=None if stop.most_kg is None else 1000.0 * stop.most_kg,
                most_ml=None if stop.most_litres is None else 1000.0 * stop.most_litres,
            )
        )
    return loads, tuple(boxes), litres_of(trip, legs)


def bans_of(rules: Rules, known: Iterable[str]) -> tuple[Ban, ...]:
    """Dishes that nobody wants, as far as they are on offer."""
    known = set(known)
    return tuple(Ban(dish=dish) for dish in rules.never if dish in known)
