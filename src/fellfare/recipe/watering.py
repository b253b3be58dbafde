"""How much water does each step take, and how long?

What the author wrote comes first.  Where the document is silent, the foods'
own soak figures fill in, marked with their trust; where those are silent too,
the answer is unknown.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.measure.reading import read_amount
from fellfare.measure.units import System
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Food, Soak, Trust, Way
from fellfare.recipe.document import Act, Place, Recipe, Step
from fellfare.recipe.packing import Load

#: What each watery act asks of a food.
WAY: Final[dict[Act, Way]] = {
    "soak": "cold-soak",
    "steep": "hot-pour",
    "boil": "boil",
    "simmer": "boil",
}


class WateredStep(Struct, frozen=True):
    """One step with its water and time, each with how well it is known."""

    name: str
    act: Act
    where: Place
    bags: tuple[str, ...]
    text: str
    #: Foods that are in the pot or jar in this step.
    foods: tuple[str, ...]
    minutes: float | None
    #: Upper end, where the foods' figures give a range [min].
    most_minutes: float | None
    minutes_trust: Trust
    #: For the number of eaters of the sheet [mL]; None = none, or unknown.
    water_ml: float | None
    water_trust: Trust
    #: Water is needed, and nobody has told how much.
    water_unknown: bool
    step: Step


def watered(recipe: Recipe, loads: tuple[Load, ...], factor: float) -> tuple[WateredStep, ...]:
    """The steps for ``factor`` times the recipe; ``loads`` are already scaled.

    Raises
    ------
    Mistakes
        ``unknown-bag``, or a water amount that cannot be read, by step.
    """
    steps: list[WateredStep] = []
    faults: list[Mistake] = []
    wet: set[str] = set()
    for index, step in enumerate(recipe.steps):
        try:
            loads_in = _inside(step, loads)
            made = _water(step, index + 1, loads_in, wet, recipe.system, factor)
        except Mistake as mistake:
            faults.append(mistake.at(f"step[{index}]"))
            continue
        steps.append(made)
        if made.water_ml:
            wet.update(made.foods)
    if faults:
        raise Mistakes(tuple(faults))
    return tuple(steps)


def _inside(step: Step, loads: tuple[Load, ...]) -> list[Load]:
    """The lines that the step names by bag or by food."""
    found: list[Load] = []
    for name in step.bags:
        here = [load for load in loads if load[0].bag == name or load[1].id == name]
        if not here:
            bags = sorted({line.bag for line, _, _ in loads if line.bag})
            raise Mistake(
                "unknown-bag",
                what=f"no bag or food of this recipe is called {name!r}",
                mend="name one of: " + ", ".join([*bags, *(food.id for _, food, _ in loads)]),
                where="bags",
            )
        found += here
    return found


def _water(
    step: Step,
    number: int,
    inside: list[Load],
    wet: set[str],
    system: System,
    factor: float,
) -> WateredStep:
    way = WAY.get(step.act)
    soaks = [_soak(food, way) for _, food, _ in inside if food.id not in wet] if way else []
    minutes: float | None = step.minutes
    most: float | None = None
    minutes_trust: Trust = "written"
    if minutes is None and way is not None:
        minutes, most, minutes_trust = _usual_minutes(soaks)
    elif minutes is None:
        minutes_trust = "unknown"
    water_ml: float | None = None
    water_trust: Trust = "unknown"
    water_unknown = False
    if step.water is not None:
        water_ml, water_trust = _written_ml(step.water, system) * factor, "written"
    elif way is not None and any(food.id not in wet for _, food, _ in inside):
        water_ml = _usual_water_ml(inside, way, wet)
        water_trust = "unknown" if water_ml is None else "common-practice"
        water_unknown = water_ml is None
    return WateredStep(
        name=f"step {number} ({step.act})",
        act=step.act,
        where=step.where,
        bags=step.bags,
        text=step.text,
        foods=tuple(food.id for _, food, _ in inside),
        minutes=minutes,
        most_minutes=most,
        minutes_trust=minutes_trust,
        water_ml=water_ml,
        water_trust=water_trust,
        water_unknown=water_unknown,
        step=step,
    )


def _written_ml(text: str, system: System) -> float:
    amount = read_amount(text, system)
    if amount.volume_ml is not None:
        return float(amount.volume_ml)
    if amount.mass_g is not None:
        return float(amount.mass_g)  # water: 1 g is 1 mL, to half a per cent below 30 °C
    raise Mistake(
        "water-not-measured",
        what=f"{text!r} is no measure of water",
        mend="write millilitres or cups: '110 ml'",
        where="water",
    )


def _soak(food: Food, way: Way) -> Soak | None:
    return next((soak for soak in food.soaks if soak.way == way), None)


def _usual_minutes(soaks: list[Soak | None]) -> tuple[float | None, float | None, Trust]:
    """The slowest food decides."""
    known = [soak for soak in soaks if soak is not None]
    if not known:
        return None, None, "unknown"
    slowest = max(known, key=lambda soak: soak.minutes)
    most = max(soak.most_minutes or soak.minutes for soak in known)
    return slowest.minutes, most, slowest.trust


def _usual_water_ml(inside: list[Load], way: Way, wet: set[str]) -> float | None:
    """Σ mass × water per gram; None when a food that needs water gives no figure."""
    total = 0.0
    for _, food, grams in inside:
        if food.id in wet or way not in food.ways:
            continue
        soak = _soak(food, way)
        if soak is None and "dry" in food.ways:
            continue  # eaten as it is: it takes no water of its own
        per_g = soak.water_ml_per_g if soak is not None else None
        if per_g is None or grams is None:
            return None
        total += grams * per_g
    return total or None
