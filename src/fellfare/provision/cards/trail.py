"""What does the walker read in camp, day by day, by the light of a headlamp?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.label import BagLabel, LabelStep, add_in_said, by_dish, label_step, labels
from fellfare.provision.planned import Planned, date_of, findings_for, in_order


class CardMeal(Struct, frozen=True, kw_only=True):
    """One dish of one day."""

    time: str
    dish: str
    eaters: tuple[str, ...]
    #: 'all' or the names.
    who: str
    #: Numbers on the bags, in the order in which they are opened.
    bags: tuple[int, ...]
    #: 'bag 17 porridge, 130 g'.
    bag_lines: tuple[str, ...]
    steps: tuple[LabelStep, ...]
    #: 'later add walnuts, 24 g; only Bo'.
    add_ins: tuple[str, ...]
    #: 'Ada: walnuts: contains walnut'.
    not_for: tuple[str, ...]
    #: All water of the dish [mL]; a lower bound with ``water_unknown``.
    water_ml: float
    water_unknown: bool
    mass_g: float
    energy_kcal: float
    #: Foods whose energy nobody knows.
    energy_unknown: tuple[str, ...]
    #: Errors and cautions, gravest first.
    findings: tuple[Finding, ...]


class CardDay(Struct, frozen=True, kw_only=True):
    """One day of the pocket card, and of the day sheet."""

    day: int
    eat_on: date | None
    leg: int
    #: Boxes and shops opened on that day.
    stops: tuple[str, ...]
    meals: tuple[CardMeal, ...]
    mass_g: float
    energy_kcal: float
    energy_unknown: tuple[str, ...]
    water_ml: float
    water_unknown: bool
    #: Words from outside: stage, camp, ban ('18 km, 900 m up; fire ban').
    notes: tuple[str, ...] = ()


class TrailCard(Struct, frozen=True, kw_only=True):
    """The pocket card; a day sheet is one of its days."""

    title: str
    days: tuple[CardDay, ...]
    standing: tuple[str, ...]


#: What every card says at its foot, in one breath.
STANDING = (
    "Treat water. Wash hands. Stove outside the tent. When in doubt, throw it out. "
    "Local rules and product labels come first. Emergency: 112 / 911 / poison centre.",
)


def trail_card(
    dishes: Iterable[Planned],
    bags: Sequence[PlannedBag],
    *,
    title: str = "Trail card",
    first_day: date | None = None,
    notes: dict[int, tuple[str, ...]] | None = None,
) -> TrailCard:
    """The pocket card of a plan.

    ``notes`` gives words for single days, from whoever knows the walk.
    """
    plan = in_order(dishes)
    texts = {text.number: text for text in labels(plan, bags, first_day=first_day)}
    of_dish = by_dish(plan, bags)
    everybody = {eater.name for dish in plan for eater in dish.eaters}
    days = []
    opened: set[str] = {""}
    for day in sorted({dish.day for dish in plan}):
        meals = tuple(
            _meal(dish, of_dish[place], [texts[bag.number] for bag in of_dish[place]], everybody)
            for place, dish in enumerate(plan)
            if dish.day == day
        )
        here = [dish for dish in plan if dish.day == day]
        stops = tuple(dict.fromkeys(d.stop for d in here if d.stop not in opened))
        opened.update(stops)
        days.append(
            CardDay(
                day=day,
                eat_on=date_of(day, first_day),
                leg=here[0].leg,
                stops=stops,
                meals=meals,
                mass_g=sum(meal.mass_g for meal in meals),
                energy_kcal=sum(meal.energy_kcal for meal in meals),
                energy_unknown=_once(food for meal in meals for food in meal.energy_unknown),
                water_ml=sum(meal.water_ml for meal in meals),
                water_unknown=any(meal.water_unknown for meal in meals),
                notes=(notes or {}).get(day, ()),
            )
        )
    return TrailCard(title=title, days=tuple(days), standing=STANDING)


def _meal(
    dish: Planned,
    mine: Sequence[PlannedBag],
    said: Sequence[BagLabel],
    everybody: set[str],
) -> CardMeal:
    factor = dish.servings / dish.sheet.eaters
    camp = [step for step in dish.sheet.steps if step.where == "camp"]
    names = tuple(eater.name for eater in dish.eaters)
    energy, unknown = energy_of(mine)
    return CardMeal(
        time=dish.time,
        dish=dish.dish,
        eaters=names,
        who="all" if set(names) == everybody else ", ".join(names),
        bags=tuple(bag.number for bag in mine),
        bag_lines=tuple(
            f"bag {bag.number} {bag.name}" + (f", {bag.mass_g:.0f} g" if bag.mass_g >= 0.5 else "")
            for bag in mine
        ),
        steps=tuple(label_step(step, factor) for step in camp),
        add_ins=_once(add_in_said(one) for text in said for one in text.add_ins),
        not_for=_once(line for text in said for line in text.not_for),
        water_ml=sum((step.water_ml or 0.0) * factor for step in camp),
        water_unknown=any(step.water_unknown for step in camp),
        mass_g=sum(bag.mass_g for bag in mine),
        energy_kcal=energy,
        energy_unknown=unknown,
        findings=tuple(one for one in findings_for(dish) if one.severity != "note"),
    )


def energy_of(bags: Iterable[PlannedBag]) -> tuple[float, tuple[str, ...]]:
    """(kcal of what is known, foods whose energy is not)."""
    total, unknown = 0.0, []
    for bag in bags:
        for content in bag.contents:
            per_100g = content.food.per_100g.energy_kcal
            if per_100g == 0.0:
                continue
            if per_100g is None or content.mass_g is None:
                unknown.append(content.food.id)
            else:
                total += content.mass_g * per_100g / 100
    return total, tuple(dict.fromkeys(unknown))


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))
