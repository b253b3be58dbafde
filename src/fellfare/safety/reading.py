"""What do the steps do to a part?  Hazards, kill steps, drying, and what it is when carried."""

from __future__ import annotations

from typing import Final, Literal

from fellfare.camp.water import boil_at
from fellfare.pantry.food import Food, Hazard
from fellfare.recipe.document import Act
from fellfare.safety.case import Case, Event, Part, events_of, once

#: Acts that bring food to the boil or beyond.  Toasting is not among them: no
#: time and temperature for a home kitchen was found that would do for flour.
KILL_ACTS: Final[tuple[Act, ...]] = ("boil", "simmer", "fry", "bake")
#: Acts in or over heat, during which no clock of the danger zone runs.
HOT_ACTS: Final[tuple[Act, ...]] = (*KILL_ACTS, "toast")
#: Acts that put the food in water, whether or not the author wrote how much.
WET_ACTS: Final[tuple[Act, ...]] = ("soak", "steep", "boil", "simmer")
#: Acts that take the water out again.
DRYING_ACTS: Final[tuple[Act, ...]] = ("dry", "bake")

#: Hot holding, FDA Food Code 3-501.16 [FDA-FOOD-CODE].
HOT_HOLD_C: Final = 57.0
#: Cold holding, the same.
COLD_HOLD_C: Final = 5.0

#: Did a step reach a core temperature?  ``unsaid``: the act would, its time is not told.
Kill = Literal["yes", "unsaid", "no"]

#: Foods of one's own, and those of which no table tells.
_BY_HAND: Final = ("label", "unknown")
_ANIMAL: Final = ("dairy", "egg", "meat", "fish")
_POWDERY: Final = ("powder", "freeze-dried", "instant")


def hazards(food: Food) -> tuple[Hazard, ...]:
    """The hazards that the pantry names, and those that form and group make likely.

    A food of one's own may come without any; what it then is by form and group
    counts as the graver of what it could be.  For a tabulated food the pantry's
    own word stands.
    """
    if food.source.kind not in _BY_HAND:
        return food.hazards
    found: list[Hazard] = list(food.hazards)

    def add(hazard: Hazard, *unless: Hazard) -> None:
        if not {hazard, *unless} & set(found):
            found.append(hazard)

    if food.group == "pulse" and food.form == "raw-dry":
        add("lectin-pulse", "raw-pulse", "sprouts")
    if food.group in ("grain", "pulse") and food.form == "powder" and set(food.ways) <= {"boil"}:
        add("raw-flour")
    if food.group in ("meat", "fish") and food.form == "fresh":
        add("raw-meat" if food.group == "meat" else "raw-fish", "perishable", "listeria-prone")
    if food.group in ("meat", "fish") and food.form == "dried":
        add("dried-meat")
    if food.group == "egg" and food.form == "fresh":
        add("raw-egg", "perishable")
    if food.group in _ANIMAL and food.form in _POWDERY:
        add("animal-powder", "dried-meat")
    if food.group in ("vegetable", "herb", "mushroom") and food.form == "fresh":
        add("fresh-aromatic")
    return tuple(found)


def kills(case: Case, event: Event, core_c: float) -> Kill:
    """Whether a step brings its food to ``core_c`` throughout, as far as it says.

    A written temperature counts before the name of the act.  Water at camp is
    no hotter than it boils there.
    """
    step = event.step
    if step.at_c is not None and step.act in (*KILL_ACTS, "heat"):
        if not step.at_c >= core_c:  # NaN fails too
            return "no"
        if step.act == "heat":
            return "yes"
    if step.act not in KILL_ACTS:
        return "no"
    camp_water = step.act in ("boil", "simmer") and step.where == "camp"
    if camp_water and case.altitude_m is not None and boil_at(case.altitude_m).low_c < core_c:
        return "no"
    if step.minutes is None:
        return "unsaid"
    return "yes" if step.minutes > 0 else "no"


def best_kill(case: Case, part: Part, core_c: float, before: int | None = None) -> Kill:
    """The best that any step does for a part (before step ``before``, when given)."""
    found = {
        kills(case, event, core_c)
        for event in events_of(case, part)
        if before is None or event.number < before
    }
    return "yes" if "yes" in found else "unsaid" if "unsaid" in found else "no"


def dried_at_home(case: Case, part: Part) -> Event | None:
    """The last step at home that dries the part."""
    found = [e for e in events_of(case, part) if e.step.act == "dry"]
    return found[-1] if found else None


@once
def _courses(case: Case) -> dict[int, tuple[int, Event | None]]:
    """Of each part: the last step that dried it (0 = none), and the first that wets it after."""
    found: dict[int, tuple[int, Event | None]] = {}
    # A part that is left out of the case may still be named by a step.
    for part in (*case.parts, *(part for event in case.events for part in event.parts)):
        if part.number in found:
            continue
        events = events_of(case, part)
        dry = max((e.number for e in events if e.step.act in DRYING_ACTS), default=0)
        wet = next((e for e in events if e.number > dry and wets(e)), None)
        found[part.number] = dry, wet
    return found


def dry_again_after(case: Case, part: Part) -> int:
    """Number of the last step that took the water out of the part; 0 = none did."""
    return _courses(case)[part.number][0]


def wets(event: Event) -> bool:
    """Whether the step puts its parts in water."""
    return event.step.act in WET_ACTS or (
        event.step.water is not None and event.step.act != "drain"
    )


def first_wetting(case: Case, part: Part) -> Event | None:
    """The step from which on the part is wet until it is eaten."""
    return _courses(case)[part.number][1]


def carried_wet(case: Case, part: Part) -> Event | None:
    """The step at home that wets a part which no step dries again."""
    first = first_wetting(case, part)
    return first if first is not None and first.step.where == "home" else None


def carried_aw(case: Case, part: Part) -> tuple[float, float] | None:
    """Water activity of the part in its bag; None = unknown.

    A part dried or wetted at home is no longer what the pantry tabulates.
    """
    if carried_wet(case, part) is not None:
        return (0.95, 1.0)
    if dry_again_after(case, part):
        return None
    return part.food.water_activity


def carried_water_percent(case: Case, part: Part) -> float | None:
    """Moisture of the part in its bag [%]; None = unknown."""
    if carried_wet(case, part) is not None or dry_again_after(case, part):
        return None
    return part.food.per_100g.water_g


def is_cold(case: Case, part: Part) -> bool:
    """Whether the part's own bag is kept at or under 5 °C."""
    return part.bag.kept == "cold"


def said(*things: Part | Event) -> tuple[str, ...]:
    """Names of parts and steps, for the ``about`` of a finding."""
    return tuple(thing.said for thing in things)


def said_lines(case: Case, parts: tuple[Part, ...]) -> tuple[str, ...]:
    """Names of the parts; 'the whole dish' when it is all of several."""
    whole = len(parts) == len(case.parts) > 1
    return ("the whole dish",) if whole else said(*parts)


def short(food: Food) -> str:
    """Its name up to the first comma: 'red kidney beans', not 'red kidney beans, raw, dry'.

    Of mushrooms the kind is kept.
    """
    head, _, rest = food.name.partition(", ")
    kind = rest.partition(", ")[0]
    return f"{head}, {kind}" if kind and head == "mushroom" else head


def names(parts: tuple[Part, ...] | list[Part]) -> str:
    """Their foods in one phrase, by their short names."""
    return ", ".join(dict.fromkeys(short(part.food) for part in parts))
