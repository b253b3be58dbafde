"""What does the trip teach?  All that was learnt, walker by walker, and said in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from fellfare.learn.appetite import EARLY_DAYS, Appetite, appetite_of
from fellfare.learn.belief import Belief
from fellfare.learn.bounds import FOOD_STEP
from fellfare.learn.doubtful import doubtful
from fellfare.learn.energy import PRIOR as ENERGY_PRIOR
from fellfare.learn.energy import Balance, EnergyLearnt, learn_energy
from fellfare.learn.home import eaten_of
from fellfare.learn.kitchen import SoakLearnt, StoveLearnt, learn_soaks, learn_stove
from fellfare.learn.liking import DishLiked, learn_liking
from fellfare.learn.log import Eaten, Item, TripLog, checked
from fellfare.learn.pace import learn_pace
from fellfare.menu.answer import Plate
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.pantry import Pantry
from fellfare.trip.plan import TripPlan, WalkerPlan

#: Loss of body mass from which nothing is cut, whatever came home (a judgement on the side of
#: eating: appetite falls with strain, cold and height while the need does not).
LOSS_WITHOUT_CUT: Final = 0.025


class MealLesson(Struct, frozen=True, kw_only=True):
    """One eating time of one walker."""

    eating: str
    carried_g: float
    home_g: float
    #: The same on the first days alone.
    early_carried_g: float
    early_home_g: float
    #: Change that is asked of the next trip, a share, on the first days and after them (what
    #: the next trip makes of it: :mod:`fellfare.learn.next_trip`); and what is believed of the
    #: wish itself.
    early_change: float
    change: float
    wish: Belief

    @property
    def home_share(self) -> float:
        """Part of it that came home."""
        return self.home_g / self.carried_g if self.carried_g else 0.0


class WalkerLesson(Struct, frozen=True, kw_only=True, eq=False):
    """All that is learnt of one walker."""

    walker: str
    carried_g: float
    home_g: float
    eaten_kcal: float
    meals: tuple[MealLesson, ...]
    appetite: Appetite
    #: Change of the whole day's food: on the first days, and after them.
    early_change: float
    change: float
    #: Why nothing is cut, whatever came home; '' = no such reason.
    no_cut: str
    energy: EnergyLearnt | None
    #: Pace factor and its standard deviation before and after; None = no day was timed.
    pace: tuple[tuple[float, float], tuple[float, float]] | None
    lost_kg: float | None


class Lessons(Struct, frozen=True, kw_only=True, eq=False):
    """All that is learnt of one trip."""

    walkers: tuple[WalkerLesson, ...]
    stoves: tuple[StoveLearnt, ...]
    soaks: tuple[SoakLearnt, ...]
    dishes: tuple[DishLiked, ...]
    #: How far the figures rest on items that were planned dish by dish.
    by_dish: bool


def items_of_plan(plan: TripPlan) -> tuple[Item, ...]:
    """What every walker carries for every eating time, where no menu says it dish by dish."""
    made = []
    for walker in plan.walkers:
        for at, day in enumerate(plan.days):
            carried = [meal for meal in day.meals if not meal.bought]
            shares = sum(meal.share for meal in carried)
            for meal in carried:
                part = meal.share / shares if shares else 0.0
                made.append(
                    Item(
                        walker=walker.walker,
                        day=day.day,
                        eating=meal.name,
                        dish="",
                        mass_g=walker.food_g[at] * part,
                        energy_kcal=walker.carried_kcal[at] * part,
                    )
                )
    return tuple(item for item in made if item.mass_g > 0)


def items_of_plates(plates: Iterable[Plate]) -> tuple[Item, ...]:
    """What every walker carries by a menu, dish by dish; the eating time without its pot.

    A menu calls the second pot's dinner 'dinner (2)' or the like: the log says 'dinner'.
    """
    return tuple(
        Item(
            walker=portion.walker,
            day=plate.day,
            eating=plate.time.split(" (")[0],
            dish=plate.dish,
            mass_g=portion.mass_g,
            energy_kcal=portion.energy_kcal,
        )
        for plate in plates
        for portion in plate.portions
        if portion.mass_g > 0
    )


def lessons_of(
    log: TripLog,
    plan: TripPlan,
    pantry: Pantry,
    planned: tuple[Item, ...] | None = None,
    recipes: Iterable[str] | None = None,
) -> Lessons:
    """What a log teaches of the trip that it belongs to.

    Parameters
    ----------
    log
        What was written down.
    plan
        The trip as it was planned.
    pantry
        For the soak tests.
    planned
        The menu's items; None = by weight, from the plan.
    recipes
        Dishes that may be marked besides those of the menu; None = where there is no menu any
        name may be, where there is one none besides its own.

    Raises
    ------
    Mistake
        Those of :func:`fellfare.learn.log.checked` and :func:`~fellfare.learn.home.eaten_of`;
        ``log-weighing-doubtful``, ``log-hours-doubtful``, ``log-dish-unknown``,
        ``log-kitchen-unknown``; and those of the boils and soak tests.
    """
    names = tuple(walker.walker for walker in plan.walkers)
    checked(log, names, len(plan.days))
    _ask(log, plan, planned, recipes)
    items = eaten_of(log, items_of_plan(plan) if planned is None else planned)
    return Lessons(
        walkers=tuple(_walker(log, plan, each, items) for each in plan.walkers),
        stoves=_stoves(log, plan),
        soaks=learn_soaks(log.soaked, pantry),
        dishes=learn_liking(log.liked, items),
        by_dish=planned is not None,
    )


def _ask(
    log: TripLog,
    plan: TripPlan,
    planned: tuple[Item, ...] | None,
    recipes: Iterable[str] | None,
) -> None:
    """Refuse what is likelier a slip than news."""
    dishes = None
    if planned is not None or recipes is not None:
        dishes = {*(recipes or ()), *(item.dish for item in planned or ())}
    mass = {walker.name: walker.mass_kg for walker in plan.trip.walkers}
    hours = {
        walker.walker: [day.moving_hours for day in walker.need.days] for walker in plan.walkers
    }
    found = doubtful(log, mass, hours, dishes)
    if found:
        raise found[0] if len(found) == 1 else Mistakes(found)


def _stoves(log: TripLog, plan: TripPlan) -> tuple[StoveLearnt, ...]:
    kitchens = plan.trip.kitchens
    for at, boil in enumerate(log.boiled):
        if boil.kitchen > len(kitchens) or kitchens[boil.kitchen - 1].stove is None:
            raise Mistake(
                "log-kitchen-unknown",
                f"kitchen {boil.kitchen} has no stove",
                f"count the kitchens of the trip document from 1 to {len(kitchens)}",
                f"boiled[{at}].kitchen",
            )
    return tuple(
        learn_stove(number, kitchen.stove, kitchen.fuel, kitchen.efficiency, log.boiled)
        for number, kitchen in enumerate(kitchens, 1)
        if kitchen.stove is not None
        and kitchen.fuel is not None
        and any(boil.kitchen == number for boil in log.boiled)
    )


def _walker(
    log: TripLog, plan: TripPlan, walker: WalkerPlan, items: tuple[Eaten, ...]
) -> WalkerLesson:
    name = walker.walker
    mine = [item for item in items if item.walker == name]
    appetite = appetite_of(name, mine, log.days)
    weighed = [row for row in log.weighed if row.walker == name]
    lost = sum(row.before_kg - row.after_kg for row in weighed) / len(weighed) if weighed else None
    before_kg = weighed[0].before_kg if weighed else None
    hungry = tuple(
        row.day for row in log.days if row.walker == name and row.felt in ("hungry", "very hungry")
    )
    came_home = any(item.home_g > 0 for item in mine)
    no_cut = _no_cut(hungry, lost, before_kg, came_home=came_home)
    eaten = sum(item.eaten_kcal for item in mine)
    carried = sum(item.carried_g for item in mine)
    meals = tuple(
        _meal(
            meal,
            [item for item in mine if item.eating == meal],
            appetite,
            cut=not no_cut,
            rise=bool(hungry),
        )
        for meal in appetite.meals
    )
    early_change = sum(m.early_change * m.carried_g for m in meals) / (carried or 1.0)
    change = sum(m.change * m.carried_g for m in meals) / (carried or 1.0)
    if not mine:  # what came home is not known: hunger alone may ask for more, nothing for less
        early_change = _change(appetite.wish(early=True), cut=False, rise=bool(hungry))
        change = _change(appetite.wish(), cut=False, rise=bool(hungry))
    return WalkerLesson(
        walker=name,
        carried_g=carried,
        home_g=sum(item.home_g for item in mine),
        eaten_kcal=eaten,
        meals=meals,
        appetite=appetite,
        early_change=early_change,
        change=change,
        no_cut=no_cut,
        energy=_energy(
            plan, walker, lost, weighed[0].error_kg if weighed else 0.0, eaten, mine, bool(hungry)
        ),
        pace=_pace(log, plan, walker),
        lost_kg=lost,
    )


def _no_cut(
    hungry: tuple[int, ...], lost: float | None, before_kg: float | None, *, came_home: bool
) -> str:
    why = ""
    if lost is not None and before_kg and lost / before_kg >= LOSS_WITHOUT_CUT:
        why = f"{lost:.1f} kg of body mass were lost"
    elif hungry:
        why = "hungry on " + (f"day {hungry[0]}" if len(hungry) == 1 else f"{len(hungry)} days")
    return f"{why}, and what came home is no proof of a small need" if why and came_home else why


def _change(wish: Belief, *, cut: bool, rise: bool) -> float:
    """The mean of what is believed, within one step; up only for who was hungry, down only
    where nothing speaks against it."""
    return min(max(wish.mean, -FOOD_STEP if cut else 0.0), FOOD_STEP if rise else 0.0)


def _meal(meal: str, mine: list[Eaten], appetite: Appetite, *, cut: bool, rise: bool) -> MealLesson:
    early = [item for item in mine if item.day <= EARLY_DAYS]
    wish = appetite.wish(meal)
    return MealLesson(
        eating=meal,
        carried_g=sum(item.carried_g for item in mine),
        home_g=sum(item.home_g for item in mine),
        early_carried_g=sum(item.carried_g for item in early),
        early_home_g=sum(item.home_g for item in early),
        early_change=_change(appetite.wish(meal, early=True), cut=cut, rise=rise),
        change=_change(wish, cut=cut, rise=rise),
        wish=wish,
    )


def _energy(
    plan: TripPlan,
    walker: WalkerPlan,
    lost: float | None,
    error_kg: float,
    eaten_kcal: float,
    mine: list[Eaten],
    hungry: bool,
) -> EnergyLearnt | None:
    if lost is None or not mine:
        return None
    body = next(one for one in plan.trip.walkers if one.name == walker.walker)
    days = sum(day.frame.hours for day in plan.days) / 24.0
    walking = sum(day.walking_kcal for day in walker.need.days)
    bought = sum(
        target - carried
        for target, carried in zip(walker.target_kcal, walker.carried_kcal, strict=True)
    )
    before = (
        ENERGY_PRIOR
        if body.energy_factor_sd is None
        else Belief(body.energy_factor, body.energy_factor_sd)
    )
    if walking <= 0:
        return None
    return learn_energy(
        Balance(
            days=max(1, int(days)),
            eaten_kcal=eaten_kcal + max(0.0, bought),
            walking_kcal=walking,
            other_kcal=walker.need.kcal - walking,
            lost_kg=lost,
            lost_error_kg=error_kg,
        ),
        body.energy_factor,
        before,
        hungry=hungry,
    )


def _pace(
    log: TripLog, plan: TripPlan, walker: WalkerPlan
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    timed = [
        (walker.need.days[row.day - 1].moving_hours, row.hours)
        for row in log.walked
        if row.walker == walker.walker and walker.need.days[row.day - 1].moving_hours > 0
    ]
    if not timed:
        return None
    body = next(one for one in plan.trip.walkers if one.name == walker.walker)
    before = (body.pace_factor, body.pace_factor_sd)
    return before, learn_pace(*before, timed)
