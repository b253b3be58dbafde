"""What does the recipe add up to?  Mass, energy, composition, water, bags.

The sheet never hides what it does not know: every total names the foods whose
part in it is unknown, and is then a lower bound.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.measure.amount import Amount
from fellfare.measure.reading import read_amount
from fellfare.measure.units import OUNCE_G, System
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import NUTRIENTS, ceiling
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.packing import PackedBag, packed
from fellfare.recipe.scaling import exponent_of, factor_for, scaled_g
from fellfare.recipe.watering import WateredStep, watered
from fellfare.recipe.weighing import Weighed, weigh

_OUNCE: Final = float(OUNCE_G)


class Total(Struct, frozen=True):
    """A sum, what is missing from it, and how much that can be at most."""

    value: float
    #: Foods whose part is unknown; with any of them ``value`` is a lower bound.
    unknown: tuple[str, ...] = ()
    #: Upper end of the sum; None = there is no bound worth having.
    most: float | None = None
    #: False when not one part is known: ``value`` is then a bare 0 that says nothing.
    anything: bool = True

    def over(self, eaters: int) -> Total:
        """The same for one of so many eaters."""
        most = None if self.most is None else self.most / eaters
        return Total(self.value / eaters, self.unknown, most, self.anything)

    @property
    def told(self) -> float | None:
        """The sum of what is known; None when nothing is."""
        return self.value if self.anything else None

    @property
    def whole(self) -> float | None:
        """The sum when every part is known, else None."""
        return None if self.unknown else self.value


class SheetLine(Struct, frozen=True):
    """One line of the recipe, weighed."""

    line: Line
    food: Food
    amount: Amount
    weighed: Weighed
    #: For the number of eaters of the sheet; None = unmeasured [g].
    mass_g: float | None

    @property
    def energy_kcal(self) -> float | None:
        """Energy of the line [kcal]; None when mass or composition is unknown."""
        per_100g = self.food.per_100g.energy_kcal
        if per_100g == 0.0:
            return 0.0
        if self.mass_g is None or per_100g is None:
            return None
        return self.mass_g * per_100g / 100


class Sheet(Struct, frozen=True):
    """Everything a recipe adds up to, for ``eaters`` people together."""

    recipe: Recipe
    eaters: int
    lines: tuple[SheetLine, ...]
    mass: Total
    #: In the order of NUTRIENTS.
    totals: tuple[Total, ...]
    bags: tuple[PackedBag, ...]
    steps: tuple[WateredStep, ...]

    def total(self, nutrient: str) -> Total:
        """The sum of one nutrient, in the unit that its name ends with."""
        return self.totals[_PLACE[nutrient]]

    @property
    def energy(self) -> Total:
        """Energy by each food's own factors [kcal]."""
        return self.totals[0]

    @property
    def energy_kcal_per_100g(self) -> float | None:
        """Energy density of what is measured; None without any known mass or energy."""
        energy = self.energy.told
        return 100 * energy / self.mass.value if self.mass.value and energy is not None else None

    @property
    def energy_kcal_per_oz(self) -> float | None:
        """Energy per avoirdupois ounce, as the trade compares dishes."""
        density = self.energy_kcal_per_100g
        return None if density is None else density * _OUNCE / 100

    @property
    def water_add_ml(self) -> Total:
        """Water that the steps add."""
        missing = tuple(step.name for step in self.steps if step.water_unknown)
        return Total(sum(step.water_ml or 0.0 for step in self.steps), missing)


_PLACE: Final = {name: place for place, name in enumerate(NUTRIENTS)}


def read_lines(recipe: Recipe, pantry: Pantry) -> tuple[SheetLine, ...]:
    """Every line with its food and mass, as written (for ``recipe.serves``).

    Raises
    ------
    Mistakes
        One for each line that cannot be used; ``where`` opens with its field,
        ``line[2]`` for the third.
    """
    lines: list[SheetLine] = []
    faults: list[Mistake] = []
    for index, line in enumerate(recipe.lines):
        try:
            lines.append(_read_line(line, pantry, recipe.system))
        except Mistake as mistake:
            faults.append(mistake.at(f"line[{index}]"))
    if faults:
        raise Mistakes(tuple(faults))
    return tuple(lines)


def _read_line(line: Line, pantry: Pantry, system: System) -> SheetLine:
    try:
        food = pantry.food(line.food)
    except Mistake as mistake:
        raise mistake.at("food") from None
    amount = read_amount(line.amount, system)
    try:
        weighed = weigh(amount, food, line.note)
    except Mistake as mistake:
        raise mistake.at("amount") from None
    return SheetLine(line, food, amount, weighed, weighed.mass_g)


def make_sheet(recipe: Recipe, pantry: Pantry, eaters: int | None = None) -> Sheet:
    """The sheet of a recipe.

    Parameters
    ----------
    recipe
        The document.
    pantry
        Foods that its lines name.
    eaters
        For how many; the recipe's own ``serves`` when None.

    Raises
    ------
    Mistake
        ``empty-recipe``, or whatever a line or step cannot be read for
        (:class:`Mistakes` holds all of them).
    """
    if not recipe.lines:
        raise Mistake(
            "empty-recipe",
            what=f"the recipe {recipe.title!r} has no line",
            mend='add at least one [[line]] with food = "…" and amount = "…"',
        )
    eaters = recipe.serves if eaters is None else eaters
    factor_for(eaters, recipe.serves)  # refuses an odd number before any line is read
    return sum_up(recipe, read_lines(recipe, pantry), eaters)


def sum_up(recipe: Recipe, lines: tuple[SheetLine, ...], eaters: int) -> Sheet:
    """The sheet of lines that were read before (:func:`read_lines`), for ``eaters``.

    Whoever needs the same recipe for many numbers of eaters reads it once.

    Raises
    ------
    Mistakes
        A step that names an unknown bag, or a water amount that cannot be read.
    """
    factor = factor_for(eaters, recipe.serves)
    if factor != 1.0:
        lines = tuple(_scaled(line, factor) for line in lines)
    loads = tuple((line.line, line.food, line.mass_g) for line in lines)
    return Sheet(
        recipe=recipe,
        eaters=eaters,
        lines=lines,
        mass=_mass(lines),
        totals=_totals(lines),
        bags=packed(recipe, loads),
        steps=watered(recipe, loads, factor),
    )


def _scaled(line: SheetLine, factor: float) -> SheetLine:
    if line.mass_g is None:
        return line
    mass_g = scaled_g(line.mass_g, factor, exponent_of(line.line, line.food))
    return SheetLine(line.line, line.food, line.amount, line.weighed, mass_g)


def _mass(lines: tuple[SheetLine, ...]) -> Total:
    known = [line.mass_g for line in lines if line.mass_g is not None]
    missing = tuple(dict.fromkeys(line.food.id for line in lines if line.mass_g is None))
    return Total(sum(known), missing, None if missing else sum(known), bool(known))


def _totals(lines: tuple[SheetLine, ...]) -> tuple[Total, ...]:
    """Σ mass × composition; an exact 0 per 100 g stays 0 whatever the mass."""
    columns = zip(*(line.food.per_100g.in_order for line in lines), strict=True)
    masses = [None if line.mass_g is None else line.mass_g / 100 for line in lines]
    totals = []
    for nutrient, column in zip(NUTRIENTS, columns, strict=True):
        value = 0.0
        unknown: tuple[int, ...] = ()
        for place, part in enumerate(column):
            mass = masses[place]
            if part is not None and mass is not None:
                value += mass * part
            elif part != 0.0:
                unknown = (*unknown, place)
        if not unknown:
            totals.append(Total(value, (), value))
            continue
        missing = [lines[place] for place in unknown]
        most = _most(value, missing, nutrient)
        foods = tuple(dict.fromkeys(line.food.id for line in missing))
        totals.append(Total(value, foods, most, anything=len(unknown) < len(lines)))
    return tuple(totals)


def _most(value: float, missing: list[SheetLine], nutrient: str) -> float | None:
    """The sum with every missing part as large as its food's mass allows."""
    for line in missing:
        per_100g = ceiling(line.food.per_100g, nutrient)
        if per_100g is None or line.mass_g is None:
            return None
        value += line.mass_g * per_100g / 100
    return value
