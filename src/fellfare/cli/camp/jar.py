"""Which foods are in the jar, and which of them is the slowest?"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.camp import OwnSoak, SoakTime, SoakTried, own_soak, own_soak_minutes, soak_food
from fellfare.cli.camp.reading import read_minutes_band, read_temperature_c
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
    #: The own test that it soaks by; None = by the pantry.
    own: OwnSoak | None = None

    @property
    def water_ml(self) -> float | None:
        """Water for its mass; None when mass or uptake is unknown [mL]."""
        if self.mass_g is None or self.soak.water_ml_per_g is None:
            return None
        return self.mass_g * self.soak.water_ml_per_g


class Tested(Struct, frozen=True, kw_only=True):
    """A soak test as it was written behind ``--tested``."""

    #: As it was written.
    text: str
    food: str
    tried: SoakTried


_TESTED: Final = re.compile(
    r"(?P<food>.*?\S)[,:]?\s+(?P<minutes>\d[^,;]*?min\w*)\s+(?:at|in)\s+(?P<temp>\S.*)"
)


def read_tested(text: str, way: Way) -> Tested:
    """'bulgur 52 min at 11 °C'; '45-52 min' when it was still hard at the 45th minute.

    Raises
    ------
    Mistake
        ``soak-test-unclear``, and those of the minutes and the temperature.
    """
    found = _TESTED.fullmatch(" ".join(text[:120].split()))
    if not found:
        raise Mistake(
            "soak-test-unclear",
            what=f"cannot read the soak test {text[:60]!r}",
            mend="write food, minutes and water: 'bulgur 52 min at 11 °C' (or '45-52 min' when "
            "it was still hard at the 45th)",
            where="--tested",
        )
    try:
        minutes, water_c = read_minutes_band(found["minutes"]), read_temperature_c(found["temp"])
    except Mistake as mistake:
        raise mistake.at("--tested") from None
    return Tested(
        text=text,
        food=found["food"],
        tried=SoakTried(
            done_minutes=minutes.late,
            not_yet_minutes=minutes.early if minutes.early < minutes.late else None,
            water_c=water_c,
            way=way,
        ),
    )


def pantry_with(own_folders: Iterable[Path]) -> tuple[Pantry, tuple[Finding, ...]]:
    """The shipped foods and those of one's own, and what was said about the latter."""
    own, said = read_own_foods(tuple(own_folders))
    return shipped_pantry().with_foods(own), said


def named_food(name: str, pantry: Pantry) -> Food:
    """A food by its id or its whole name; Mistake ``unknown-food``."""
    return pantry.food(name) if name in pantry else pantry.named(name)[0]


def read_jar(
    phrases: Iterable[str],
    own_folders: Iterable[Path],
    water_c: float,
    way: Way,
    boils_c: float,
    tested: Iterable[str] = (),
) -> tuple[tuple[InJar, ...], tuple[Finding, ...]]:
    """The foods by their names, each perhaps behind an amount ('90 g bulgur'), and what was
    said about foods of one's own and soak tests.

    A food with a test of its own (see :func:`read_tested`) soaks by that test.

    Raises
    ------
    Mistake
        ``unknown-food``, those of the amounts, of the soak and of the tests;
        ``soak-test-twice`` and ``soak-test-not-in-jar``.
    """
    pantry, said = pantry_with(own_folders)
    asked: list[tuple[str, Food, float | None]] = []
    for phrase in phrases:
        try:
            asked.append((phrase, *_food(phrase, pantry)))
        except Mistake as mistake:
            raise _in(phrase, mistake) from None
    tests = _own_soaks(tested, pantry, way, {food.id: food for _, food, _ in asked})
    jar = []
    for phrase, food, mass_g in asked:
        own = tests.get(food.id)
        try:
            soak = (
                soak_food(food, water_c, way, boils_c)
                if own is None
                else own_soak_minutes(own, food, water_c, boils_c=boils_c)
            )
        except Mistake as mistake:
            raise _in(phrase, mistake) from None
        jar.append(InJar(food=food, mass_g=mass_g, soak=soak, own=own))
    used = {one.food.id for one in jar}
    return tuple(jar), (
        *(finding for finding in said if used & set(finding.about)),
        *(finding for own in tests.values() for finding in own.findings),
    )


def _in(phrase: str, mistake: Mistake) -> Mistake:
    here = phrase[:40]
    return mistake if mistake.where.startswith(here) else mistake.at(here)


def _own_soaks(
    tested: Iterable[str], pantry: Pantry, way: Way, in_jar: dict[str, Food]
) -> dict[str, OwnSoak]:
    out: dict[str, OwnSoak] = {}
    for text in tested:
        one = read_tested(text, way)
        try:
            food = named_food(one.food, pantry)
            if food.id in out:
                raise Mistake(
                    "soak-test-twice",
                    what=f"{food.name} has two tests",
                    mend="give one: the one in the water nearest to that of the walk",
                )
            if food.id not in in_jar:
                raise Mistake(
                    "soak-test-not-in-jar",
                    what=f"{food.name} was tested, but is not in the jar",
                    mend=f"the jar holds {', '.join(in_jar)}: name the same food, or leave the "
                    "test out",
                )
            out[food.id] = own_soak(food, one.tried)
        except Mistake as mistake:
            raise mistake.at("--tested") from None
    return out


def _food(phrase: str, pantry: Pantry) -> tuple[Food, float | None]:
    if phrase in pantry:
        return pantry.food(phrase), None
    if not any(char.isdigit() for char in phrase[:3]):
        return pantry.named(phrase)[0], None
    amount, name = read_leading_amount(phrase)
    if not name:
        raise Mistake("food-missing", "an amount without a food", "write '90 g bulgur'")
    food = named_food(name, pantry)
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
