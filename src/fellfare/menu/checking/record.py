"""Who eats what on which day? The plates put in order, and exact sums over them."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from fellfare.menu.answer import Plate
from fellfare.menu.pool import Dish, Leg, Question, Slot

#: Part of a limit's own size by which it may be missed.
TOLERANCE = Fraction(1, 1_000_000)


class Broken(msgspec.Struct, frozen=True, kw_only=True):
    """One rule that is not kept: whose wish, what happened, by how much."""

    wish: str
    what: str
    amount: float
    unit: str


class Eaten(msgspec.Struct, frozen=True, kw_only=True):
    """One walker's part of one plate."""

    plate: Plate
    slot: Slot
    dish: Dish
    walker: str
    servings: Fraction


class Record:
    """The plates of a menu, each eater's day together; figures as exact fractions.

    Plates that name no eating time or dish of the question are left out here
    (``plates.misfits`` tells of them).
    """

    def __init__(self, question: Question, plates: tuple[Plate, ...]) -> None:
        self.question = question
        self.plates = plates
        self.dishes = {dish.id: dish for dish in question.dishes}
        self.slots = {(slot.day, slot.time): slot for slot in question.slots}
        self.legs = question.legs or (Leg(name="walk", first_day=1, last_day=question.days),)
        self.eaten: list[Eaten] = []
        self.by_walker: dict[str, list[Eaten]] = {}
        self.by_day: dict[tuple[str, int], list[Eaten]] = {}
        self._figures: dict[tuple[str, str], Fraction] = {}
        self._loads: dict[tuple[str | None, int], tuple[Fraction, Fraction]] = {}
        for plate in plates:
            slot, dish = self.slots.get((plate.day, plate.time)), self.dishes.get(plate.dish)
            if slot is None or dish is None:
                continue
            for portion in plate.portions:
                one = Eaten(
                    plate=plate,
                    slot=slot,
                    dish=dish,
                    walker=portion.walker,
                    servings=Fraction(portion.steps, dish.steps_per_serving),
                )
                self.eaten.append(one)
                self.by_walker.setdefault(one.walker, []).append(one)
                self.by_day.setdefault((one.walker, slot.day), []).append(one)

    def leg(self, day: int) -> Leg:
        """The leg in which a day lies."""
        return next(leg for leg in self.legs if leg.first_day <= day <= leg.last_day)

    def figure(self, dish: Dish, name: str) -> Fraction:
        """A figure of a dish per serving; 'carried_g' is mass and fuel; unknown counts nothing."""
        if (dish.id, name) not in self._figures:
            names = ("mass_g", "fuel_g") if name == "carried_g" else (name,)
            self._figures[dish.id, name] = sum(
                (Fraction(getattr(dish, each) or 0) for each in names), Fraction(0)
            )
        return self._figures[dish.id, name]

    def total(
        self, name: str, walker: str, days: tuple[int, ...], times: tuple[str, ...] = ()
    ) -> Fraction:
        """What one walker eats of a figure on these days, at these times (none named: at all)."""
        return sum(
            (
                self.figure(one.dish, name) * one.servings
                for day in days
                for one in self.by_day.get((walker, day), ())
                if not times or one.slot.time in times
            ),
            Fraction(0),
        )

    def load_g(self, walker: str, day: int, at_start: bool) -> Fraction:
        """Food and fuel that a walker carries on a day: own, and a share of the common [g].

        ``at_start`` counts all of the day's food, else only the part of the day
        for which each meal is carried.
        """
        one = next(w for w in self.question.walkers if w.id == walker)
        share = 1.0 / len(self.question.walkers) if one.common_share is None else one.common_share
        own, common = self._mass(walker, day, at_start), self._mass(None, day, at_start)
        for later in range(day + 1, self.leg(day).last_day + 1):
            own += self._mass(walker, later, at_start=True)
            common += self._mass(None, later, at_start=True)
        return own + Fraction(share) * common

    def _mass(self, walker: str | None, day: int, at_start: bool) -> Fraction:
        """Mass of a day's own food of one walker, or (None) of all common food."""
        if not self._loads:
            for each in self.eaten:
                mark = (None if each.slot.shared else each.walker, each.slot.day)
                mass = self.figure(each.dish, "carried_g") * each.servings
                whole, part = self._loads.get(mark, (Fraction(0), Fraction(0)))
                part += mass * Fraction(each.slot.carried_share)
                self._loads[mark] = (whole + mass, part)
        whole, part = self._loads.get((walker, day), (Fraction(0), Fraction(0)))
        return whole if at_start else part


def outside(value: Fraction, low: float | None, high: float | None) -> Fraction:
    """By how much a value lies outside its limits, beyond the tolerance (0: inside)."""
    for limit, sign in ((low, 1), (high, -1)):
        if limit is None or limit in (float("inf"), float("-inf")):
            continue
        short = sign * (Fraction(limit) - value)
        if short > TOLERANCE * max(abs(Fraction(limit)), Fraction(1)):
            return short
    return Fraction(0)


def broken(wish: str, what: str, amount: Fraction | int, unit: str) -> Broken:
    """Told with the amount as a plain number."""
    return Broken(wish=wish, what=what, amount=float(amount), unit=unit)
