"""May each plate stand where it stands, and is every eating time filled?"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import isclose

from fellfare.menu.answer import Plate
from fellfare.menu.checking.record import Broken, Record, broken
from fellfare.menu.pool import Dish, Lock, Slot, Walker

PLAN = "the plan"


def misfits(record: Record) -> Iterator[Broken]:
    """What speaks against single plates."""
    for plate in record.plates:
        slot, dish = record.slots.get((plate.day, plate.time)), record.dishes.get(plate.dish)
        where = f"day {plate.day}, {plate.time}"
        if slot is None or dish is None:
            yield broken(PLAN, f"{where}: no such eating time or dish", 1, "dish")
            continue
        yield from _eaters(plate, slot, where)
        yield from _portions(record, plate, dish, where)
        name = f"{where}, {dish.title}"
        yield from _place(record, slot, dish, name)
        yield from _people(record, plate, dish, name)
        yield from _bans(record, plate, slot, name)
        yield from _beside(record, plate, name)


def _eaters(plate: Plate, slot: Slot, where: str) -> Iterator[Broken]:
    eaters = tuple(portion.walker for portion in plate.portions)
    if plate.shared != slot.shared:
        yield broken(PLAN, f"{where}: common pot or not", 1, "dish")
    if slot.shared and sorted(eaters) != sorted(slot.walkers):
        yield broken(PLAN, f"{where}: not everybody has a portion", 1, "dish")
    if not slot.shared and (len(eaters) != 1 or eaters[0] not in slot.walkers):
        yield broken(PLAN, f"{where}: whose portion?", 1, "dish")
    if plate.times < 1:
        yield broken(PLAN, f"{where}: a plate of nothing", 1, "dish")


def _portions(record: Record, plate: Plate, dish: Dish, where: str) -> Iterator[Broken]:
    for portion in plate.portions:
        least, most = dish.least_steps * plate.times, dish.most_steps * plate.times
        if not least <= portion.steps <= most:
            away = max(least - portion.steps, portion.steps - most)
            yield broken("portion sizes", f"{where}, {portion.walker}", away, "steps")
        servings = Fraction(portion.steps, dish.steps_per_serving)
        for told, name in ((portion.mass_g, "carried_g"), (portion.energy_kcal, "energy_kcal")):
            true = float(record.figure(dish, name) * servings)
            if not isclose(told, true, rel_tol=1e-9, abs_tol=1e-9):
                yield broken(PLAN, f"{where}: {told:g} told, {true:g} reckoned", 1, name)


def _place(record: Record, slot: Slot, dish: Dish, name: str) -> Iterator[Broken]:
    question, leg = record.question, record.leg(slot.day)
    age = slot.day - leg.first_day
    boxed = any(box.leg == leg.name and box.most_ml is not None for box in question.box_caps)
    if slot.meal not in dish.meals:
        yield broken("kinds of meal", f"{name}: no {slot.meal}", 1, "dish")
    if not any(way in slot.ways for way in dish.ways):
        yield broken("ways of making", f"{name}: needs {' or '.join(dish.ways)}", 1, "dish")
    if dish.shared_only and not slot.shared:
        yield broken("common pot", f"{name}: made for a common pot", 1, "dish")
    if dish.stops is not None and leg.name not in dish.stops:
        yield broken("supply", f"{name}: not to be had for {leg.name}", 1, "dish")
    if age > 0 and (dish.keeps_days is None or age >= dish.keeps_days):
        yield broken("keeping", f"{name}: {age} days old", 1, "dish")
    if (question.litres or boxed) and dish.volume_ml is None:
        yield broken("litres", f"{name}: volume unknown", 1, "dish")
    if question.budget and dish.cost is None and not dish.foods:
        yield broken("budget", f"{name}: price unknown", 1, "dish")


def _people(record: Record, plate: Plate, dish: Dish, name: str) -> Iterator[Broken]:
    eaters = {portion.walker for portion in plate.portions}
    for walker in record.question.walkers:
        if walker.id in eaters:
            yield from _person(walker, dish, name)


def _person(walker: Walker, dish: Dish, name: str) -> Iterator[Broken]:
    for avoid in walker.avoids:
        doubt = set(dish.contains)
        doubt |= set(dish.may_contain) if avoid.may_contain else set()
        doubt |= set(dish.unknown_allergens) if avoid.unknown else set()
        if avoid.allergen in doubt:
            yield broken("allergies", f"{name}: {avoid.allergen}, {walker.id}", 1, "dish")
    if not set(walker.diets) <= set(dish.diets):
        yield broken("diets", f"{name}: {walker.id}", 1, "dish")
    if dish.id in walker.dislikes or (dish.family and dish.family in walker.dislikes):
        yield broken("dislikes", f"{name}: {walker.id}", 1, "dish")


def _bans(record: Record, plate: Plate, slot: Slot, name: str) -> Iterator[Broken]:
    who = {portion.walker for portion in plate.portions} if not slot.shared else set()
    for ban in record.question.bans:
        if (
            ban.dish == plate.dish
            and (ban.day is None or ban.day == slot.day)
            and (ban.time is None or ban.time == slot.time)
            and (ban.walker is None or ban.walker in who)
        ):
            yield broken("banned by you", name, 1, "dish")


def _beside(record: Record, plate: Plate, name: str) -> Iterator[Broken]:
    """What is only for the plates beside a certain pot stands nowhere else."""
    asked = [one for one in record.question.besides if one.dish == plate.dish]
    here = [one for one in asked if (one.day, one.time) == (plate.day, plate.time)]
    if not asked:
        return
    pots = {(each.day, each.time, each.dish) for each in record.plates if each.shared}
    if not any((one.day, one.pot_time, one.pot_dish) in pots for one in here):
        yield broken("beside the pot", f"{name}: not out of that pot", 1, "dish")


def unfilled(record: Record) -> Iterator[Broken]:
    """Eating times with too few or too many dishes, and fixed dishes that are missing."""
    there: dict[tuple[int, str, str], list[Plate]] = {}
    for plate in record.plates:
        for walker in {portion.walker for portion in plate.portions}:
            there.setdefault((plate.day, plate.time, walker), []).append(plate)
    locks: dict[tuple[int, str], list[Lock]] = {}
    for lock in record.question.locks:
        locks.setdefault((lock.day, lock.time), []).append(lock)
    for slot in record.question.slots:
        for walker in slot.walkers:
            mine = there.get((slot.day, slot.time, walker), [])
            held = [
                lock.dish
                for lock in locks.get((slot.day, slot.time), ())
                if lock.walker is None or lock.walker == walker
            ]
            yield from _filled(slot, mine, held, f"day {slot.day}, {slot.time}, {walker}")


def _filled(slot: Slot, mine: list[Plate], held: list[str], where: str) -> Iterator[Broken]:
    """``held`` are the dishes fixed here, each as often as it was fixed."""
    many = sum(plate.times for plate in mine)
    if not slot.least <= many <= slot.most:
        away = max(slot.least - many, many - slot.most)
        yield broken("a dish at every eating time", f"{where}: {many}", away, "dish")
    for name in sorted({plate.dish for plate in mine} | set(held)):
        times = sum(plate.times for plate in mine if plate.dish == name)
        if times > max(slot.twice, held.count(name)):
            yield broken("not the same twice", f"{where}: {name}", times, "dish")
        if times < held.count(name):
            yield broken("fixed by you", f"{where}: {name}", held.count(name) - times, "dish")
