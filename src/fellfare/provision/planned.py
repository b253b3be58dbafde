"""Who eats what, on which day?  One planned dish, whatever plan it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from math import isfinite
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.asked.wetting import Wetted
from fellfare.mistake import SEVERITIES, Finding, Mistake
from fellfare.pantry.allergens import agents_of
from fellfare.pantry.food import Allergen, Food
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe
from fellfare.recipe.sheet import Sheet, make_sheet
from fellfare.safety import check
from fellfare.safety.case import Case, Eater, Risk
from fellfare.safety.dish import case_of_dish
from fellfare.walk.walker import Diet

#: More than a year on foot, or more servings for one, is a slip of the pen.
MOST_DAYS: Final = 400
MOST_SERVINGS: Final = 50.0

#: Usual order of the eating times within a day; others follow in the order given.
TIMES: Final = ("breakfast", "morning", "lunch", "afternoon", "snack", "dinner", "supper", "drink")


class Share(Struct, frozen=True, kw_only=True):
    """One eater of one dish."""

    name: str
    #: How many of the sheet's servings; 1 = as written.
    servings: float = 1.0
    #: Agents ('almond') or groups ('tree-nut', 'gluten') that they must not eat.
    avoids: tuple[str, ...] = ()
    #: None = nobody has told.
    risks: tuple[Risk, ...] | None = None
    #: Ids of foods left out of their serving (added at the table by the others).
    without: tuple[str, ...] = ()
    #: Diets that they keep, and id of each food of this dish that speaks against one, with the
    #: reason: 'not vegan', 'not known whether it is vegan'.
    diets: tuple[Diet, ...] = ()
    against: tuple[tuple[str, str], ...] = ()
    #: What may contain traces of what they avoid is as bad as what contains it; else it is
    #: theirs to eat, with a word to read the label.
    traces_barred: bool = False

    def diet_says(self, food: Food) -> str:
        """'not vegan' of a food of this dish; '' where their diets do not speak against it."""
        return next((why for one, why in self.against if one == food.id), "")

    @property
    def agents(self) -> tuple[Allergen, ...]:
        """What they avoid, agent by agent."""
        return tuple(dict.fromkeys(agent for word in self.avoids for agent in agents_of(word)))


class Planned(Struct, frozen=True, kw_only=True):
    """One dish at one eating time of one day.

    The sheet is best made for about as many eaters as eat (seasoning grows less
    than the head count); from there it is scaled in proportion to the servings.
    """

    #: Day of the walk, from 1.
    day: int
    #: 'breakfast', 'lunch', 'snack', 'dinner' or a word of one's own.
    time: str
    sheet: Sheet
    eaters: tuple[Share, ...]
    #: Carry from one resupply to the next, from 1.
    leg: int = 1
    #: Name of the box or shop where it is taken up; '' = carried from the start.
    stop: str = ""
    #: Day on which it is taken up, and first morning on which it is on a back (the day after,
    #: where it is taken up on the way or in camp); None = not told, then the carry's first day.
    taken_on: int | None = None
    first_morning: int | None = None
    #: Eater to how the dish soaks where they eat it; nobody = as the recipe says.
    soaks: Mapping[str, Wetted] = {}
    #: Everybody has bags of their own, instead of one pot.
    apart: bool = False
    #: Those of the party who do not eat of it and avoid something: its bags say whom they are not
    #: for, as food is handed round on the way.
    others: tuple[Share, ...] = ()
    #: How often a pot is filled with it, and in how many batches; 1 where one pot holds it.
    fills: int = 1
    batches: int = 1
    air_c: float | None = None
    altitude_m: float | None = None

    @property
    def dish(self) -> str:
        """Title of the recipe."""
        return self.sheet.recipe.title

    @property
    def servings(self) -> float:
        """Servings of everybody together."""
        return sum(eater.servings for eater in self.eaters)

    def eats(self, eater: Share, food: Food) -> bool:
        """Whether this food goes into this eater's serving."""
        return food.id not in eater.without

    def mass_g(self, line: int, eater: Share) -> float | None:
        """Mass of line ``line`` (from 0) in the serving of ``eater`` [g]; None = unmeasured."""
        of = self.sheet.lines[line]
        if not self.eats(eater, of.food):
            return 0.0
        return None if of.mass_g is None else of.mass_g * eater.servings / self.sheet.eaters


def planned_recipe(
    recipe: Recipe,
    pantry: Pantry,
    eaters: int | Sequence[Share],
    *,
    days: Sequence[int] = (1,),
    time: str | None = None,
) -> tuple[Planned, ...]:
    """A single recipe, for so many eaters, on each of the days.

    Raises
    ------
    Mistake
        As :func:`fellfare.recipe.sheet.make_sheet` and :func:`in_order`.
    """
    if isinstance(eaters, int):
        sheet = make_sheet(recipe, pantry, eaters)
        shares = tuple(Share(name=f"eater {number}") for number in range(1, eaters + 1))
    else:
        shares = tuple(eaters)
        for one in shares:
            _check_servings(one)
        sheet = make_sheet(recipe, pantry, max(1, round(sum(one.servings for one in shares))))
    when = time or (recipe.meals[0] if recipe.meals else "meal")
    return in_order(Planned(day=day, time=when, sheet=sheet, eaters=shares) for day in days)


def in_order(dishes: Iterable[Planned]) -> tuple[Planned, ...]:
    """The dishes in the order in which they are eaten; refuses what cannot be.

    Raises
    ------
    Mistake
        ``nothing-planned``, ``day-out-of-range``, ``leg-out-of-range``,
        ``no-eaters``, ``servings-out-of-range``, ``eater-twice``,
        ``unknown-food`` (somebody goes without what is not in the dish),
        ``unknown-allergen``.
    """
    plan = tuple(dishes)
    if not plan:
        raise Mistake("nothing-planned", "no dish is planned", "plan at least one dish for one day")
    for number, one in enumerate(plan, 1):
        where = f"dish {number} ({one.dish[:60]})"
        try:
            _check(one)
        except Mistake as mistake:
            raise mistake.at(where) from None
    seen = {name: place for place, name in enumerate(TIMES)}
    for one in plan:
        seen.setdefault(one.time, len(seen))
    return tuple(sorted(plan, key=lambda one: (one.day, seen[one.time])))


def _check(one: Planned) -> None:
    if not 1 <= one.day <= MOST_DAYS:
        raise Mistake(
            "day-out-of-range",
            what=f"day {one.day} is outside 1 to {MOST_DAYS}",
            mend="count the days of the walk from 1",
        )
    if not 1 <= one.leg <= MOST_DAYS:
        raise Mistake(
            "leg-out-of-range",
            what=f"leg {one.leg} is outside 1 to {MOST_DAYS}",
            mend="count the carries between resupplies from 1",
        )
    if not one.eaters:
        raise Mistake("no-eaters", "nobody eats it", "name at least one eater, or take it out")
    names = [eater.name for eater in one.eaters]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise Mistake(
            "eater-twice",
            what=f"{twice!r} eats of it twice",
            mend="give one share with the servings added up, or two names",
        )
    foods = {line.food.id for line in one.sheet.lines}
    for eater in one.eaters:
        _check_servings(eater)
        stray = next((food for food in eater.without if food not in foods), None)
        if stray is not None:
            raise Mistake(
                "unknown-food",
                what=f"goes without {stray!r}, which is not in the dish",
                mend="name foods of the dish's own lines",
                where=eater.name,
            )
        eater.agents  # noqa: B018 - raises 'unknown-allergen'


def _check_servings(eater: Share) -> None:
    if not (isfinite(eater.servings) and 0 < eater.servings <= MOST_SERVINGS):
        raise Mistake(
            "servings-out-of-range",
            what=f"{eater.servings:g} servings for one eater",
            mend=f"more than 0, at most {MOST_SERVINGS:g}; leave out who eats nothing",
            where=eater.name,
        )


def date_of(day: int, first_day: date | None) -> date | None:
    """Date of a day of the walk; None when the date of day 1 is not told."""
    return None if first_day is None else first_day + timedelta(days=day - 1)


def case_for(
    one: Planned, storage_days: float | None = None, storage_c: float | None = None
) -> Case:
    """What the safety rules look at for one planned dish.

    Foods that an eater goes without still stand in the case: the pot and the
    spoon are shared.  Swaps do not: a planned dish is made as it is written, and
    another food would be another plan.
    """
    recipe = one.sheet.recipe
    as_written = replace(recipe, lines=tuple(replace(line, swap=()) for line in recipe.lines))
    eaters = tuple(
        Eater(name=eater.name, avoids=eater.avoids, risks=eater.risks) for eater in one.eaters
    )
    return case_of_dish(
        replace(one.sheet, recipe=as_written),
        Pantry(line.food for line in one.sheet.lines),
        eaters=eaters,
        air_c=one.air_c,
        altitude_m=one.altitude_m,
        storage_days=storage_days,
        storage_c=storage_c,
    )


#: Serving order and spoons of a shared pot: common practice for group kitchens, no source.
_AT_THE_TABLE: Final = "own judgement; common practice of group kitchens, no source"


def findings_for(
    one: Planned, storage_days: float | None = None, storage_c: float | None = None
) -> tuple[Finding, ...]:
    """What the safety rules say about one planned dish, gravest first.

    What an eater goes without is not held against them, but a caution says how
    it must be served.
    """
    case = case_for(one, storage_days, storage_c)
    groups: dict[tuple[str, ...], list[str]] = {}
    for eater in one.eaters:
        groups.setdefault(eater.without, []).append(eater.name)
    found: dict[tuple[str, str], Finding] = {}
    for without, names in groups.items():
        seen = replace(
            case,
            parts=tuple(part for part in case.parts if part.food.id not in without),
            eaters=tuple(eater for eater in case.eaters if eater.name in names),
        )
        found |= {(finding.rule, finding.text): finding for finding in check(seen)}
        if without:
            left_out = [part for part in case.parts if part.food.id in without]
            foods = ", ".join(dict.fromkeys(part.food.name for part in left_out))
            text = (
                f"{', '.join(names)}: goes without {foods}.  Serve theirs first, from a clean pot "
                "with a spoon of its own; the others add it to their own plates."
            )
            found["left-out", text] = Finding(
                severity="caution",
                rule="left-out",
                text=text,
                source=_AT_THE_TABLE,
                about=tuple(part.said for part in left_out),
            )
    for finding in _against_diets(one):
        found[finding.rule, finding.text] = finding
    return tuple(sorted(found.values(), key=lambda one: SEVERITIES.index(one.severity)))


def _against_diets(one: Planned) -> Iterator[Finding]:
    """A dish is planned for somebody whose diet a food of it does not keep, or may not."""
    told: dict[tuple[str, str, tuple[Diet, ...]], list[str]] = {}
    for eater in one.eaters:
        for line in one.sheet.lines:
            why = eater.diet_says(line.food)
            if why and one.eats(eater, line.food):
                names = told.setdefault((line.food.name, why, eater.diets), [])
                if eater.name not in names:
                    names.append(eater.name)
    for (food, why, diets), names in told.items():
        asked = ", ".join(diets)
        yield Finding(
            severity="caution" if why.startswith("not known") else "error",
            rule="diet-not-kept",
            text=f"{', '.join(names)} ({asked}): {food}: {why}.  Change the menu, or leave it out.",
            source="what names and kinds of foods say; common knowledge, from memory",
            about=(food,),
        )
