"""Does a menu keep every wish? Asked of the plates alone, in exact fractions.

This shares nothing with the model that made the menu: no arrays, no solver, no
figure table, only the question and the plates. Sums are exact (portions are
whole steps; figures are taken as the fractions that they are). A limit counts
as kept when it is missed by no more than one millionth of its own size: 3 mkcal
in 3000 kcal, 1 mg in a kilogram. Solvers keep rows only to within such a figure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction

import msgspec

from fellfare.menu.answer import Plate
from fellfare.menu.pool import Band, Dish, Leg, Question, Slot

#: Part of a limit's own size by which it may be missed.
TOLERANCE = Fraction(1, 1_000_000)


class Broken(msgspec.Struct, frozen=True, kw_only=True):
    """One rule that is not kept: whose wish, what happened, by how much."""

    wish: str
    what: str
    amount: float
    unit: str


def _exact(value: float | None) -> Fraction:
    return Fraction(0) if value is None else Fraction(value)


def _over(value: Fraction, low: float | None, high: float | None) -> Fraction:
    """By how much a value lies outside its limits, beyond the tolerance (0: inside)."""
    for limit, sign in ((low, 1), (high, -1)):
        if limit is None or limit in (float("inf"), float("-inf")):
            continue
        short = sign * (Fraction(limit) - value)
        if short > TOLERANCE * max(abs(Fraction(limit)), 1):
            return short
    return Fraction(0)


class _Eaten(msgspec.Struct, frozen=True, kw_only=True):
    plate: Plate
    slot: Slot
    dish: Dish
    walker: str
    servings: Fraction


class _Check:
    def __init__(self, question: Question, plates: Iterable[Plate]) -> None:
        self.question = question
        self.plates = tuple(plates)
        self.broken: list[Broken] = []
        self.dish = {dish.id: dish for dish in question.dishes}
        self.slot = {(slot.day, slot.time): slot for slot in question.slots}
        self.legs = question.legs or (Leg(name="walk", first_day=1, last_day=question.days),)
        self.eaten: list[_Eaten] = []

    def leg(self, day: int) -> Leg:
        return next(leg for leg in self.legs if leg.first_day <= day <= leg.last_day)

    def say(self, wish: str, what: str, amount: Fraction | int | float, unit: str) -> None:
        self.broken.append(Broken(wish=wish, what=what, amount=float(amount), unit=unit))

    # -- each plate on its own ----------------------------------------------------

    def plates_fit(self) -> None:
        for plate in self.plates:
            slot = self.slot.get((plate.day, plate.time))
            dish = self.dish.get(plate.dish)
            where = f"day {plate.day}, {plate.time}"
            if slot is None or dish is None:
                self.say("the plan", f"{where}: no such eating time or dish", 1, "dish")
                continue
            if plate.shared != slot.shared:
                self.say("the plan", f"{where}: common pot or not", 1, "dish")
            eaters = tuple(portion.walker for portion in plate.portions)
            if slot.shared and sorted(eaters) != sorted(slot.walkers):
                self.say("the plan", f"{where}: not everybody has a portion", 1, "dish")
            if not slot.shared and (len(eaters) != 1 or eaters[0] not in slot.walkers):
                self.say("the plan", f"{where}: whose portion?", 1, "dish")
            for portion in plate.portions:
                steps, times = portion.steps, plate.times
                if not dish.least_steps * times <= steps <= dish.most_steps * times:
                    self.say("portion sizes", f"{where}: {steps} steps", 1, "portion")
                self.eaten.append(
                    _Eaten(
                        plate=plate,
                        slot=slot,
                        dish=dish,
                        walker=portion.walker,
                        servings=Fraction(steps, dish.steps_per_serving),
                    )
                )
            self._dish_fits(slot, dish, eaters, where)

    def _dish_fits(self, slot: Slot, dish: Dish, eaters: tuple[str, ...], where: str) -> None:
        leg = self.leg(slot.day)
        name = f"{where}, {dish.title}"
        if slot.meal not in dish.meals:
            self.say("kinds of meal", f"{name}: no {slot.meal}", 1, "dish")
        if not any(way in slot.ways for way in dish.ways):
            self.say("ways of making", f"{name}: needs {dish.ways}", 1, "dish")
        if dish.shared_only and not slot.shared:
            self.say("common pot", f"{name}: made for a common pot", 1, "dish")
        if dish.stops is not None and leg.name not in dish.stops:
            self.say("supply", f"{name}: not to be had for {leg.name}", 1, "dish")
        age = slot.day - leg.first_day
        if age > 0 and (dish.keeps_days is None or age >= dish.keeps_days):
            self.say("keeping", f"{name}: {age} days old", 1, "dish")
        if self.question.litres and dish.volume_ml is None:
            self.say("litres", f"{name}: volume unknown", 1, "dish")
        if self.question.budget and dish.cost is None and not dish.foods:
            self.say("budget", f"{name}: price unknown", 1, "dish")
        for walker in self.question.walkers:
            if walker.id not in eaters:
                continue
            for avoid in walker.avoids:
                doubt = set(dish.contains)
                doubt |= set(dish.may_contain) if avoid.may_contain else set()
                doubt |= set(dish.unknown_allergens) if avoid.unknown else set()
                if avoid.allergen in doubt:
                    self.say("allergies", f"{name}: {avoid.allergen}, {walker.id}", 1, "dish")
            if not set(walker.diets) <= set(dish.diets):
                self.say("diets", f"{name}: {walker.id}", 1, "dish")
            if dish.id in walker.dislikes or (dish.family and dish.family in walker.dislikes):
                self.say("dislikes", f"{name}: {walker.id}", 1, "dish")
        for ban in self.question.bans:
            who = None if slot.shared else eaters[0]
            if (
                ban.dish == dish.id
                and (ban.day is None or ban.day == slot.day)
                and (ban.time is None or ban.time == slot.time)
                and (ban.walker is None or ban.walker == who)
            ):
                self.say("banned by you", f"{name}", 1, "dish")

    def slots_filled(self) -> None:
        for slot in self.question.slots:
            here = [p for p in self.plates if (p.day, p.time) == (slot.day, slot.time)]
            for walker in slot.walkers[:1] if slot.shared else slot.walkers:
                mine = [p for p in here if any(q.walker == walker for q in p.portions)]
                many = sum(p.times for p in mine)
                where = f"day {slot.day}, {slot.time}, {walker}"
                if not slot.least <= many <= slot.most:
                    away = max(slot.least - many, many - slot.most)
                    self.say("a dish at every eating time", f"{where}: {many}", away, "dish")
                for name in {p.dish for p in mine}:
                    times = sum(p.times for p in mine if p.dish == name)
                    locked = sum(
                        lock.dish == name and (lock.day, lock.time) == (slot.day, slot.time)
                        for lock in self.question.locks
                    )
                    if times > slot.twice + locked:
                        self.say("not the same twice", f"{where}: {name}", times, "dish")
        for lock in self.question.locks:
            slot = self.slot[lock.day, lock.time]
            who = slot.walkers[:1] if slot.shared else slot.walkers
            for walker in who if lock.walker is None else (lock.walker,):
                there = any(
                    p.dish == lock.dish
                    and (p.day, p.time) == (lock.day, lock.time)
                    and any(q.walker == walker for q in p.portions)
                    for p in self.plates
                )
                if not there:
                    self.say("fixed by you", f"day {lock.day}, {lock.time}: {lock.dish}", 1, "dish")

    # -- what a walker eats -------------------------------------------------------

    def bands(self) -> None:
        for band in self.question.bands:
            days = band.days or tuple(range(1, self.question.days + 1))
            for span in (days,) if band.whole else tuple((day,) for day in days):
                self._band(band, span)

    def _band(self, band: Band, span: tuple[int, ...]) -> None:
        mine = [e for e in self.eaten if e.walker == band.walker and e.slot.day in span]
        if not any(
            slot.day in span and band.walker in slot.walkers for slot in self.question.slots
        ):
            return

        def total(name: str) -> Fraction:
            return sum((_exact(getattr(e.dish, name)) * e.servings for e in mine), Fraction(0))

        where = f"{band.walker}, day {span[0]}"
        if band.share:
            factor = {"protein_g": 4, "carbohydrate_g": 4, "fat_g": 9}[band.nutrient]
            energy, part = total("energy_kcal"), factor * total(band.nutrient)
            for limit, sign in ((band.low, 1), (band.high, -1)):
                if limit is None:
                    continue
                short = sign * (Fraction(limit) * energy - part)
                if short > TOLERANCE * max(energy, Fraction(1)):
                    self.say(band.wish, where, short, "kcal")
            return
        value = total(band.nutrient)
        if band.nutrient == "energy_kcal":
            value -= sum((self._load_kcal(band.walker, day) for day in span), Fraction(0))
        over = _over(value, band.low, band.high)
        if over:
            unit = {"energy_kcal": "kcal", "sodium_mg": "mg"}.get(band.nutrient, "g")
            self.say(band.wish, where, over, unit)

    def _load_kcal(self, name: str, day: int) -> Fraction:
        walker = next(w for w in self.question.walkers if w.id == name)
        if walker.load_kcal_per_kg == 0:
            return Fraction(0)
        carried = self._carried(name, day, lambda slot: _exact(slot.carried_share))
        return Fraction(walker.load_kcal_per_kg) * carried / 1000

    def _carried(self, name: str, day: int, today: Callable[[Slot], Fraction]) -> Fraction:
        """Food and fuel that a walker carries on a day: own, and a share of the common [g]."""
        walker = next(w for w in self.question.walkers if w.id == name)
        share = (
            1.0 / len(self.question.walkers) if walker.common_share is None else walker.common_share
        )
        leg = self.leg(day)
        total = Fraction(0)
        for e in self.eaten:
            if not day <= e.slot.day <= leg.last_day:
                continue
            part = Fraction(share) if e.slot.shared else Fraction(int(e.walker == name))
            if e.slot.day == day:
                part *= today(e.slot)
            total += part * (_exact(e.dish.mass_g) + _exact(e.dish.fuel_g)) * e.servings
        return total

    # -- the whole walk -----------------------------------------------------------

    def repeats(self) -> None:
        for repeat in self.question.repeats:
            for walker in self.question.walkers:
                on: dict[str, list[int]] = {}
                for e in self.eaten:
                    if e.walker != walker.id or (repeat.times and e.plate.time not in repeat.times):
                        continue
                    word = e.dish.id if repeat.key == "dish" else getattr(e.dish, repeat.key)
                    if word:
                        on.setdefault(word, []).extend([e.plate.day] * e.plate.times)
                for word, days in on.items():
                    for first in set(days):
                        many = sum(first <= day < first + repeat.within_days for day in days)
                        if many > repeat.most:
                            self.say(
                                repeat.wish,
                                f"{walker.id}: {word} from day {first}",
                                many - repeat.most,
                                "times too often",
                            )
        for often in self.question.oftens:
            many = sum(
                p.times
                for p in self.plates
                if p.dish in often.dishes
                and (often.walker is None or any(q.walker == often.walker for q in p.portions))
            )
            if many < often.least:
                self.say(often.wish, f"{many} times", often.least - many, "times")
        for different in self.question.differents:
            kinds = {p.dish for p in self.plates if p.time in different.times}
            if len(kinds) < different.least:
                short = different.least - len(kinds)
                self.say(different.wish, f"{len(kinds)} different", short, "dishes")

    def rooms(self) -> None:
        for litre in self.question.litres:
            for leg in self.legs:
                for night in range(leg.first_day - 1, leg.last_day):
                    asked = night in litre.days if litre.days else night >= leg.first_day
                    if not asked:
                        continue
                    total = Fraction(0)
                    for e in self.eaten:
                        if not leg.first_day <= e.slot.day <= leg.last_day:
                            continue
                        if litre.walkers and e.walker not in litre.walkers:
                            continue
                        left = Fraction(1) if e.slot.day > night else Fraction(litre.rubbish_share)
                        total += left * _exact(e.dish.volume_ml) * e.servings
                    over = _over(total, None, litre.litres * 1000)
                    if over:
                        self.say(litre.wish, f"night {night}", over / 1000, "L")
        for cap in self.question.load_caps:
            for day in cap.days or tuple(leg.first_day for leg in self.legs):
                load = self._carried(cap.walker, day, lambda _: Fraction(1))
                over = _over(load, None, cap.most_g)
                if over:
                    self.say(cap.wish, f"{cap.walker}, day {day}", over, "g")
        for box in self.question.box_caps:
            leg = next(each for each in self.legs if each.name == box.leg)
            inside = [e for e in self.eaten if leg.first_day <= e.slot.day <= leg.last_day]
            mass = sum(
                ((_exact(e.dish.mass_g) + _exact(e.dish.fuel_g)) * e.servings for e in inside),
                Fraction(0),
            )
            room = sum((_exact(e.dish.volume_ml) * e.servings for e in inside), Fraction(0))
            for value, most, unit in ((mass, box.most_g, "g"), (room, box.most_ml, "ml")):
                over = _over(value, None, most)
                if over:
                    self.say(box.wish, leg.name, over, unit)
        for slot in self.question.slots:
            if slot.pot_ml is None or not slot.shared:
                continue
            pot = sum(
                (_exact(e.dish.pot_ml) * e.servings for e in self.eaten if e.slot == slot),
                Fraction(0),
            )
            over = _over(pot, None, slot.pot_ml)
            if over:
                self.say("what the pot holds", f"day {slot.day}, {slot.time}", over, "ml")

    def money(self) -> None:
        budget = self.question.budget
        if budget is None:
            return
        total = sum((Fraction(leg.fee) for leg in self.legs), Fraction(0))
        total += sum((_exact(e.dish.cost) * e.servings for e in self.eaten), Fraction(0))
        for pack in self.question.packs:
            need = sum(
                (
                    Fraction(grams) * e.servings
                    for e in self.eaten
                    for food, grams in e.dish.foods
                    if food == pack.food
                ),
                Fraction(0),
            )
            bought = -(-need // Fraction(pack.size_g))
            if Fraction(bought - 1) * Fraction(pack.size_g) >= need * (1 - TOLERANCE):
                bought -= 1  # a pack short by less than the tolerance is not bought for it
            total += bought * Fraction(pack.price)
            if bought > pack.most:
                self.say(f"whole packs of {pack.food}", "too many", bought - pack.most, "packs")
        over = _over(total, None, budget.most)
        if over:
            self.say(budget.wish, "all", over, "money")


def broken_rules(question: Question, plates: Iterable[Plate]) -> tuple[Broken, ...]:
    """Every rule that these plates do not keep; empty: all kept, to within ``TOLERANCE``."""
    check = _Check(question, plates)
    check.plates_fit()
    check.slots_filled()
    check.bands()
    check.repeats()
    check.rooms()
    check.money()
    return tuple(check.broken)
