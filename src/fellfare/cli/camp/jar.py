"""Which foods are in the jar, and which of them is the slowest?"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.camp import SoakTime, soak_food
from fellfare.files.own_food import read_own_foods
from fellfare.files.shipped import shipped_pantry
from fellfare.measure import read_leading_amount
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Food, Way
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.weighing import weigh
from fellfare.safety import case_of, check

#: Rules that may speak about foods that stand in water; whether the water is
#: treated is said by a standing note instead.
_RULES: Final = (
    "raw-lectin-pulse",
    "raw-pulse",
    "raw-meat",
    "raw-fish",
    "raw-egg",
    "raw-milk",
    "raw-flour",
    "sprouts",
    "dried-meat",
    "wet-hold",
    "cold-by-word",
    "animal-powder-wet",
    "starch-leftovers",
)


class InJar(Struct, frozen=True, kw_only=True):
    """One food in the jar."""

    food: Food
    #: None = nobody said how much [g].
    mass_g: float | None
    soak: SoakTime

    @property
    def water_ml(self) -> float | None:
        """Water for its mass; None when mass or uptake is unknown [mL]."""
        if self.mass_g is None or self.soak.water_ml_per_g is None:
            return None
        return self.mass_g * self.soak.water_ml_per_g


def read_jar(
    phrases: Iterable[str], own_folders: Iterable[Path], water_c: float, way: Way, boils_c: float
) -> tuple[tuple[InJar, ...], tuple[Finding, ...]]:
    """The foods by their names, each perhaps behind an amount ('90 g bulgur'), and what was
    said about foods of one's own.

    Raises
    ------
    Mistake
        ``unknown-food``, those of the amounts and those of the soak.
    """
    own, said = read_own_foods(tuple(own_folders))
    pantry = shipped_pantry().with_foods(own)
    jar = []
    for phrase in phrases:
        try:
            food, mass_g = _food(phrase, pantry)
            jar.append(InJar(food=food, mass_g=mass_g, soak=soak_food(food, water_c, way, boils_c)))
        except Mistake as mistake:
            here = phrase[:40]
            raise (mistake if mistake.where.startswith(here) else mistake.at(here)) from None
    used = {one.food.id for one in jar}
    return tuple(jar), tuple(finding for finding in said if used & set(finding.about))


def _food(phrase: str, pantry: Pantry) -> tuple[Food, float | None]:
    if phrase in pantry:
        return pantry.food(phrase), None
    if not any(char.isdigit() for char in phrase[:3]):
        return pantry.named(phrase)[0], None
    amount, name = read_leading_amount(phrase)
    if not name:
        raise Mistake("food-missing", "an amount without a food", "write '90 g bulgur'")
    food = pantry.food(name) if name in pantry else pantry.named(name)[0]
    return food, weigh(amount, food).mass_g


def slowest(jar: tuple[InJar, ...]) -> InJar | None:
    """The food with the longest time to plan with; None when one of them is unknown."""
    if any(one.soak.high_minutes is None for one in jar):
        return None
    return max(jar, key=lambda one: one.soak.high_minutes or 0.0)


def unknown_soaks(jar: tuple[InJar, ...]) -> tuple[Finding, ...]:
    """A caution for every food whose time nobody knows."""
    findings = []
    for one in jar:
        if one.soak.minutes is not None:
            continue
        ways = ", ".join(soak.way for soak in one.food.soaks) or "none"
        findings.append(
            Finding(
                severity="caution",
                rule="soak-unknown",
                text=f"{one.food.name}: no {one.soak.way} time is known; the whole jar is then "
                f"unknown.  Known ways: {ways}.",
                source="the pantry",
                about=(one.food.id,),
            )
        )
    return tuple(findings)


def jar_findings(jar: tuple[InJar, ...], way: Way, air_c: float | None) -> tuple[Finding, ...]:
    """What the safety rules say of these foods standing in water for the slowest one's time.

    The time is from wetting to the end of the soak; eating comes on top.  Cold water alone
    does not count as kept cold: only cold air does.
    """
    highs = [one.soak.high_minutes for one in jar if one.soak.high_minutes is not None]
    foods = {one.food.id: one.food for one in jar}
    recipe = Recipe(
        title="the jar",
        serves=1,
        lines=tuple(Line(food=food_id, amount="to taste") for food_id in foods),
        steps=(
            Step(
                act="soak" if way == "cold-soak" else "steep",
                water="to taste",
                minutes=round(max(highs)) if highs else None,
            ),
        ),
    )
    found = check(case_of(recipe, foods, air_c=air_c))
    return tuple(replace(one, about=()) for one in found if one.rule in _RULES)
