"""The card of one recipe: what is done at home, what in camp, in both systems of measure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.pantry.pantry import Pantry
from fellfare.provision.cards.allergen import AllergenRow, allergen_rows
from fellfare.provision.label import (
    LabelStep,
    Measure,
    food_measure,
    label_step,
    water_measure,
)
from fellfare.recipe.household import counted
from fellfare.recipe.sheet import Sheet, SheetLine
from fellfare.safety import check
from fellfare.safety.case import Eater
from fellfare.safety.dish import case_of_dish

#: Nutrients of the card's one line, in order.
SHOWN: Final = (
    "energy_kcal", "protein_g", "fat_g", "saturated_g", "carbohydrate_g", "fibre_g", "sugars_g",
    "sodium_mg",
)  # fmt: skip


class CardLine(Struct, frozen=True, kw_only=True):
    """One ingredient."""

    food: str
    name: str
    #: As the author wrote it.
    written: str
    #: None = 'to taste'.
    amount: Measure | None
    #: '2 cloves', for what was written in counted things; ''.
    counted: str
    note: str
    bag: str
    optional: bool
    swaps: tuple[str, ...]


class CardBag(Struct, frozen=True, kw_only=True):
    """One bag to fill at home."""

    name: str
    foods: tuple[str, ...]
    mass_g: float
    size: str
    advice: tuple[str, ...]


class CardNutrient(Struct, frozen=True, kw_only=True):
    """One figure per serving."""

    name: str
    value: float
    #: Foods whose part is unknown: the figure is then a lower bound.
    unknown: tuple[str, ...]


class RecipeCard(Struct, frozen=True, kw_only=True):
    """Everything that a printed recipe says."""

    title: str
    about: str
    serves: int
    meals: tuple[str, ...]
    origin: str
    lines: tuple[CardLine, ...]
    home: tuple[LabelStep, ...]
    camp: tuple[LabelStep, ...]
    bags: tuple[CardBag, ...]
    #: Dry, as carried, for one serving [g].
    serving_g: float
    serving_unknown: tuple[str, ...]
    energy_kcal_per_100g: float | None
    energy_kcal_per_oz: float | None
    #: Water in camp, all servings; None = none.
    water: Measure | None
    water_unknown: bool
    nutrients: tuple[CardNutrient, ...]
    allergens: tuple[AllergenRow, ...]
    findings: tuple[Finding, ...]


def recipe_card(
    sheet: Sheet,
    pantry: Pantry,
    *,
    eaters: Sequence[Eater] = (),
    altitude_m: float | None = None,
) -> RecipeCard:
    """The card of a sheet; ``pantry`` names the swaps."""
    recipe = sheet.recipe
    camp = [step for step in sheet.steps if step.where == "camp"]
    water_ml = sum(step.water_ml or 0.0 for step in camp)
    return RecipeCard(
        title=recipe.title,
        about=recipe.about,
        serves=sheet.eaters,
        meals=recipe.meals,
        origin=recipe.origin,
        lines=tuple(_line(line, pantry) for line in sheet.lines),
        home=tuple(label_step(step) for step in sheet.steps if step.where == "home"),
        camp=tuple(label_step(step) for step in camp),
        bags=tuple(
            CardBag(
                name=bag.name,
                foods=tuple(sheet.lines[number - 1].food.name for number in bag.lines),
                mass_g=bag.mass_g,
                size=bag.size or "",
                advice=bag.advice,
            )
            for bag in sheet.bags
        ),
        serving_g=sheet.mass.value / sheet.eaters,
        serving_unknown=sheet.mass.unknown,
        energy_kcal_per_100g=sheet.energy_kcal_per_100g,
        energy_kcal_per_oz=sheet.energy_kcal_per_oz,
        water=water_measure(water_ml) if water_ml else None,
        water_unknown=any(step.water_unknown for step in camp),
        nutrients=tuple(
            CardNutrient(
                name=name,
                value=sheet.total(name).value / sheet.eaters,
                unknown=sheet.total(name).unknown,
            )
            for name in SHOWN
        ),
        allergens=allergen_rows(line.food for line in sheet.lines),
        findings=check(case_of_dish(sheet, pantry, eaters=eaters, altitude_m=altitude_m)),
    )


def _line(line: SheetLine, pantry: Pantry) -> CardLine:
    amount = None
    if line.mass_g is not None:
        amount = food_measure((line.food,), line.mass_g, line.line.note)
    return CardLine(
        food=line.food.id,
        name=line.food.name,
        written=line.line.amount,
        amount=amount,
        counted=counted(line) or "",
        note=line.line.note,
        bag=line.line.bag or "",
        optional=line.line.optional,
        swaps=tuple(pantry.food(swap).name if swap in pantry else swap for swap in line.line.swap),
    )
