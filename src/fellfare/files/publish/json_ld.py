"""The recipe as schema.org JSON-LD: what a web page carries for programs that read it.

Type ``Recipe`` of the schema.org vocabulary [SCHEMA-ORG].  Home and camp part are
``HowToSection``s of ``HowToStep``s, each with its whole text and with its parts (what is
done with which foods; the author's words); allergens and cautions are a third section of
``HowToTip``s, because whatever shows the steps then shows them too.  Nothing is invented:
no author, date or picture unless given, no nutrient of which a part is unknown (those are
told as lower bounds in the ``description`` of the nutrition), no duration when a step's
time is unknown.

``<``, ``>`` and ``&`` are written as JSON escapes, so that the text can stand inside a
``script`` element of a page whatever the author's words are.
"""

from __future__ import annotations

import json
from datetime import date
from typing import Any, Final

from fellfare.files.jsonld.duration import write_duration
from fellfare.files.publish.amounts import mass_text
from fellfare.files.publish.diets import diets, keywords
from fellfare.files.publish.sentences import short_step
from fellfare.files.publish.told import Told
from fellfare.files.publish.wrapping import one_line
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Place
from fellfare.recipe.sheet import Sheet
from fellfare.recipe.watering import WateredStep

_NUTRITION: Final = (
    ("calories", "energy_kcal", 0, "kcal"),
    ("proteinContent", "protein_g", 1, "g"),
    ("fatContent", "fat_g", 1, "g"),
    ("saturatedFatContent", "saturated_g", 1, "g"),
    ("carbohydrateContent", "carbohydrate_g", 1, "g"),
    ("fiberContent", "fibre_g", 1, "g"),
    ("sugarContent", "sugars_g", 1, "g"),
    ("sodiumContent", "sodium_mg", 0, "mg"),
)
#: Handwork of seconds that nobody times; it does not make a camp part's time unknown.
_HANDWORK: Final = frozenset({"mix", "serve", "pack", "drain"})
_METHODS: Final = {
    "soak": "cold soaking", "steep": "steeping in boiling water", "boil": "boiling",
    "simmer": "simmering", "fry": "frying", "toast": "toasting", "bake": "baking",
}  # fmt: skip


def json_ld(
    sheet: Sheet, told: Told, pantry: Pantry, *, author: str = "", published: str = ""
) -> str:
    """The publication as one JSON-LD object; ends in one line feed.

    Parameters
    ----------
    sheet, told, pantry
        The figures, what is said of them, and the foods that may be named.
    author
        A person's name; '' = none is told.
    published
        A date as YYYY-MM-DD; '' = none is told.

    Raises
    ------
    Mistake
        ``bad-date``.
    """
    data = recipe_data(sheet, told, pantry, author=author, published=published)
    text = json.dumps(data, ensure_ascii=False, indent=1)
    for char in "<>&":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return text + "\n"


def recipe_data(
    sheet: Sheet, told: Told, pantry: Pantry, *, author: str = "", published: str = ""
) -> dict[str, Any]:
    """The same as plain data; see :func:`json_ld`."""
    first, *more = told.facts
    data: dict[str, Any] = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": told.title,
        "description": " ".join(_ended(text) for text in (told.about, first, *more) if text),
    }
    if author.strip():
        data["author"] = {"@type": "Person", "name": one_line(author)}
    if published:
        data["datePublished"] = _date(published)
    if told.origin:
        data["creditText"] = told.origin
    data["recipeYield"] = f"{sheet.eaters} serving{'s' * (sheet.eaters != 1)}"
    if sheet.recipe.meals:
        data["recipeCategory"] = list(sheet.recipe.meals)
    if methods := _methods(sheet):
        data["cookingMethod"] = methods
    if words := keywords(sheet):
        data["keywords"] = ", ".join(words)
    if allowed := diets(sheet):
        data["suitableForDiet"] = [f"https://schema.org/{name}" for name in allowed]
    data |= _durations(sheet)
    data["recipeIngredient"] = [line for group in told.groups for line in group.lines]
    data["recipeInstructions"] = _instructions(sheet, told, pantry)
    data["nutrition"] = _nutrition(sheet, told)
    return data


def _ended(text: str) -> str:
    return text if text[-1] in ".!?…" else text + "."


def _date(text: str) -> str:
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError as error:
        raise Mistake(
            "bad-date", f"{text[:40]!r} is no date", "write it as 2031-05-01", "--date"
        ) from error


def _methods(sheet: Sheet) -> list[str]:
    acts = (step.act for step in sheet.steps if step.where == "camp")
    return list(dict.fromkeys(_METHODS[act] for act in acts if act in _METHODS))


def minutes_of(sheet: Sheet, place: Place) -> float | None:
    """How long the part at ``place`` takes [min]; None when a step's time is unknown.

    The longer end of a range counts.  Handwork without a time (mix, serve) is not counted
    in camp; at home, where it is most of the work, it makes the whole unknown.
    """
    total = 0.0
    for step in sheet.steps:
        if step.where != place:
            continue
        minutes = step.minutes if step.most_minutes is None else step.most_minutes
        if minutes is not None:
            total += minutes
        elif place == "home" or step.act not in _HANDWORK:
            return None
    return total or None


def _durations(sheet: Sheet) -> dict[str, str]:
    home, camp = minutes_of(sheet, "home"), minutes_of(sheet, "camp")
    found: dict[str, float | None] = {"prepTime": home, "cookTime": camp}
    if not any(step.where == "home" for step in sheet.steps):
        found["totalTime"] = camp
    elif home is not None and camp is not None:
        found["totalTime"] = home + camp
    return {name: write_duration(value) for name, value in found.items() if value is not None}


def _instructions(sheet: Sheet, told: Told, pantry: Pantry) -> list[dict[str, Any]]:
    sections: list[dict[str, Any]] = []
    number = 0
    parts: tuple[tuple[Place, str, tuple[str, ...]], ...] = (
        ("home", "At home", told.home),
        ("camp", "In camp", told.camp),
    )
    for place, name, texts in parts:
        items = []
        steps = (step for step in sheet.steps if step.where == place)
        for step, text in zip(steps, texts, strict=True):
            number += 1
            items.append(_step(step, number, text, sheet, told, pantry))
        if items:
            sections.append({"@type": "HowToSection", "name": name, "itemListElement": items})
    tips = [
        *(f"STOP. Do not make it as written: {text}" for text in told.stops),
        *(f"Allergens. {text}" for text in told.allergens),
        *told.cautions,
        *told.contents,
        *told.packing,
        *told.notes,
        *told.standing,
    ]
    sections.append(
        {
            "@type": "HowToSection",
            "name": "Please mind",
            "itemListElement": [{"@type": "HowToTip", "text": text} for text in tips],
        }
    )
    return sections


def _step(
    step: WateredStep, number: int, text: str, sheet: Sheet, told: Told, pantry: Pantry
) -> dict[str, Any]:
    """The whole text for people, and in parts for programs: what is done, and how."""
    done = short_step(step, sheet, pantry, told.measures, by_food=True)
    parts = [{"@type": "HowToDirection", "text": one_line(done)}]
    if own := one_line(step.text):
        parts.append({"@type": "HowToTip", "text": own})
    return {"@type": "HowToStep", "position": number, "text": text, "itemListElement": parts}


def _nutrition(sheet: Sheet, told: Told) -> dict[str, Any]:
    data: dict[str, Any] = {"@type": "NutritionInformation"}
    least = "at least " if sheet.mass.unknown else ""
    data["servingSize"] = least + mass_text(sheet.mass.value / sheet.eaters, "both")
    for name, nutrient, places, unit in _NUTRITION:
        whole = sheet.total(nutrient).whole
        if whole is not None:
            data[name] = f"{whole / sheet.eaters:.{places}f} {unit}"
    data["description"] = " ".join(_ended(text) for text in told.nutrition)
    return data
