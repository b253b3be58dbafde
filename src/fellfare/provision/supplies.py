"""How much fuel and water does each carry need?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isfinite

from msgspec import Struct

from fellfare.camp import Canisters, canister_choices
from fellfare.camp.fuel.canister import RESERVE
from fellfare.mistake import Mistake
from fellfare.provision.planned import Planned


class MealUse(Struct, frozen=True, kw_only=True):
    """What one dish asks for, as the camp's sums say."""

    day: int
    time: str
    leg: int
    #: Where the carry begins: '' = the start.
    stop: str = ""
    #: Fuel [g]; 0 = none, None = not known.
    fuel_g: float | None
    #: Water to eat and drink with it [mL]; None = not known.
    water_ml: float | None
    #: Water that must be carried there, because there is none [mL].
    carried_ml: float = 0.0


class LegSupplies(Struct, frozen=True, kw_only=True):
    """Fuel and water of one carry."""

    leg: int
    stop: str
    days: tuple[int, ...]
    fuel_g: float
    #: Meals whose fuel nobody knows: the sum is a lower bound.
    fuel_unknown: tuple[str, ...]
    #: Canisters of every common size, the lightest first; () when no fuel is needed.
    choices: tuple[Canisters, ...]
    water_ml: float
    water_unknown: tuple[str, ...]
    #: Most water for the meals of one day, and that day.
    most_ml: float
    most_day: int
    carried_ml: float


def supplies(
    meals: Iterable[MealUse], *, reserve: float = RESERVE, gas: bool = True
) -> tuple[LegSupplies, ...]:
    """The sums of each carry.

    Raises
    ------
    Mistake
        ``supply-out-of-range``, ``reserve-out-of-range``.
    """
    meals = tuple(meals)
    for meal in meals:
        _check(meal)
    legs = sorted({meal.leg for meal in meals})
    return tuple(
        _leg(leg, [meal for meal in meals if meal.leg == leg], reserve, gas) for leg in legs
    )


def uses_of(dishes: Iterable[Planned], fuel_g: Iterable[float | None]) -> tuple[MealUse, ...]:
    """One :class:`MealUse` for each dish: water from its sheet, fuel as given beside it."""
    made = []
    for dish, grams in zip(dishes, fuel_g, strict=True):
        factor = dish.servings / dish.sheet.eaters
        camp = [step for step in dish.sheet.steps if step.where == "camp"]
        unknown = any(step.water_unknown for step in camp)
        water_ml = sum((step.water_ml or 0.0) * factor for step in camp)
        made.append(
            MealUse(
                day=dish.day,
                time=dish.time,
                leg=dish.leg,
                stop=dish.stop,
                fuel_g=grams,
                water_ml=None if unknown else water_ml,
            )
        )
    return tuple(made)


def _leg(leg: int, meals: Sequence[MealUse], reserve: float, gas: bool) -> LegSupplies:
    fuel_g = sum(meal.fuel_g or 0.0 for meal in meals)
    days = sorted({meal.day for meal in meals})
    by_day = {day: sum(m.water_ml or 0.0 for m in meals if m.day == day) for day in days}
    most_day = max(days, key=lambda day: (by_day[day], -day))
    return LegSupplies(
        leg=leg,
        stop=next((meal.stop for meal in meals if meal.stop), ""),
        days=tuple(days),
        fuel_g=fuel_g,
        fuel_unknown=tuple(_said(meal) for meal in meals if meal.fuel_g is None),
        choices=canister_choices(fuel_g, reserve) if gas and fuel_g > 0 else (),
        water_ml=sum(by_day.values()),
        water_unknown=tuple(_said(meal) for meal in meals if meal.water_ml is None),
        most_ml=by_day[most_day],
        most_day=most_day,
        carried_ml=sum(meal.carried_ml for meal in meals),
    )


def _said(meal: MealUse) -> str:
    return f"day {meal.day} {meal.time}"


def _check(meal: MealUse) -> None:
    for what, value, most in (
        ("fuel", meal.fuel_g, 1e5),
        ("water", meal.water_ml, 1e7),
        ("carried water", meal.carried_ml, 1e7),
    ):
        if value is not None and not (isfinite(value) and 0.0 <= value <= most):
            raise Mistake(
                "supply-out-of-range",
                what=f"{what} of {value:g} is outside 0 to {most:g}",
                mend="fuel in grams and water in millilitres, for one meal; None when not known",
                where=_said(meal),
            )
