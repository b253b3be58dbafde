"""In which order do several dishes go on one stove with one pot?"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from fellfare.camp.fuel.efficiency import Efficiency
from fellfare.camp.fuel.fuels import Fuel
from fellfare.camp.fuel.need import FuelNeed, fuel_need
from fellfare.camp.heat import Heat, Pot, boiled_off_g, heat_needed
from fellfare.camp.water import boil_at
from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust

#: Heat that a quiet simmer takes [W], about 0.3 g of gas a minute [common practice].
SIMMER_W = 100.0


class Dish(Struct, frozen=True, kw_only=True):
    """What one dish asks of stove and pot."""

    name: str
    #: Water to bring to the boil for it [g = mL].
    water_g: float
    #: Dry food that is heated in that water [g]; 0 for a pour.
    food_g: float = 0.0
    #: Minutes on the simmer, already stretched for the altitude.
    simmer_minutes: float = 0.0
    #: Minutes of standing until it is fit to eat.
    rest_minutes: float = 0.0
    #: It stands in the pot itself, so the pot is not free meanwhile.
    rests_in_pot: bool = False


class KitchenStep(Struct, frozen=True, kw_only=True):
    """One thing that happens at the stove."""

    dish: str
    act: Literal["boil", "simmer", "rest", "change"]
    #: Minutes after the stove is lit.
    start_min: float
    end_min: float
    #: Whether the pot is taken meanwhile.
    holds_pot: bool


class KitchenPlan(Struct, frozen=True, kw_only=True):
    """All dishes of one meal, in order."""

    order: tuple[str, ...]
    steps: tuple[KitchenStep, ...]
    #: (dish, minute at which it is fit to eat), in the order of the stove.
    ready: tuple[tuple[str, float], ...]
    #: When the last one is.
    all_ready_min: float
    fuel: FuelNeed
    #: Water that boils away on the simmer, already in the heat [g].
    boiled_off_g: float
    trust: Trust = "common-practice"
    source: str = (
        "heat by physics; power of the stove, simmer and rest times are common practice; "
        "order by longest standing first (Jackson 1955)"
    )


def kitchen_plan(
    dishes: tuple[Dish, ...],
    *,
    start_c: float,
    altitude_m: float,
    fuel: Fuel,
    efficiency: Efficiency | float,
    net_w: float,
    pot: Pot | None = None,
    simmer_w: float = SIMMER_W,
    change_minutes: float = 2.0,
    keep_order: bool = False,
) -> KitchenPlan:
    """Order, clock and fuel for one stove and one pot.

    The dish that stands longest outside the pot goes first: for one machine
    with tails that order gives the earliest end (Jackson 1955, largest tail first).

    Parameters
    ----------
    dishes
        One or more.
    start_c, altitude_m
        Water temperature at the start, height of camp. [°C], [m]
    fuel, efficiency, net_w, pot
        What burns, how well, the heat that reaches the pot at full flame [W],
        and the pot, which is cold again for each dish.
    simmer_w
        Heat into the pot on the simmer; all of it makes steam. [W]
    change_minutes
        Between two dishes: pour out, wipe, refill. [min]
    keep_order
        True: cook in the order given.

    Returns
    -------
    KitchenPlan
        Minutes count from lighting the stove.

    Raises
    ------
    Mistake
        ``no-dishes``, ``stove-power-out-of-range``, ``kitchen-minutes-out-of-range`` and those
        of the heat.
    """
    if not dishes:
        raise Mistake("no-dishes", "there is nothing to cook", "give at least one dish")
    if not (10.0 <= net_w <= 20_000.0 and 0.0 <= simmer_w <= net_w):
        raise Mistake(
            "stove-power-out-of-range",
            what=f"{net_w:g} W into the pot, {simmer_w:g} W on the simmer",
            mend="give watts: 10 to 20,000 at full flame, and no more than that on the simmer",
        )
    for dish in dishes:
        lengths = (dish.simmer_minutes, dish.rest_minutes, change_minutes)
        if not all(0.0 <= minutes <= 1440.0 for minutes in lengths):
            raise Mistake(
                "kitchen-minutes-out-of-range",
                what=f"minutes of {lengths} are outside 0 to 1,440",
                mend="give minutes of 0 or more",
                where=dish.name,
            )
    boils_c = boil_at(altitude_m).boils_c
    ordered = dishes
    if not keep_order:
        ordered = tuple(sorted(dishes, key=lambda d: 0.0 if d.rests_in_pot else -d.rest_minutes))

    now, heat, steam_g = 0.0, Heat(), 0.0
    steps: list[KitchenStep] = []
    ready: list[tuple[str, float]] = []
    for number, dish in enumerate(ordered):
        if number and change_minutes:
            steps.append(_step(dish, "change", now, change_minutes, holds_pot=True))
            now = steps[-1].end_min
        try:
            to_boil = heat_needed(dish.water_g, start_c, boils_c, pot=pot, food_g=dish.food_g)
            steam = boiled_off_g(simmer_w, dish.simmer_minutes, boils_c)
            simmering = heat_needed(dish.water_g, boils_c, boils_c, boiled_off_g=steam)
        except Mistake as mistake:
            raise mistake.at(dish.name) from mistake
        heat, steam_g = heat + to_boil + simmering, steam_g + steam
        steps.append(
            _step(dish, "boil", now, 1000.0 * to_boil.total_kj / net_w / 60.0, holds_pot=True)
        )
        now = steps[-1].end_min
        if dish.simmer_minutes:
            steps.append(_step(dish, "simmer", now, dish.simmer_minutes, holds_pot=True))
            now = steps[-1].end_min
        done = now
        if dish.rest_minutes:
            steps.append(_step(dish, "rest", now, dish.rest_minutes, holds_pot=dish.rests_in_pot))
            done = steps[-1].end_min
            now = done if dish.rests_in_pot else now
        ready.append((dish.name, done))
    return KitchenPlan(
        order=tuple(dish.name for dish in ordered),
        steps=tuple(steps),
        ready=tuple(ready),
        all_ready_min=max(done for _, done in ready),
        fuel=fuel_need(heat, fuel, efficiency, boils_c),
        boiled_off_g=steam_g,
    )


def _step(
    dish: Dish,
    act: Literal["boil", "simmer", "rest", "change"],
    start: float,
    minutes: float,
    *,
    holds_pot: bool,
) -> KitchenStep:
    return KitchenStep(
        dish=dish.name, act=act, start_min=start, end_min=start + minutes, holds_pot=holds_pot
    )
