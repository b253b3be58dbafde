"""From a recipe to a dish of the menu: what one serving weighs, holds, asks and forbids."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import gcd
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.measure.amount import Amount
from fellfare.menu.asked.diets import diets_kept
from fellfare.menu.asked.making import Making, kinds_of, making_of
from fellfare.menu.pool import Dish
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.allergens import combine
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe
from fellfare.recipe.sheet import Sheet, Total, make_sheet
from fellfare.safety import check
from fellfare.safety.case import Case
from fellfare.safety.dish import case_of_dish

#: Portions go by twentieths of a serving, unless the dish is counted in pieces.
STEPS: Final = 20
#: Least and most of a serving where the trip does not say, and of a dinner (judgement).
USUAL_PORTIONS: Final = (0.75, 1.8)
USUAL_DINNERS: Final = (1.0, 2.0)
#: What nobody knows may be so much of a total and still count as nothing (judgement).
MOST_UNKNOWN: Final = 0.05
#: No food has more: fat, general factor of FAO (2003), Food and Nutrition Paper 77 (from memory).
MOST_KCAL_PER_G: Final = 9.0
#: A food of unknown bulk density is taken to lie as loosely as this [g/mL]: freeze-dried
#: pieces lie closer (judgement, on the cautious side: it takes more room).
LOOSE_G_PER_ML: Final = 0.08
#: Fuel for a minute over a small flame [g] (judgement: about 0.3 kW of gas).
SIMMER_G_PER_MIN: Final = 0.4
#: Tags that open so name the base of a dish: rice, pasta, oats.
_BASE: Final = "base-"
#: Tags that say nothing of the flavour.
_PLAIN_TAGS: Final = ("stove", "stoveless", "vegan", "vegetarian", "gluten", "nut", "dairy")


class LeftOut(Struct, frozen=True, kw_only=True):
    """A recipe that is not on offer to the menu, and why."""

    dish: str
    title: str
    why: str


class AskedDish(Struct, frozen=True, kw_only=True, eq=False):
    """A recipe with all that the menu asks about it."""

    id: str
    recipe: Recipe
    sheet: Sheet
    making: Making
    #: Kinds that it serves: 'breakfast', 'snack' …
    kinds: tuple[str, ...]
    #: Without swaps and eaters; places add warmth and height.
    case: Case
    #: One serving; ``meals``, ``fuel_g``, ``keeps_days`` and ``stops`` come from the trip.
    dish: Dish
    #: What was taken instead of what nobody knows, in words.
    assumed: tuple[str, ...]
    #: Nutrients of which a part is not known: the dish's figure is then a lower bound.
    at_least: tuple[str, ...]
    #: Foods of the recipe that are left out for all, because some of the pot may not eat them.
    without: tuple[str, ...] = ()
    #: It is soaked cold where its recipe has boiling water poured on.
    cold_instead: bool = False

    @property
    def foods(self) -> tuple[Food, ...]:
        """Its foods, line by line."""
        return tuple(line.food for line in self.sheet.lines)


def asked_dishes(
    recipes: Mapping[str, Recipe],
    pantry: Pantry | Mapping[str, Pantry],
    portions: tuple[float, float] | None = None,
) -> tuple[tuple[AskedDish, ...], tuple[LeftOut, ...]]:
    """The recipes as dishes, and those that cannot be one.

    Parameters
    ----------
    recipes
        By name: the file's, without its ending.
    pantry
        For all, or one for each recipe (own foods lie beside it).
    portions
        Least and most of a serving that somebody gets; None = :data:`USUAL_PORTIONS`, and of
        a dinner :data:`USUAL_DINNERS`.
    """
    dishes, out = [], []
    for name, recipe in recipes.items():
        foods = pantry[name] if isinstance(pantry, Mapping) else pantry
        try:
            made = _asked(name, recipe, foods, portions)
        except Mistake as mistake:
            each = mistake.each if isinstance(mistake, Mistakes) else (mistake,)
            why = "; ".join(f"{one.where}: {one.what}".lstrip(": ") for one in each)
            out.append(LeftOut(dish=name, title=recipe.title, why=why))
            continue
        if isinstance(made, LeftOut):
            out.append(made)
        else:
            dishes.append(made)
    return tuple(dishes), tuple(out)


def _asked(
    name: str, recipe: Recipe, pantry: Pantry, portions: tuple[float, float] | None
) -> AskedDish | LeftOut:
    sheet = make_sheet(recipe, pantry)

    def no(why: str) -> LeftOut:
        return LeftOut(dish=name, title=recipe.title, why=why)

    assumed: list[str] = []
    figures: dict[str, float | None] = {}
    if sheet.mass.unknown:
        return no(f"nobody has weighed {_listed(sheet.mass.unknown)} in it")
    if not _energy_known(sheet):
        return no(f"its energy is not known: {_listed(sheet.energy.unknown)}")
    energy = sheet.energy.value
    if sheet.energy.unknown:
        assumed.append(f"no energy of {_listed(sheet.energy.unknown)} is counted")
    at_least: list[str] = []
    for nutrient, total in zip(_NUTRIENTS, _totals(sheet), strict=True):
        told = total.told
        figures[nutrient] = None if told is None else told / sheet.eaters
        if told is not None and not _nearly_whole(total):
            at_least.append(nutrient)
    making = making_of(sheet)
    if making.water_unknown:
        assumed.append("how much water it takes is not told; what is told is counted")
    as_written = replace(recipe, lines=tuple(replace(line, swap=()) for line in recipe.lines))
    case = case_of_dish(replace(sheet, recipe=as_written), Pantry(li.food for li in sheet.lines))
    grave = [finding for finding in check(case) if finding.severity == "error"]
    if grave:
        return no(f"the rules of safety say of it: {grave[0].text}")
    foods = [line.food for line in sheet.lines]
    declared = combine(foods)
    tare, unknown_tare = _tare_g(sheet)
    if unknown_tare:
        assumed.append(f"the packing of {_listed(unknown_tare)} is not counted")
    volume, loose = _volume_ml(sheet)
    if loose:
        assumed.append(f"{_listed(loose)} is taken to lie very loosely")
    steps = _steps(sheet)
    kinds = kinds_of(recipe, making)
    usual = USUAL_DINNERS if "dinner" in kinds else USUAL_PORTIONS
    least, most = _least_most(steps, portions or usual)
    mass = (sheet.mass.value + tare) / sheet.eaters
    water = making.water_ml
    dish = Dish(
        id=name,
        title=recipe.title,
        meals=(),
        mass_g=mass,
        energy_kcal=energy / sheet.eaters,
        water_ml=water,
        volume_ml=volume / sheet.eaters,
        # What is poured on stands in bowls, and water is boiled in as many fills as it takes.
        pot_ml=sheet.mass.value / sheet.eaters + water if making.way == "boil" else 0.0,
        family=_family(recipe),
        base=next((t[len(_BASE) :] for t in recipe.tags if t.startswith(_BASE)), ""),
        ways=(making.way,),
        contains=tuple(one.agent for one in declared.contains),
        may_contain=tuple(one.agent for one in declared.may_contain),
        # Food by food: what one is known to may-contain does not settle what another hides,
        # and the rule on eaters judges the unknown harder than 'may contain'.
        unknown_allergens=tuple(
            dict.fromkeys(one.agent for food in foods for one in combine((food,)).unknown)
        ),
        diets=diets_kept(foods, recipe.tags),
        steps_per_serving=steps,
        least_steps=least,
        most_steps=most,
        **figures,  # type: ignore[arg-type]  # names and values of the five nutrients
    )
    return AskedDish(
        id=name,
        recipe=recipe,
        sheet=sheet,
        making=making,
        kinds=kinds,
        case=case,
        dish=dish,
        assumed=tuple(assumed),
        at_least=tuple(at_least),
    )


_NUTRIENTS: Final = ("protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sodium_mg")


def _totals(sheet: Sheet) -> list[Total]:
    return [sheet.total(nutrient) for nutrient in _NUTRIENTS]


def _energy_known(sheet: Sheet) -> bool:
    """Whether what nobody knows cannot matter, were it pure fat."""
    unknown_g = sum(
        line.mass_g or 0.0 for line in sheet.lines if line.food.id in set(sheet.energy.unknown)
    )
    energy = sheet.energy.value
    return energy > 0 and MOST_KCAL_PER_G * unknown_g <= MOST_UNKNOWN * energy


def _nearly_whole(total: Total) -> bool:
    """Whether what nobody knows of the sum can be no more than a few per cent of it."""
    if not total.unknown:
        return True
    return total.most is not None and total.most - total.value <= MOST_UNKNOWN * total.value


def _tare_g(sheet: Sheet) -> tuple[float, tuple[str, ...]]:
    """Empty bags and bottles, and those whose mass nobody knows; loose things have none."""
    named = [bag for bag in sheet.bags if bag.name]
    unknown = tuple(bag.name for bag in named if bag.tare_g is None)
    return sum(bag.tare_g or 0.0 for bag in named), unknown


def _volume_ml(sheet: Sheet) -> tuple[float, tuple[str, ...]]:
    """Room that the food takes; what is of unknown density lies loosely."""
    total, loose = 0.0, []
    for line in sheet.lines:
        mass = line.mass_g or 0.0
        density = line.food.bulk_density_g_per_ml
        if density is None:
            loose.append(line.food.id)
        total += mass / (LOOSE_G_PER_ML if density is None else density)
    return total, tuple(dict.fromkeys(loose))


def _steps(sheet: Sheet) -> int:
    """Steps of a serving: what is counted in pieces is divided into whole ones, or halves."""
    whole = [_pieces(line.amount) for line in sheet.lines]
    counts = [count for count in whole if count]
    if not counts or any(step.step.where == "camp" and step.water_ml for step in sheet.steps):
        return STEPS
    common = gcd(*counts)
    return common if common > 1 else 2


def _pieces(amount: Amount) -> int:
    """Whole pieces of one line: '3 pieces', '31.5 g (3 pieces)'; 0 = it is not counted."""
    for one in (amount, amount.beside):
        if one is not None and one.kind == "count" and one.value.denominator == 1:
            return int(one.value)
    return 0


def _least_most(steps: int, portions: tuple[float, float]) -> tuple[int, int]:
    least = max(1, -int(-portions[0] * steps // 1))
    return least, max(least, int(portions[1] * steps + 1e-9))


def _family(recipe: Recipe) -> str:
    """The first of the author's tags that speaks of flavour; '' = none does."""
    return next(
        (t for t in recipe.tags if not t.startswith(_BASE) and not t.startswith(_PLAIN_TAGS)), ""
    )


def _listed(words: Sequence[str]) -> str:
    return ", ".join(dict.fromkeys(words))
