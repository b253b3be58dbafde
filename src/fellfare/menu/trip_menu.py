"""The menu of a trip: what is eaten when, on whose back it is, and how well it is proven."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from msgspec import Struct

from fellfare.menu.answer import Give, Menu, Plate, Verdict
from fellfare.menu.asked.dishes import LeftOut
from fellfare.menu.asked.question import Asked
from fellfare.menu.asked.wetting import wetted_at
from fellfare.menu.carried import Carried, CarriedPlate, morning_g
from fellfare.menu.changing import Change
from fellfare.menu.impossible.why import Impossible
from fellfare.menu.minded import menu_findings
from fellfare.menu.settling import Round, Settled
from fellfare.mistake import Finding

_NUTRIENTS = ("protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sodium_mg")


class Helping(Struct, frozen=True, kw_only=True):
    """One eater's part of a meal, with packing, without fuel."""

    walker: str
    servings: float
    mass_g: float
    energy_kcal: float
    #: Steps of the dish, for documents.
    steps: int


class MealOfMenu(Struct, frozen=True, kw_only=True):
    """A dish at an eating time."""

    day: int
    time: str
    dish: str
    title: str
    #: One pot for all of these helpings.
    shared: bool
    #: How often at that time.
    times: int
    helpings: tuple[Helping, ...]
    #: When to wet it, in words; '' = it needs no soak.
    wet: str
    #: '' = carried from the start; else the stop where it is taken up.
    taken_up: str
    #: In how many batches the pots cook it; 1 where one filling holds it.
    batches: int = 1
    #: Foods of the recipe that are left out for all of the pot.
    without: tuple[str, ...] = ()
    #: It is soaked cold, where its recipe has boiling water poured on.
    cold_instead: bool = False

    @property
    def energy_kcal(self) -> float:
        """Of all who eat."""
        return sum(one.energy_kcal for one in self.helpings)


class RationOfMenu(Struct, frozen=True, kw_only=True):
    """What one walker gets by weight on a day."""

    walker: str
    times: tuple[str, ...]
    mass_g: float
    energy_kcal: float


class EaterDay(Struct, frozen=True, kw_only=True):
    """One walker's day."""

    walker: str
    #: Need under the load of this very menu, and what is to be carried of it [kcal].
    need_kcal: float
    target_kcal: float
    energy_kcal: float
    #: Eaten that day, with packing [g].
    food_g: float
    #: Food on the back in the morning; all that is on it then [g].
    load_g: float
    pack_g: float | None
    #: Name of the nutrient to its sum; and those whose sum is a lower bound.
    nutrients: Mapping[str, float]
    unknown: tuple[str, ...]


class DayOfMenu(Struct, frozen=True, kw_only=True):
    """One day of the menu."""

    day: int
    meals: tuple[MealOfMenu, ...]
    rations: tuple[RationOfMenu, ...]
    eaters: tuple[EaterDay, ...]


class TakenUp(Struct, frozen=True, kw_only=True):
    """The start or a stop, and what is taken up there."""

    #: '' = the start.
    name: str
    #: 'start', 'box', 'shop', 'hut'.
    kind: str
    day: int
    #: Food with packing taken up, and carried past it from before [g].
    food_g: float
    past_g: float
    #: What it costs and takes to use it; None = not told.
    fee: float | None = None
    effort_min: float | None = None


class TripMenu(Struct, frozen=True, kw_only=True):
    """The answer for a trip.

    ``mass_g`` is food with packing and fuel beyond the kit's (``fuel_g`` of it), rations by
    weight beside it (``ration_g``); ``bound_mass_g`` is proven: no menu that keeps all
    rules, for the need it was planned for, weighs less; 0 = nothing is proven of the mass.
    ``gap`` is (mass - bound) / mass of these two figures, infinite without a bound;
    ``weighed_gap`` that of all that was weighed, liking and nearness to a saved menu among it.
    ``plates`` bear the plain names of
    the eating times, as :mod:`fellfare.provision` reads them.
    """

    title: str
    walkers: tuple[str, ...]
    verdict: Verdict
    days: tuple[DayOfMenu, ...] = ()
    plates: tuple[Plate, ...] = ()
    #: What counts, in words, the weightiest first.
    counts: tuple[str, ...] = ("mass",)
    #: Mass of the dishes times the way that each is carried [kg km], water for a dry camp among
    #: it; and what is proven that no menu is under (None = nothing is, or it was not made least).
    kg_km: float | None = None
    bound_kg_km: float | None = None
    #: Money for whole packs, where prices count.
    cost: float | None = None
    currency: str = ""
    #: Dish to the steps that make up a serving of it.
    steps_per_serving: Mapping[str, int] = {}
    mass_g: float | None = None
    bound_mass_g: float = 0.0
    gap: float = float("inf")
    weighed_gap: float = float("inf")
    fuel_g: float = 0.0
    ration_g: float = 0.0
    energy_kcal: float = 0.0
    rounds: tuple[Round, ...] = ()
    settled: bool = False
    #: Name of a walker to the load on each stretch: (day, metres, kg).
    load_line: Mapping[str, tuple[tuple[int, float, float], ...]] = {}
    #: Where there is none: what must give at the least, further sets that would do as well,
    #: and wishes that clash whatever else gives.
    gives: tuple[Give, ...] = ()
    other_ways: tuple[tuple[Give, ...], ...] = ()
    #: Whether no less of ``gives`` will do; else less of it may be enough.
    gives_least: bool = False
    clashes: tuple[tuple[str, ...], ...] = ()
    #: Against a saved menu that it stays near to; and the same in sentences.
    changes: tuple[Change, ...] = ()
    change_sentences: tuple[str, ...] = ()
    #: What was asked otherwise than the trip says.
    asked_otherwise: tuple[str, ...] = ()
    #: Where the food is taken up.
    taken: tuple[TakenUp, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    findings: tuple[Finding, ...] = ()
    solver: str = ""
    seconds: float = 0.0


def trip_menu(
    asked: Asked,
    done: Settled,
    whole: Carried,
    *,
    why: Impossible | None = None,
    findings: tuple[Finding, ...] = (),
) -> TripMenu:
    """Put together what the settled menu of a trip says.

    Parameters
    ----------
    asked, done, whole
        From :func:`~fellfare.menu.asked.question_of_trip` and
        :func:`~fellfare.menu.settling.settle_trip`.
    why
        Why there is none, from :func:`fellfare.menu.impossible.why.why_impossible`.
    findings
        Further ones, of the trip itself.
    """
    plan, menu = asked.plan, done.menu
    walkers = tuple(one.walker for one in plan.walkers)
    told = (*asked.findings, *menu_findings(asked, done, whole), *findings)
    if not menu.plates:
        return TripMenu(
            title=plan.trip.title,
            walkers=walkers,
            verdict="impossible" if why is not None and why.proven else menu.verdict,
            bound_mass_g=max(menu.bound_mass_g, 0.0),
            gives=menu.gives if why is None or not why.gives else why.gives,
            gives_least=bool(why is not None and why.ways_out and why.ways_out[0].least),
            other_ways=() if why is None else tuple(way.gives for way in why.ways_out[1:]),
            clashes=() if why is None else why.clashes,
            rounds=done.rounds,
            left_out=asked.left_out,
            findings=told,
            solver=menu.solver,
            seconds=menu.seconds,
        )
    loads = whole.load_kg(asked)
    fuel = _fuel_g(menu, whole)
    return TripMenu(
        title=plan.trip.title,
        walkers=walkers,
        verdict=menu.verdict,
        days=_days(asked, done, whole, loads),
        plates=_plain(whole),
        steps_per_serving={one.plate.dish: one.dish.dish.steps_per_serving for one in whole.plates},
        mass_g=menu.mass_g,
        bound_mass_g=max(menu.bound_mass_g, 0.0),
        gap=_gap(menu),
        weighed_gap=menu.gap,
        counts=asked.counts,
        kg_km=_kg_km(asked, done, whole),
        bound_kg_km=_bound_kg_km(asked, menu),
        cost=menu.cost,
        currency=plan.trip.rules.currency,
        fuel_g=fuel,
        ration_g=float(whole.ration_g.sum()),
        energy_kcal=sum(part.energy_kcal for plate in menu.plates for part in plate.portions)
        + float(whole.ration_kcal.sum()),
        rounds=done.rounds,
        settled=done.settled,
        load_line=_line(asked, loads),
        taken=_taken(asked, whole),
        left_out=asked.left_out,
        findings=told,
        solver=menu.solver,
        seconds=menu.seconds,
    )


def _gap(menu: Menu) -> float:
    """Of the mass alone; infinite where nothing is proven of it."""
    if not menu.mass_g or menu.bound_mass_g <= 0:
        return float("inf")
    return max(menu.mass_g - menu.bound_mass_g, 0.0) / menu.mass_g


def _taken(asked: Asked, whole: Carried) -> tuple[TakenUp, ...]:
    rations = list(zip(whole.ration_taken, whole.ration_g.sum(axis=0).tolist(), strict=True))
    out = []
    for k, take in enumerate(asked.takes):
        own = None if take.stop is None else take.stop.stop
        out.append(
            TakenUp(
                name=take.name,
                kind="start" if own is None else own.kind,
                day=take.day,
                food_g=sum(g for one in whole.plates if one.taken == k for _, g in one.grams)
                + sum(g for (taken, _), g in rations if taken == k),
                past_g=sum(
                    g for one in whole.plates if one.taken < k <= one.last for _, g in one.grams
                )
                + sum(g for (taken, last), g in rations if taken < k <= last),
                fee=None if own is None or own.fee is None else float(own.fee),
                effort_min=None if own is None else own.effort_min,
            )
        )
    return tuple(out)


def _kg_km(asked: Asked, done: Settled, whole: Carried) -> float:
    """Every gram by its own way, and the water that a dish makes one carry to a dry camp."""
    slots = {(slot.day, slot.time): slot for slot in done.question.slots}
    unit_km = asked.base.weights.unit_km
    total = 0.0
    for one in whole.plates:
        plate = one.plate
        km = asked.hauling.km_of(plate.dish, plate.day, plate.time)
        water = slots[plate.day, plate.time].water_g_per_ml
        day_km = asked.plan.days[plate.day - 1].stage.distance_m / 1000.0
        for part in plate.portions:
            ml = one.dish.dish.water_ml * part.steps / one.dish.dish.steps_per_serving
            total += part.mass_g * km + ml * water * (day_km if unit_km is None else unit_km)
    return total / 1000.0


def _bound_kg_km(asked: Asked, menu: Menu) -> float | None:
    unit_km = asked.base.weights.unit_km
    if unit_km is None or len(asked.counts) > 1 or menu.bound_g <= 0:
        return None
    return menu.bound_g * unit_km / 1000.0


def _fuel_g(menu: Menu, whole: Carried) -> float:
    carried = sum(grams for one in whole.plates for _, grams in one.grams)
    return max((menu.mass_g or 0.0) - carried, 0.0)


def _plain(whole: Carried) -> tuple[Plate, ...]:
    """The plates under the trip's own names of eating times."""
    return tuple(
        Plate(
            day=one.plate.day,
            time=one.place.eating,
            dish=one.plate.dish,
            shared=one.plate.shared,
            times=one.plate.times,
            portions=one.plate.portions,
        )
        for one in whole.plates
    )


def _days(asked: Asked, done: Settled, whole: Carried, loads: np.ndarray) -> tuple[DayOfMenu, ...]:
    plan = asked.plan
    morning = morning_g(asked, whole)
    target = done.need_kcal * asked.coverage * (asked.by_dish + asked.by_weight)
    out = []
    for d, day in enumerate(plan.days):
        mine = [one for one in whole.plates if one.plate.day == day.day]
        eaters = []
        for w, name in enumerate(one.walker for one in plan.walkers):
            sums, unknown = _sums(mine, name)
            first = np.nonzero(plan.stretches.day == d)[0]
            eaters.append(
                EaterDay(
                    walker=name,
                    need_kcal=float(done.need_kcal[w, d]),
                    target_kcal=float(target[w, d]),
                    energy_kcal=sums.pop("energy_kcal") + float(whole.ration_kcal[w, d]),
                    food_g=1000.0 * float(whole.food_kg[w, d]),
                    load_g=float(morning[w, d]),
                    pack_g=1000.0 * float(loads[w, first[0]]) if len(first) else None,
                    nutrients=sums,
                    unknown=unknown,
                )
            )
        out.append(
            DayOfMenu(
                day=day.day,
                meals=_meals(asked, mine),
                rations=_rations(asked, whole, d),
                eaters=tuple(eaters),
            )
        )
    return tuple(out)


def _sums(mine: list[CarriedPlate], walker: str) -> tuple[dict[str, float], tuple[str, ...]]:
    sums = dict.fromkeys(("energy_kcal", *_NUTRIENTS), 0.0)
    unknown: dict[str, None] = {}
    for one in mine:
        for part in one.plate.portions:
            if part.walker != walker:
                continue
            servings = part.steps / one.dish.dish.steps_per_serving
            for name in sums:
                figure = getattr(one.dish.dish, name)
                if name in one.dish.at_least:
                    unknown[name] = None
                if figure is None:
                    unknown[name] = None
                else:
                    sums[name] += figure * servings
    return sums, tuple(unknown)


def _meals(asked: Asked, mine: list[CarriedPlate]) -> tuple[MealOfMenu, ...]:
    meals = []
    for one in sorted(mine, key=lambda each: (each.place.at_m, each.place.eat.early)):
        wetting = wetted_at(one.dish.making.soak_minutes, one.place)
        plate, dish = one.plate, one.dish.dish
        meals.append(
            MealOfMenu(
                day=plate.day,
                time=one.place.eating,
                dish=plate.dish,
                title=dish.title,
                shared=plate.shared,
                times=plate.times,
                helpings=tuple(
                    Helping(
                        walker=part.walker,
                        servings=part.steps / dish.steps_per_serving,
                        mass_g=grams,
                        energy_kcal=part.energy_kcal,
                        steps=part.steps,
                    )
                    for part, (_, grams) in zip(plate.portions, one.grams, strict=True)
                ),
                wet="" if wetting is None else wetting.text,
                taken_up=asked.takes[one.taken].name,
                batches=_batches(asked, one),
                without=one.dish.without,
                cold_instead=one.dish.cold_instead,
            )
        )
    return tuple(meals)


def _batches(asked: Asked, one: CarriedPlate) -> int:
    """Of a common pot."""
    if one.place.kitchen is None or not one.plate.shared:
        return 1
    dish = one.dish.dish
    servings = sum(part.steps for part in one.plate.portions) / dish.steps_per_serving
    return asked.plan.trip.kitchens[one.place.kitchen].batches_for((dish.pot_ml or 0.0) * servings)


def _rations(asked: Asked, whole: Carried, d: int) -> tuple[RationOfMenu, ...]:
    plan = asked.plan
    times = tuple(
        meal.name
        for meal in plan.days[d].meals
        if meal.name in plan.trip.rules.by_ration and not meal.bought
    )
    return tuple(
        RationOfMenu(
            walker=one.walker,
            times=times,
            mass_g=float(whole.ration_g[w, d]),
            energy_kcal=float(whole.ration_kcal[w, d]),
        )
        for w, one in enumerate(plan.walkers)
        if whole.ration_g[w, d] > 0
    )


def _line(asked: Asked, loads: np.ndarray) -> dict[str, tuple[tuple[int, float, float], ...]]:
    """Mean load of each stretch by walker: (day, metres of that day at its start, kg)."""
    stretches = asked.plan.stretches
    return {
        one.walker: tuple(
            (int(stretches.day[s]) + 1, float(stretches.from_m[s]), float(loads[w, s]))
            for s in range(len(stretches.day))
        )
        for w, one in enumerate(asked.plan.walkers)
    }
