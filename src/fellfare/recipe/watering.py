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
    #: Foods that are in the pot or jar in this step, one for each line.
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

    A step acts on what it names; one that names nothing, on what is in the pot
    so far.  When no step names anything, every step acts on every line.

    Raises
    ------
    Mistakes
        ``unknown-bag``, or a water amount that cannot be read, by step.
    """
    steps: list[WateredStep] = []
    faults: list[Mistake] = []
    wet: set[int] = set()
    nameless = not any(step.bags for step in recipe.steps)
    pot = set(range(len(loads))) if nameless else set()
    for index, step in enumerate(recipe.steps):
        try:
            here = _named(step, loads) if step.bags else pot
            pot = pot | here
            inside = [loads[place] for place in sorted(here)]
            dry = [loads[place] for place in sorted(here - wet)]
            made = _water(step, index + 1, inside, dry, recipe.system, factor)
        except Mistake as mistake:
            faults.append(mistake.at(f"step[{index}]"))
            continue
        steps.append(made)
        if made.water_ml or made.water_unknown:
            wet |= here
    if faults:
        raise Mistakes(tuple(faults))
    return tuple(steps)


def _named(step: Step, loads: tuple[Load, ...]) -> set[int]:
    """Places of the lines that the step names by bag or by food, each once."""
    found: set[int] = set()
    for name in step.bags:
        here = {place for place, (line, food, _) in enumerate(loads) if name in (line.bag, food.id)}
        if not here:
            bags = sorted({line.bag for line, _, _ in loads if line.bag})
            raise Mistake(
                "unknown-bag",
                what=f"no bag or food of this recipe is called {name!r}",
                mend="name one of: " + ", ".join([*bags, *(food.id for _, food, _ in loads)]),
                where="bags",
            )
        found |= here
    return found


def _water(
    step: Step,
    number: int,
    inside: list[Load],
    dry: list[Load],
    system: System,
    factor: float,
) -> WateredStep:
    """``inside`` is in the pot; ``dry`` is what of it has met no water yet."""
    way = WAY.get(step.act)
    soaks = [_soak(food, way) for _, food, _ in dry] if way else []
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
    elif way is not None and dry:
        water_ml = _usual_water_ml(dry, way)
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
    return slowest.minutes, most if most > slowest.minutes else None, slowest.trust


def _usual_water_ml(dry: list[Load], way: Way) -> float | None:
    """Σ mass × water per gram; None when a food that needs water gives no figure."""
    total = 0.0
    for _, food, grams in dry:
        soak = _soak(food, way)
        if soak is None and "dry" in food.ways:
            continue  # eaten as it is: it takes no water of its own
        per_g = soak.water_ml_per_g if soak is not None else None
        if per_g is None or grams is None:
            return None
        total += grams * per_g
    return total or None
