"""What do the rules look at?  One recipe with its foods, masses, eaters and weather."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, wraps
from typing import Any, Final, Literal, TypeVar, get_args

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.allergens import agents_of
from fellfare.pantry.food import Allergen, Food
from fellfare.recipe.document import Bag, Line, Recipe, Step
from fellfare.safety.sorption import Isotherm

#: Who is harmed by less than others are.
Risk = Literal["infant", "child", "pregnant", "older", "weak-immunity"]
RISKS: Final[tuple[Risk, ...]] = get_args(Risk)

#: Weather and heights in which anybody eats out of doors [°C], [m].
LEAST_AIR_C: Final = -60.0
MOST_AIR_C: Final = 60.0
LEAST_ALTITUDE_M: Final = -430.0
MOST_ALTITUDE_M: Final = 9000.0


class Eater(Struct, frozen=True, kw_only=True):
    """One person, as far as the rules need to know them."""

    name: str = "an eater"
    #: Agents ('almond') or groups ('tree-nut', 'gluten') that they must not eat.
    avoids: tuple[str, ...] = ()
    #: None = nobody has told; () = told, and none.
    risks: tuple[Risk, ...] | None = None

    @property
    def agents(self) -> tuple[Allergen, ...]:
        """What they avoid, agent by agent."""
        return tuple(dict.fromkeys(agent for word in self.avoids for agent in agents_of(word)))


class Part(Struct, frozen=True, kw_only=True):
    """One line of the recipe with its food."""

    #: From 1, as a cook counts.
    number: int
    line: Line
    food: Food
    #: None = not measured [g].
    mass_g: float | None
    bag: Bag
    #: Foods that may stand in, as far as they are known.
    swaps: tuple[Food, ...] = ()
    #: Ids of swaps of which nothing is known.
    missing_swaps: tuple[str, ...] = ()
    #: What the volume or count written beside a mass would weigh [g].
    own_measure_g: float | None = None

    @property
    def said(self) -> str:
        """'line 3 (rice)', for the ``about`` of a finding."""
        return f"line {self.number} ({self.food.id})"


class Event(Struct, frozen=True, kw_only=True, dict=True):
    """One step, and which parts it acts on."""

    #: From 1.
    number: int
    step: Step
    parts: tuple[Part, ...]
    #: Water that its author wrote, for as many as the masses are for [mL]; None = not told.
    water_ml: float | None = None

    @property
    def said(self) -> str:
        """'step 2 (soak)', for the ``about`` of a finding."""
        return f"step {self.number} ({self.step.act})"

    def has(self, part: Part) -> bool:
        """Whether the step acts on this part."""
        return part.number in self._numbers

    @cached_property
    def _numbers(self) -> frozenset[int]:
        return frozenset(one.number for one in self.parts)


class Case(Struct, frozen=True, kw_only=True, dict=True):
    """Everything that a rule may look at; made by :func:`case_of`."""

    recipe: Recipe
    parts: tuple[Part, ...]
    events: tuple[Event, ...]
    eaters: tuple[Eater, ...] = ()
    #: For how many the masses are; 0 = not known.
    servings: float = 0.0
    #: Warmest air while the food waits or is eaten [°C]; None = unknown.
    air_c: float | None = None
    altitude_m: float | None = None
    #: From packing to eating [days], and how warm it lies meanwhile [°C].
    storage_days: float | None = None
    storage_c: float | None = None
    #: From the cold to the mouth [min]; None = unknown, taken as long.
    carried_minutes: float | None = None
    #: Published sorption isotherms by food id, where there are any.
    isotherms: tuple[tuple[str, Isotherm], ...] = ()

    @cached_property
    def reckoned(self) -> dict[Callable[..., Any], Any]:
        """What :func:`once` keeps of this case."""
        return {}

    def risks_untold(self) -> bool:
        """Whether somebody may eat of it whose risks nobody has told."""
        return not self.eaters or any(eater.risks is None for eater in self.eaters)

    def at_risk(self, *risks: Risk) -> tuple[Eater, ...]:
        """The eaters that belong to one of these groups."""
        return tuple(eater for eater in self.eaters if set(risks) & set(eater.risks or ()))

    def bags(self) -> tuple[tuple[Bag, tuple[Part, ...]], ...]:
        """Every named bag with what is in it, in the order of the lines."""
        return _bags(self)


Reckoned = TypeVar("Reckoned")


def once(look: Callable[[Case], Reckoned]) -> Callable[[Case], Reckoned]:
    """A look at a case that many rules take: reckoned the first time, and kept with the case."""

    @wraps(look)
    def looked(case: Case) -> Reckoned:
        kept = case.reckoned
        if look not in kept:
            kept[look] = look(case)
        found: Reckoned = kept[look]
        return found

    return looked


@once
def _bags(case: Case) -> tuple[tuple[Bag, tuple[Part, ...]], ...]:
    groups: dict[str, list[Part]] = {}
    for part in case.parts:
        if part.bag.name:
            groups.setdefault(part.bag.name, []).append(part)
    return tuple((group[0].bag, tuple(group)) for group in groups.values())


@once
def _events_of(case: Case) -> dict[int, tuple[Event, ...]]:
    found: dict[int, list[Event]] = {}
    for event in case.events:
        for number in dict.fromkeys(part.number for part in event.parts):
            found.setdefault(number, []).append(event)
    return {number: tuple(events) for number, events in found.items()}


def events_of(case: Case, part: Part) -> tuple[Event, ...]:
    """The steps that act on a part, in their order."""
    return _events_of(case).get(part.number, ())


def case_of(
    recipe: Recipe,
    foods: Mapping[str, Food],
    masses: Mapping[int, float | None] | None = None,
    *,
    eaters: Sequence[Eater] = (),
    air_c: float | None = None,
    altitude_m: float | None = None,
    storage_days: float | None = None,
    storage_c: float | None = None,
    carried_minutes: float | None = None,
    own_measures: Mapping[int, float | None] | None = None,
    isotherms: Mapping[str, Isotherm] | None = None,
    waters: Mapping[int, float | None] | None = None,
    servings: float | None = None,
) -> Case:
    """Put together what the rules look at.

    Parameters
    ----------
    recipe
        The document.
    foods
        By id: the food of every line; those of swaps as far as they are known.
    masses
        Line index (from 0) to mass [g]; None or absent = not measured.
    eaters
        Everybody who will eat of it.  Empty = nobody told us.
    air_c
        Warmest air while it waits or is eaten [°C]; the recipe's own when None.
    altitude_m
        Where it is cooked [m].
    storage_days, storage_c
        How long [days] and how warm [°C] it lies from packing to eating.
    carried_minutes
        From taking it out of the cold to eating it [min].
    own_measures
        Line index to the mass that the measure beside a written mass gives [g].
    isotherms
        Published isotherms by food id.
    waters
        Step index (from 0) to the water that its author wrote [mL], on the scale of
        ``masses``; None or absent = not told.
    servings
        For how many ``masses`` are; the recipe's own ``serves`` when None.

    Raises
    ------
    Mistake
        ``unknown-food``, ``unknown-bag``, ``unknown-allergen``, ``unknown-risk``,
        ``air-out-of-range``, ``altitude-out-of-range``, ``time-out-of-range``.
    """
    air_c = recipe.air_c if air_c is None else air_c
    _within(air_c, LEAST_AIR_C, MOST_AIR_C, "air-out-of-range", "an air temperature", "°C")
    _within(storage_c, LEAST_AIR_C, MOST_AIR_C, "air-out-of-range", "a storage temperature", "°C")
    _within(
        altitude_m, LEAST_ALTITUDE_M, MOST_ALTITUDE_M, "altitude-out-of-range", "an altitude", "m"
    )
    _within(storage_days, 0.0, 36500.0, "time-out-of-range", "a storage time", "days")
    _within(carried_minutes, 0.0, 525600.0, "time-out-of-range", "a carrying time", "minutes")
    for eater in eaters:
        _known_eater(eater)
    parts = tuple(
        _part(recipe, index, foods, masses or {}, own_measures or {})
        for index in range(len(recipe.lines))
    )
    return Case(
        recipe=recipe,
        parts=parts,
        events=_events(recipe, parts, waters or {}),
        eaters=tuple(eaters),
        servings=float(recipe.serves if servings is None else servings),
        air_c=air_c,
        altitude_m=altitude_m,
        storage_days=storage_days,
        storage_c=storage_c,
        carried_minutes=carried_minutes,
        isotherms=tuple((isotherms or {}).items()),
    )


def with_swap(case: Case, part: Part, food: Food) -> Case:
    """The same case with another food on one line, mass unknown."""
    parts = tuple(
        replace(one, food=food, mass_g=None, own_measure_g=None, swaps=(), missing_swaps=())
        if one.number == part.number
        else one
        for one in case.parts
    )
    waters = {event.number - 1: event.water_ml for event in case.events}
    return replace(case, parts=parts, events=_events(case.recipe, parts, waters))


def _part(
    recipe: Recipe,
    index: int,
    foods: Mapping[str, Food],
    masses: Mapping[int, float | None],
    own_measures: Mapping[int, float | None],
) -> Part:
    line = recipe.lines[index]
    if line.food not in foods:
        raise Mistake(
            "unknown-food",
            what=f"no food called {line.food!r} was given",
            mend="give the pantry's food, or one of your own, under that id",
            where=f"line {index + 1}",
        )
    told = {bag.name: bag for bag in recipe.bags}
    name = line.bag or ""
    return Part(
        number=index + 1,
        line=line,
        food=foods[line.food],
        mass_g=masses.get(index),
        bag=told.get(name, Bag(name=name)) if name else Bag(name=""),
        swaps=tuple(foods[swap] for swap in line.swap if swap in foods),
        missing_swaps=tuple(swap for swap in line.swap if swap not in foods),
        own_measure_g=own_measures.get(index),
    )


def _events(
    recipe: Recipe, parts: tuple[Part, ...], waters: Mapping[int, float | None]
) -> tuple[Event, ...]:
    """A step acts on what it names; one that names nothing, on what is in the pot so far.

    When no step of the recipe names anything, every step acts on every part.
    """
    nameless = not any(step.bags for step in recipe.steps)
    pot: list[Part] = []
    events: list[Event] = []
    for number, step in enumerate(recipe.steps, 1):
        here = list(parts) if nameless else list(pot)
        if step.bags:
            here = [part for part in parts if {part.line.bag, part.line.food} & set(step.bags)]
            found = {part.line.bag for part in here} | {part.line.food for part in here}
            for name in step.bags:
                if name not in found:
                    raise Mistake(
                        "unknown-bag",
                        what=f"no bag or food of this recipe is called {name!r}",
                        mend="name a bag or a food of the recipe's own lines",
                        where=f"step {number} > bags",
                    )
            pot += [part for part in here if part not in pot]
        water_ml = waters.get(number - 1)
        events.append(Event(number=number, step=step, parts=tuple(here), water_ml=water_ml))
    return tuple(events)


def _known_eater(eater: Eater) -> None:
    eater.agents  # noqa: B018 - raises 'unknown-allergen'
    for risk in eater.risks or ():
        if risk not in RISKS:
            raise Mistake(
                "unknown-risk",
                what=f"nobody here knows the risk group {risk!r}",
                mend="write one of: " + ", ".join(RISKS),
                where=eater.name,
            )


def _within(
    value: float | None, least: float, most: float, code: str, what: str, unit: str
) -> None:
    if value is not None and not least <= value <= most:  # NaN fails too
        raise Mistake(
            code,
            what=f"{what} of {value:g} {unit} is outside {least:g} to {most:g}",
            mend=f"give it in {unit}, or leave it out when it is not known",
        )
