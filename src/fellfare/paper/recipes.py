"""The printed recipe: a page without pictures, in both systems of measure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from fellfare.measure.printing import print_energy, print_mass
from fellfare.mistake import SEVERITIES, Mistake
from fellfare.paper.press import Place, Size, press
from fellfare.paper.words import capital, number, step_figures
from fellfare.provision.cards.allergen import AllergenRow
from fellfare.provision.cards.recipe import CardBag, CardLine, CardNutrient, RecipeCard
from fellfare.provision.label import LabelStep
from fellfare.safety import no_rule_fired, standing_notes

_NUTRIENTS: Final = {
    "protein_g": "protein",
    "fat_g": "fat",
    "saturated_g": "of it saturated",
    "carbohydrate_g": "carbohydrate",
    "fibre_g": "fibre",
    "sugars_g": "sugars",
    "sodium_mg": "sodium",
}


#: Text [pt] and the share of the usual blank between the parts, from large to small: own
#: judgement.  What still has no room on a page at the last step flows over two.
STEPS: Final = ((10.5, 1.0), (9.5, 0.85), (8.75, 0.7), (8.0, 0.55))


def recipes_pdf(cards: Sequence[RecipeCard], size: Size, title: str = "") -> bytes:
    """One or more recipes, each from a new page, as a PDF.

    Raises
    ------
    Mistake
        ``no-recipes``, ``no-glyph``; ``no-room``: a word that is wider than its column,
        however small.
    """
    if not cards:
        raise Mistake("no-recipes", "there is no recipe to print", "name at least one recipe")
    told = title or (cards[0].title if len(cards) == 1 else "Recipes")
    places = tuple(
        Place(name=card.title or "Without a name", mend="write its longest word shorter, or in two")
        for card in cards
    )
    data = {"steps": STEPS, "cards": [_card(card) for card in cards]}
    return press("recipe.typ", data, size, told, places)


def _card(card: RecipeCard) -> dict[str, Any]:
    return {
        "title": card.title or "Without a name",
        "about": card.about,
        "facts": _facts(card),
        "head": ["Food", "Metric", "US", "Bag"],
        "lines": [_line(line) for line in card.lines],
        "home": [_step(step) for step in card.home],
        "camp": [_step(step) for step in card.camp],
        "bags": [_bag(bag) for bag in card.bags],
        "nutrition": nutrition_line(card.nutrients),
        "allergens": allergen_lines(card.allergens),
        "findings": [
            {"severity": one.severity, "text": one.text}
            for severity in SEVERITIES
            for one in card.findings
            if one.severity == severity
        ],
        "standing": [*([] if card.findings else [no_rule_fired()]), *standing_notes()],
    }


def _facts(card: RecipeCard) -> list[tuple[str, str]]:
    mass = f"{print_mass(card.serving_g).text} ({print_mass(card.serving_g, 'us').text})"
    if card.serving_unknown:
        mass = f"at least {mass}"
    facts = [("Serves", str(card.serves))]
    if card.meals:
        facts.append(("For", ", ".join(card.meals)))
    facts.append(("Dry, a serving", mass))
    if card.energy_kcal_per_100g is not None:
        density = f"{number(card.energy_kcal_per_100g)} kcal/100 g"
        if card.energy_kcal_per_oz is not None:
            density += f" ({number(card.energy_kcal_per_oz)} kcal/oz)"
        facts.append(("Energy", density))
    water = "none" if card.water is None else f"{card.water.metric} ({card.water.us})"
    if card.water_unknown:
        water = "not known" if card.water is None else f"at least {water}"
    facts.append(("Water in camp", water))
    return facts


def _line(line: CardLine) -> dict[str, Any]:
    notes = [line.note] if line.note else []
    if line.optional:
        notes.append("may be left out")
    if line.swaps:
        notes.append(f"or: {', '.join(line.swaps)}")
    metric = us = line.written or "to taste"
    if line.amount is not None:
        metric = _both(line.amount.metric, line.amount.metric_household, line.counted)
        us = _both(line.amount.us, line.amount.us_household, line.counted)
    return {"name": line.name, "notes": notes, "metric": metric, "us": us, "bag": line.bag}


def _both(mass: str, household: str, counted: str) -> str:
    return " · ".join(text for text in (mass, counted or household) if text)


def _step(step: LabelStep) -> dict[str, str]:
    return {"said": capital(step.said), "figures": step_figures(step), "text": step.text}


def _bag(bag: CardBag) -> dict[str, Any]:
    size = f" · {bag.size}" if bag.size else ""
    mass = f" · {print_mass(bag.mass_g).text}" if bag.mass_g > 0 else ""
    return {
        "name": capital(bag.name),
        "text": f": {'; '.join(bag.foods)}{mass}{size}",
        "advice": [capital(one) for one in bag.advice],
    }


def nutrition_line(nutrients: Sequence[CardNutrient]) -> str:
    """'412 kcal (1724 kJ) · protein 14 g · …'; 'at least' where a food's part is unknown."""
    said = []
    for one in nutrients:
        least = "at least " if one.unknown else ""
        if one.name == "energy_kcal":
            both = f"{print_energy(one.value)} ({print_energy(one.value, kj=True)})"
            said.append(capital(f"{least}{both}"))
        else:
            unit = one.name.rsplit("_", 1)[1]
            figure = number(one.value) if unit == "mg" or one.value >= 10 else f"{one.value:.1f}"
            said.append(f"{_NUTRIENTS.get(one.name, one.name)} {least}{figure} {unit}")
    unknown = tuple(dict.fromkeys(food for one in nutrients for food in one.unknown))
    tail = f".  ‘At least’: nobody has measured {'; '.join(unknown)}." if unknown else ""
    return " · ".join(said) + tail


def allergen_lines(rows: Sequence[AllergenRow]) -> list[dict[str, str]]:
    """A word and what it is said of: 'CONTAINS', 'walnut (walnuts)'; the gravest first."""
    words = {
        "contains": "CONTAINS",
        "may contain": "MAY CONTAIN",
        "unknown": "NOT KNOWN, read the packs:",
    }
    said = []
    for answer, word in words.items():
        by_food: dict[tuple[str, ...], list[str]] = {}
        for row in rows:
            if row.answer == answer:
                by_food.setdefault(row.foods, []).append(row.agent)
        if by_food:
            some = (
                f"{', '.join(agents)} ({'; '.join(foods)})" for foods, agents in by_food.items()
            )
            said.append({"word": word, "text": " · ".join(some)})
    return said or [{"word": "", "text": "No listed allergen declared; that is not ‘free from’."}]
