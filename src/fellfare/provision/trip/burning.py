"""How much fuel does this menu burn, between one place where it can be had and the next?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fellfare.camp.cooking import cooking_minutes
from fellfare.camp.fuel.fuels import find_fuel
from fellfare.camp.fuel.need import fuel_need, fuel_to_boil
from fellfare.camp.heat import Pot, boiled_off_g, heat_needed
from fellfare.camp.kitchen import SIMMER_W
from fellfare.camp.water import boil_at
from fellfare.mistake import Finding
from fellfare.provision.planned import Planned
from fellfare.recipe.document import Act
from fellfare.recipe.watering import WateredStep
from fellfare.trip.fuelling import FuelLeg, Heating, efficiency_of, fuel_legs, water_c_of
from fellfare.trip.kit import Kitchen
from fellfare.trip.meals import DayMeal
from fellfare.trip.plan import PlanDay, TripPlan

#: Steps that ask for boiling water, and those that hold it on the flame.
HOT: Final[tuple[Act, ...]] = ("steep", "boil", "simmer", "heat")
HELD: Final[tuple[Act, ...]] = ("boil", "simmer", "fry", "heat", "toast")
#: Steps that no cold water can stand in for.
FLAME: Final[tuple[Act, ...]] = ("boil", "simmer", "fry", "toast", "bake", "heat")


def hot_ml(dish: Planned, eaters: Sequence[str]) -> float:
    """Boiling water of a dish for these eaters [mL]; unknown amounts count as told elsewhere."""
    share = _share(dish, eaters)
    return share * sum(step.water_ml or 0.0 for step in _camp(dish) if step.act in HOT)


def held_minutes(dish: Planned) -> float:
    """Minutes on the flame once it boils, at sea level."""
    return sum(step.minutes or 0.0 for step in _camp(dish) if step.act in HELD)


def fuel_of(plan: TripPlan, dishes: Sequence[Planned]) -> tuple[FuelLeg, ...]:
    """Fuel of every kitchen from place to place, for the menu.

    At each eating time a kitchen heats what its dishes ask for, or what the trip's own word
    on hot water says (a drink is in it), whichever is more; and holds on the flame what
    boils or simmers, longer where water boils cooler.
    """
    return fuel_legs(plan.trip, plan.laid, heatings_of(plan, dishes))


def heatings_of(plan: TripPlan, dishes: Sequence[Planned]) -> tuple[Heating, ...]:
    """Every heating of the walk with the dishes' own water, in its order."""
    told = {(one.kitchen, one.day, one.eating): one for one in plan.heatings}
    out = []
    for number, kitchen in enumerate(plan.trip.kitchens):
        if kitchen.fuel is None or kitchen.stove is None:
            continue
        for day in plan.days:
            if not day.can_heat[number]:
                continue
            for meal in day.meals:
                mine = [
                    one
                    for one in dishes
                    if (one.day, one.time) == (day.day, meal.name)
                    and any(eater.name in kitchen.walkers for eater in one.eaters)
                ]
                known = told.get((number, day.day, meal.name))
                asked = sum(hot_ml(one, kitchen.walkers) for one in mine)
                if (
                    known is not None
                    and asked <= known.water_ml
                    and not _held_g(plan, kitchen, day, mine)
                ):
                    out.append(known)
                elif asked > 0.0 or known is not None:
                    least_ml = known.water_ml if known else 0.0
                    out.append(_heating(plan, number, day, meal, mine, max(asked, least_ml)))
    return tuple(sorted(out, key=lambda one: (one.day, one.at_m, one.kitchen)))


def _heating(
    plan: TripPlan,
    number: int,
    day: PlanDay,
    meal: DayMeal,
    mine: Sequence[Planned],
    water_ml: float,
) -> Heating:
    kitchen = plan.trip.kitchens[number]
    assert kitchen.fuel is not None  # as heatings_of asks
    early = meal.hour is not None and meal.hour <= day.hours.set_out_hour
    camp = plan.days[day.day - 2] if early and day.day > 1 else day
    height = mine[0].altitude_m if mine else _height(camp)
    fills = max([kitchen.fills(water_ml), *(one.fills for one in mine)])
    water_c = water_c_of(plan.trip, camp.stage)
    need = fuel_to_boil(
        water_ml / 1000.0 / fills,
        water_c,
        height or 0.0,
        find_fuel(kitchen.fuel),
        efficiency_of(plan.trip, kitchen, camp.day),
        _pot(kitchen),
        snow_share=plan.trip.day_word(camp.day).snow_share or 0.0,
    )
    held = _held_g(plan, kitchen, day, mine)
    return Heating(
        kitchen=number,
        day=day.day,
        eating=meal.name,
        at_m=meal.at_m,
        eaters=len(kitchen.walkers),
        water_ml=water_ml,
        height_m=height,
        water_c=water_c,
        fuel_g=fills * need.fuel_g + held,
        low_g=fills * need.low_g + held,
        high_g=fills * need.high_g + held,
    )


def _held_g(plan: TripPlan, kitchen: Kitchen, day: PlanDay, mine: Sequence[Planned]) -> float:
    """Fuel that holds the pots on the flame: all heat of a quiet simmer makes steam [g]."""
    total = 0.0
    for one in mine:
        minutes = held_minutes(one)
        if minutes <= 0.0 or kitchen.fuel is None:
            continue
        height = one.altitude_m or 0.0
        boils_c = boil_at(height).boils_c
        stretched = cooking_minutes(minutes, height).minutes
        steam_g = boiled_off_g(SIMMER_W, stretched, boils_c)
        heat = heat_needed(steam_g, boils_c, boils_c, boiled_off_g=steam_g)
        need = fuel_need(
            heat, find_fuel(kitchen.fuel), efficiency_of(plan.trip, kitchen, day.day), boils_c
        )
        total += one.fills * need.fuel_g
    return total


def without_flame(plan: TripPlan, dishes: Sequence[Planned]) -> tuple[Finding, ...]:
    """Dishes that ask for a flame or boiling water where there is none."""
    found: dict[tuple[str, str], list[str]] = {}
    for one in dishes:
        acts = {step.act for step in _camp(one)}
        word = "flame" if acts & set(FLAME) else "boiling water" if "steep" in acts else ""
        if not word:
            continue
        names = [eater.name for eater in one.eaters if not _heats(plan, one.day, eater.name)]
        if names:
            key = (one.dish, word)
            found.setdefault(key, []).append(f"day {one.day} {one.time}: {', '.join(names)}")
    return tuple(
        Finding(
            severity="error" if word == "flame" else "caution",
            rule="dish-without-flame",
            text=f"{dish} asks for {'a flame' if word == 'flame' else word}, and there is none "
            "(no stove, or it stays off under the fire rule)."
            + (
                "  Choose another dish."
                if word == "flame"
                else "  It can be eaten cold only if every food in it may be soaked in cold "
                "water: see its sheet."
            ),
            source="the recipe's own steps; the trip's kitchens and fire rules",
            about=tuple(when),
        )
        for (dish, word), when in found.items()
    )


def _heats(plan: TripPlan, day: int, walker: str) -> bool:
    for kitchen, can in zip(plan.trip.kitchens, plan.days[day - 1].can_heat, strict=True):
        if walker in kitchen.walkers:
            return can
    return True  # nobody has told where they eat: the walk says so


def _camp(dish: Planned) -> list[WateredStep]:
    return [step for step in dish.sheet.steps if step.where == "camp"]


def _share(dish: Planned, eaters: Sequence[str]) -> float:
    servings = sum(eater.servings for eater in dish.eaters if eater.name in eaters)
    return servings / dish.sheet.eaters


def _pot(kitchen: Kitchen) -> Pot | None:
    return Pot(material=kitchen.pot_material, mass_g=kitchen.pot_g) if kitchen.pot_g else None


def _height(day: PlanDay) -> float | None:
    return day.stage.end_m if day.stage.camp_m is None else day.stage.camp_m
