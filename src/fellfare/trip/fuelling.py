"""How much fuel between two places where it can be had, and what weighs it?

Until a menu knows better, every walker with a stove has the hot water of their kitchen
(a drink at breakfast and a pour-on dinner, unless the document says otherwise) at each of
these eating times, where fire is allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.camp.fuel.canister import RESERVE, SIZES, Canisters, canisters
from fellfare.camp.fuel.efficiency import Efficiency, efficiency
from fellfare.camp.fuel.fuels import Fuel, find_fuel
from fellfare.camp.fuel.need import fuel_to_boil
from fellfare.camp.heat import Pot
from fellfare.mistake import Finding
from fellfare.trip.kit import Kitchen
from fellfare.trip.laying import Laid
from fellfare.trip.meals import DayHours, DayMeal
from fellfare.trip.trip import Trip
from fellfare.trip.way import FireRule
from fellfare.walk.figures import Array
from fellfare.walk.load import Stretches
from fellfare.walk.stages import Stage

#: Water at the source when nothing is known of the air [°C] (judgement).
UNKNOWN_WATER_C: Final = 8.0
#: Coldest and warmest water at a source that is reckoned from the air [°C] (judgement).
LEAST_WATER_C: Final = 1.0
MOST_WATER_C: Final = 15.0


class Heating(Struct, frozen=True, kw_only=True):
    """Water heated once in one kitchen."""

    #: Index of the kitchen from 0.
    kitchen: int
    day: int
    eating: str
    #: Metres walked that day when it is heated: 0 before setting off.
    at_m: float
    eaters: int
    water_ml: float
    #: Height it was reckoned with [m]; None = not known, sea level is taken (more fuel).
    height_m: float | None
    water_c: float
    fuel_g: float
    low_g: float
    high_g: float


class FuelLeg(Struct, frozen=True, kw_only=True):
    """Fuel of one kitchen from where it is taken up to the next such place."""

    kitchen: int
    fuel_id: str
    #: Start, or the stop.
    from_name: str
    from_day: int
    from_m: float
    to_name: str
    boils: int
    water_ml: float
    fuel_g: float
    low_g: float
    high_g: float
    reserve: float
    #: For gas: the lightest full canisters of one size; None for other fuels.
    canisters: Canisters | None

    @property
    def filled_g(self) -> float:
        """Fuel that is set out with [g]."""
        if self.canisters is not None:
            return self.canisters.count * self.canisters.size.net_g
        return self.fuel_g * (1.0 + self.reserve)

    @property
    def tare_g(self) -> float:
        """Empty canisters, the middle of their masses [g]; a bottle is not known."""
        if self.canisters is None:
            return 0.0
        size = self.canisters.size
        return self.canisters.count * 0.5 * (size.tare_low_g + size.tare_high_g)


def may_burn(fuel: Fuel, rule: FireRule | None) -> bool:
    """Whether a stove with this fuel may be lit under the rule of a day.

    None (nobody has asked) counts as free here; a caution says so.  'gas-only' leaves gas.
    """
    if rule in (None, "none"):
        return True
    if rule == "no-open-fire":
        return fuel.kind != "wood"
    return rule == "gas-only" and fuel.kind == "gas"


def can_heat(kitchen: Kitchen, rule: FireRule | None) -> bool:
    """Whether this kitchen can heat anything under the rule of a day."""
    return kitchen.fuel is not None and may_burn(find_fuel(kitchen.fuel), rule)


def water_c_of(trip: Trip, stage: Stage) -> float:
    """Water at the source [°C]: as told, else the mean air of the day held to 1 to 15 °C."""
    if trip.way.water_c is not None:
        return trip.way.water_c
    if stage.day_c is None or stage.night_c is None:
        return UNKNOWN_WATER_C
    return min(max(0.5 * (stage.day_c + stage.night_c), LEAST_WATER_C), MOST_WATER_C)


def heatings_of(
    trip: Trip,
    laid: Laid,
    hours: Sequence[DayHours],
    meals: Sequence[tuple[DayMeal, ...]],
) -> tuple[Heating, ...]:
    """Every heating of the walk, in its order.

    What is heated before setting out belongs to the camp of the night before.
    """
    out = []
    for number, kitchen in enumerate(trip.kitchens):
        if kitchen.fuel is None or kitchen.stove is None:
            continue
        fuel = find_fuel(kitchen.fuel)
        for stage, hour, todays, rule in zip(laid.stages, hours, meals, laid.fire, strict=True):
            if not may_burn(fuel, rule):
                continue
            for meal in todays:
                water_ml = sum(hot.water_ml for hot in kitchen.hot if hot.eating == meal.name)
                if meal.bought or water_ml <= 0:
                    continue
                early = meal.hour is not None and meal.hour <= hour.set_out_hour
                camp = stage if not early or stage.day == 1 else laid.stages[stage.day - 2]
                out.append(_heating(trip, number, kitchen, fuel, stage, camp, meal, water_ml))
    return tuple(sorted(out, key=lambda one: (one.day, one.at_m, one.kitchen)))


def _heating(
    trip: Trip,
    number: int,
    kitchen: Kitchen,
    fuel: Fuel,
    stage: Stage,
    camp: Stage,
    meal: DayMeal,
    water_ml: float,
) -> Heating:
    height = camp.end_m if camp.camp_m is None else camp.camp_m
    if camp is stage and meal.hour is not None and stage.day == 1 and meal.at_m == 0:
        height = stage.start_m
    word = trip.day_word(camp.day)
    each_ml = water_ml * len(kitchen.walkers)
    fills = kitchen.fills(each_ml)
    water_c = water_c_of(trip, camp)
    eaters = len(kitchen.walkers)
    need = fuel_to_boil(
        each_ml / 1000.0 * meal.count / fills,
        water_c,
        0.0 if height is None else height,
        fuel,
        efficiency_of(trip, kitchen, camp.day),
        Pot(material=kitchen.pot_material, mass_g=kitchen.pot_g) if kitchen.pot_g else None,
        snow_share=word.snow_share or 0.0,
    )
    return Heating(
        kitchen=number,
        day=stage.day,
        eating=meal.name,
        at_m=meal.at_m,
        eaters=eaters,
        water_ml=each_ml * meal.count,
        height_m=height,
        water_c=water_c,
        fuel_g=fills * need.fuel_g,
        low_g=fills * need.low_g,
        high_g=fills * need.high_g,
    )


def efficiency_of(trip: Trip, kitchen: Kitchen, day: int) -> Efficiency | float:
    """One's own efficiency, or that of the stove's class in the wind of the day."""
    if kitchen.efficiency is not None:
        return kitchen.efficiency
    assert kitchen.stove is not None  # only kitchens with a stove heat
    return efficiency(kitchen.stove, kitchen.wind or trip.day_word(day).wind or trip.way.wind)


def fuel_legs(trip: Trip, laid: Laid, heatings: Sequence[Heating]) -> tuple[FuelLeg, ...]:
    """Fuel from each place where a kitchen's fuel can be had to the next."""
    legs = []
    for number, kitchen in enumerate(trip.kitchens):
        if kitchen.fuel is None:
            continue
        takes = [(1, 0.0, "start")]
        takes += [
            (one.day, one.at_m, one.stop.name)
            for one in laid.stops
            if kitchen.fuel in (one.stop.fuels or ())
        ]
        names = [*(name for _, _, name in takes[1:]), "end"]
        for k, (day, at_m, name) in enumerate(takes):
            until = takes[k + 1][:2] if k + 1 < len(takes) else (len(laid.stages) + 1, 0.0)
            mine = [
                one
                for one in heatings
                if one.kitchen == number and (day, at_m) <= (one.day, one.at_m) < until
            ]
            fuel_g = sum(one.fuel_g for one in mine)
            reserve = RESERVE if kitchen.reserve is None else kitchen.reserve
            legs.append(
                FuelLeg(
                    kitchen=number,
                    fuel_id=kitchen.fuel,
                    from_name=name,
                    from_day=day,
                    from_m=at_m,
                    to_name=names[k],
                    boils=len(mine),
                    water_ml=sum(one.water_ml for one in mine),
                    fuel_g=fuel_g,
                    low_g=sum(one.low_g for one in mine),
                    high_g=sum(one.high_g for one in mine),
                    reserve=reserve,
                    canisters=_lightest(kitchen, fuel_g, reserve),
                )
            )
    return tuple(legs)


def _lightest(kitchen: Kitchen, fuel_g: float, reserve: float) -> Canisters | None:
    if kitchen.fuel is None or find_fuel(kitchen.fuel).kind != "gas":
        return None
    sizes = [s for s in SIZES if not kitchen.canisters_g or s.net_g in kitchen.canisters_g]
    choices = [canisters(fuel_g, size, reserve) for size in sizes]
    return min(choices, key=lambda one: (one.carried_low_g + one.carried_high_g, one.count))


def kit_kg(
    trip: Trip, stretches: Stretches, heatings: Sequence[Heating], legs: Sequence[FuelLeg]
) -> Array:
    """Stove, pot, fuel, jar and food bags on each back on each stretch [kg] (W, S).

    Shared things of a kitchen are borne in even parts by those who eat from it.
    """
    many = len(stretches.day)
    out = np.zeros((len(trip.walkers), many))
    places = list(zip((stretches.day + 1).tolist(), stretches.from_m.tolist(), strict=True))
    rows = {walker.name: row for row, walker in enumerate(trip.walkers)}
    for number, kitchen in enumerate(trip.kitchens):
        mine = [rows[name] for name in kitchen.walkers]
        shared = np.full(many, float(kitchen.kit_g + kitchen.pots * (kitchen.pot_g or 0.0)))
        own = [leg for leg in legs if leg.kitchen == number]
        burnt = [one for one in heatings if one.kitchen == number]
        for s, place in enumerate(places):
            begun = [leg for leg in own if (leg.from_day, leg.from_m) <= place]
            if begun:
                leg = begun[-1]
                since = (leg.from_day, leg.from_m)
                gone = sum(o.fuel_g for o in burnt if since <= (o.day, o.at_m) <= place)
                shared[s] += leg.tare_g + max(leg.filled_g - gone, 0.0)
        out[mine] += shared / len(mine) / 1000.0
        out[mine] += (kitchen.jar_g if kitchen.jar_ml is not None else 0.0) / 1000.0
    for container in trip.containers:
        out[rows[container.walker]] += container.mass_g / 1000.0
    return out


def fire_findings(
    trip: Trip, laid: Laid, meals: Sequence[tuple[DayMeal, ...]]
) -> tuple[Finding, ...]:
    """Days on which a kitchen may not light its stove, and pots that are too small."""
    found = []
    for kitchen in trip.kitchens:
        if kitchen.fuel is None:
            continue
        names = ", ".join(kitchen.walkers)
        fuel = find_fuel(kitchen.fuel)
        cold = [
            f"day {stage.day} ({rule})"
            for stage, rule, todays in zip(laid.stages, laid.fire, meals, strict=True)
            if not may_burn(fuel, rule)
            and any(h.eating == m.name and not m.bought for h in kitchen.hot for m in todays)
        ]
        if cold:
            found.append(
                Finding(
                    severity="caution",
                    rule="nothing-hot",
                    text=f"{names}: the stove stays off.  What is eaten then must be fit to eat "
                    "cold, and the jar or bag must hold its soak.",
                    source="fire rule of the document; the land manager's order counts",
                    about=tuple(cold),
                )
            )
        if fuel.kind == "petrol" and "gas-only" in laid.fire:
            found.append(
                Finding(
                    severity="note",
                    rule="valve-unclear",
                    text=f"{names}: many orders allow any stove with a shut-off valve.  Read this "
                    "one: a pressure stove is planned as forbidden here.",
                    source="orders differ from place to place",
                )
            )
        if fuel.kind == "wood":
            found.append(
                Finding(
                    severity="note",
                    rule="wood-carried",
                    text=f"{names}: wood is reckoned as carried; dead wood may not be taken "
                    "everywhere, and wet wood gives far less.",
                    source="common practice, no source",
                )
            )
    return tuple(found)
