"""What does the walker read in camp, day by day, by the light of a headlamp?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.provision.acts import AddIn, GoesIn, goes_in, quoted
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.label import (
    BagLabel,
    LabelStep,
    add_in,
    by_dish,
    divide_said,
    label_step,
    labels,
    slower_for,
    wet_said,
)
from fellfare.provision.planned import Planned, Share, date_of, findings_for, in_order


class CardMeal(Struct, frozen=True, kw_only=True):
    """One dish of one day."""

    time: str
    dish: str
    eaters: tuple[str, ...]
    #: 'all' or the names; 'each', 'each of Ada, Bo' where each has a jar of their own.
    who: str
    #: Numbers on the bags, in the order in which they are opened.
    bags: tuple[int, ...]
    #: 'bag 17 porridge, 130 g'.
    bag_lines: tuple[str, ...]
    steps: tuple[LabelStep, ...]
    #: The other bags, each with the step at which it goes in: 'walnuts 24 g [only Bo]'.
    add_ins: tuple[GoesIn, ...]
    #: 'Ada: walnuts: contains walnut'.
    not_for: tuple[str, ...]
    #: 'Eli: tahini: may contain tree nuts; read the label'.
    minds: tuple[str, ...] = ()
    #: All water of the dish [mL]; a lower bound with ``water_unknown``.
    water_ml: float
    water_unknown: bool
    mass_g: float
    energy_kcal: float
    #: Foods whose energy nobody knows.
    energy_unknown: tuple[str, ...]
    #: Errors and cautions, gravest first.
    findings: tuple[Finding, ...]
    #: When to wet it, and within what it is eaten; '' = it does not soak.
    wet: str = ""
    #: How a common pot is divided; '' = there is nothing to divide.
    divide: str = ""


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
    said: Sequence[tuple[Finding, ...]] | None = None,
    texts: Sequence[BagLabel] | None = None,
) -> TrailCard:
    """The pocket card of a plan.

    ``notes`` gives words for single days, from whoever knows the walk; ``said`` what the food
    rules say of each dish and ``texts`` the labels, where somebody has them already.
    """
    plan = in_order(dishes)
    told = labels(plan, bags, first_day=first_day) if texts is None else texts
    label_of = {label.number: label for label in told}
    found = [findings_for(dish) for dish in plan] if said is None else said
    of_dish = by_dish(plan, bags)
    everybody = {eater.name for dish in plan for eater in dish.eaters}
    days = []
    opened: set[str] = {""}
    for day in sorted({dish.day for dish in plan}):
        meals = tuple(
            _meal(dish, who, mine, [label_of[bag.number] for bag in mine], everybody, found[place])
            for place, dish in enumerate(plan)
            if dish.day == day
            for who in _plates(dish)
            for mine in [_bags_of(who, of_dish[place])]
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


def _plates(dish: Planned) -> list[tuple[Share, ...]]:
    """Who makes it together: one pot; or, each with bags of their own, those who eat alike."""
    if not dish.apart:
        return [dish.eaters]
    alike: dict[tuple[float, tuple[str, ...]], list[Share]] = {}
    for eater in dish.eaters:
        alike.setdefault((eater.servings, eater.without), []).append(eater)
    return [tuple(some) for some in alike.values()]


def _bags_of(who: Sequence[Share], bags: Sequence[PlannedBag]) -> list[PlannedBag]:
    names = {eater.name for eater in who}
    return [bag for bag in bags if names & set(bag.eaters)]


def _meal(
    dish: Planned,
    who: Sequence[Share],
    mine: Sequence[PlannedBag],
    said: Sequence[BagLabel],
    everybody: set[str],
    found: Sequence[Finding],
) -> CardMeal:
    """Water and add-ins are those of one pot, or of one eater where each has an own one."""
    names = tuple(eater.name for eater in who)
    each = dish.apart and len(names) > 1
    servings = sum(eater.servings for eater in who)
    factor = (who[0].servings if each else servings) / dish.sheet.eaters
    camp = [step for step in dish.sheet.steps if step.where == "camp"]
    energy, unknown = energy_of(mine)
    not_for = _once(line for text in said for line in text.not_for)
    minds = _once(line for text in said for line in text.minds)
    shown = "all" if set(names) == everybody else ", ".join(names)
    return CardMeal(
        time=dish.time,
        dish=dish.dish,
        eaters=names,
        who=_every(shown) if each else shown,
        bags=tuple(bag.number for bag in mine),
        bag_lines=tuple(_bag_lines(mine, names if each else ())),
        steps=tuple(
            label_step(step, factor, slower_for(dish, names), dish.batches, number)
            for number, step in enumerate(dish.sheet.steps, 1)
            if step.where == "camp"
        ),
        add_ins=_of_jars(said, names) if each else goes_in(_of_pot(said)),
        not_for=not_for,
        minds=minds,
        wet=wet_said(dish, names),
        divide="" if dish.apart else divide_said(dish),
        water_ml=sum((step.water_ml or 0.0) for step in camp) * servings / dish.sheet.eaters,
        water_unknown=any(step.water_unknown for step in camp),
        mass_g=sum(bag.mass_g for bag in mine),
        energy_kcal=energy,
        energy_unknown=unknown,
        findings=tuple(
            one
            for one in found
            if not _of_others(one, dish, names)
            # What may hold an allergen stands boxed above; what holds it is said twice.
            and (
                one.severity == "error"
                or (
                    one.severity == "caution"
                    and not ((not_for or minds) and one.rule == "allergen")
                )
            )
        ),
    )


def _every(names: str) -> str:
    return "each" if names == "all" else f"each of {names}"


def _of_pot(said: Sequence[BagLabel]) -> list[AddIn]:
    """The bags of one pot but for the first that goes in."""
    if not said:
        return []
    begins = min(label.use for label in said)
    first = next(label for label in said if label.use == begins)
    everybody = {name for label in said for name in label.eaters}
    return [add_in(label, begins, everybody) for label in said if label is not first]


def _of_jars(said: Sequence[BagLabel], names: Sequence[str]) -> tuple[GoesIn, ...]:
    """The like bags of several jars in one breath, each with its own amount."""
    found: dict[tuple[int, bool, str], dict[str, AddIn]] = {}
    for name in names:
        for one in _of_pot([label for label in said if name in label.eaters]):
            found.setdefault((one.step, one.later, one.name), {})[name] = one
    return tuple(
        GoesIn(step, later, _each(bag, of_whom, len(names)))
        for (step, later, bag), of_whom in found.items()
    )


def _each(bag: str, of_whom: dict[str, AddIn], jars: int) -> str:
    """'oil 12 g each'; 'oil (Corrie 12 g, Fell 11 g)'."""
    alike = {one.said for one in of_whom.values()}
    if len(of_whom) == jars and len(alike) == 1:
        return f"{alike.pop()} each"
    some = (
        f"{name} {one.amount.metric if one.amount else ''}".rstrip() + one.marks
        for name, one in of_whom.items()
    )
    return f"{quoted(bag)} ({', '.join(some)})"


def _of_others(one: Finding, dish: Planned, names: Sequence[str]) -> bool:
    """Whether it is of allergens of somebody who has a bag of their own."""
    others = [eater.name for eater in dish.eaters if eater.name not in names]
    return one.rule == "allergen" and any(one.text.startswith(f"{name}:") for name in others)


def _bag_lines(bags: Sequence[PlannedBag], names: Sequence[str]) -> Iterable[str]:
    """'bag 17 porridge, 130 g'; by eater where each has bags of their own."""
    for name in names or ("",):
        mine = [bag for bag in bags if not name or name in bag.eaters]
        for place, bag in enumerate(mine):
            lead = f"{name}: " if name and place == 0 else ""
            grams = f", {bag.mass_g:.0f} g" if bag.mass_g >= 0.5 else ""
            yield f"{lead}bag {bag.number} {bag.name}{grams}"


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
