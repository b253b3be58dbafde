"""What does a published recipe say?  Every part once, as plain text; the forms only lay it out.

Nothing is reckoned here: figures are the sheet's.  What is unknown is told as unknown
('≥' is a lower bound), never left out as if it were zero.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from fellfare.files.publish.amounts import Measures, ingredient_text, mass_text
from fellfare.files.publish.names import spoken_name
from fellfare.files.publish.sentences import minutes_text, short_step, step_text
from fellfare.files.publish.wrapping import one_line
from fellfare.measure.printing import print_volume
from fellfare.measure.units import KILOCALORIE_KJ
from fellfare.mistake import Finding
from fellfare.pantry.allergens import Declared, agent_name, combine
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.packing import PackedBag
from fellfare.recipe.sheet import Sheet, Total
from fellfare.safety import no_rule_fired
from fellfare.safety.notes import standing_findings

#: Acts that need a fire or boiling water.
HOT: Final = frozenset({"steep", "boil", "simmer", "fry", "toast", "bake", "heat"})
#: Nutrient, name, decimals, unit; a part of the one above stands in brackets behind it.
_ROWS: Final = (
    ("protein_g", "protein", 1, "g"), ("fat_g", "fat", 1, "g"),
    ("saturated_g", "(saturated", 1, "g)"), ("carbohydrate_g", "carbohydrate", 1, "g"),
    ("fibre_g", "(fibre", 1, "g"), ("sugars_g", "sugars", 1, "g)"),
    ("sodium_mg", "sodium", 0, "mg"),
)  # fmt: skip

#: The packer's advice, said of one food or of several.
_MAY: Final = {"crushes": "may be crushed", "leaks": "may leak", "melts": "may melt"}


class Group(Struct, frozen=True):
    """Ingredient lines that travel together; ``bag`` '' = on their own."""

    bag: str
    lines: tuple[str, ...]


#: Which figure to trust, by the measures that are printed.
WEIGH: Final[dict[Measures, str]] = {
    "metric": "",
    "us": "Weigh in ounces where you can: cups and spoons are US and rounded.",
    "both": "Weigh in grams where you can: cups and spoons are US and rounded.",
}


class Told(Struct, frozen=True, kw_only=True):
    """The parts of a published recipe."""

    title: str
    serves: int
    about: str
    measures: Measures
    #: Mass and density, water, time limit.
    facts: tuple[str, ...]
    groups: tuple[Group, ...]
    home: tuple[str, ...]
    camp: tuple[str, ...]
    #: The same steps in one sentence each.
    home_short: tuple[str, ...]
    camp_short: tuple[str, ...]
    #: What goes into each bag: 'Bag "pot": instant rice, salt'.
    contents: tuple[str, ...]
    nutrition: tuple[str, ...]
    allergens: tuple[str, ...]
    #: The same without the foods that bring them.
    allergens_short: tuple[str, ...]
    packing: tuple[str, ...]
    #: Error findings: what must not be done as written.
    stops: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    #: What is always said, as far as it touches this dish.
    standing: tuple[str, ...]
    origin: str


def tell(
    sheet: Sheet, findings: Iterable[Finding], pantry: Pantry, measures: Measures = "both"
) -> Told:
    """Everything that a publication of the sheet says, in the order in which it says it."""
    recipe = sheet.recipe
    said = tuple(findings)

    def texts(severity: str) -> tuple[str, ...]:
        return tuple(_finding(one, sheet, pantry) for one in said if one.severity == severity)

    def steps(place: str, *, short: bool) -> tuple[str, ...]:
        form = short_step if short else step_text
        here = (step for step in sheet.steps if step.where == place)
        return tuple(one_line(form(step, sheet, pantry, measures)) for step in here)

    return Told(
        title=one_line(recipe.title),
        serves=sheet.eaters,
        about=one_line(recipe.about),
        measures=measures,
        facts=_facts(sheet, measures),
        groups=_groups(sheet, pantry, measures),
        home=steps("home", short=False),
        camp=steps("camp", short=False),
        home_short=steps("home", short=True),
        camp_short=steps("camp", short=True),
        contents=tuple(
            f'Bag "{one_line(bag.name)}": {_names(dict.fromkeys(bag.foods), sheet, pantry)}'
            for bag in sheet.bags
            if bag.name
        ),
        nutrition=_nutrition(sheet, pantry),
        allergens=_allergens(sheet, pantry, foods=True),
        allergens_short=_allergens(sheet, pantry, foods=False),
        packing=tuple(_packing(bag, sheet, pantry, measures) for bag in sheet.bags if bag.name),
        stops=texts("error"),
        cautions=texts("caution") if said else (one_line(no_rule_fired()),),
        notes=texts("note"),
        standing=_standing(sheet),
        origin=one_line(recipe.origin),
    )


def _finding(finding: Finding, sheet: Sheet, pantry: Pantry) -> str:
    """Its text, with the foods called as in the ingredient lines."""
    text = one_line(finding.text)
    for food in sorted({line.food for line in sheet.lines}, key=lambda food: -len(food.name)):
        text = text.replace(food.name, spoken_name(food, pantry))
    return text[:1].upper() + text[1:]


def _least(total: Total) -> str:
    return "≥ " if total.unknown else ""


def _at_least(total: Total) -> str:
    return "at least " if total.unknown else ""


def _facts(sheet: Sheet, measures: Measures) -> tuple[str, ...]:
    kcal, mass = sheet.energy, sheet.mass
    shares = [("One serving", 1 / sheet.eaters)]
    if sheet.eaters > 1:
        shares.append((f"All {sheet.eaters}", 1.0))
    lines = [
        f"{name}: {_at_least(mass)}{mass_text(mass.value * share, measures)} to carry, "
        f"{_at_least(kcal)}{kcal.value * share:.0f} kcal"
        for name, share in shares
    ]
    per_oz, per_100g = sheet.energy_kcal_per_oz, sheet.energy_kcal_per_100g
    if per_oz is not None and per_100g is not None:
        texts = {
            "metric": f"{per_100g:.0f} kcal/100 g", "us": f"{per_oz:.0f} kcal/oz",
            "both": f"{per_oz:.0f} kcal/oz ({per_100g:.0f} kcal/100 g)",
        }  # fmt: skip
        # A pinch that nobody weighed is in neither sum: the figure is that of the rest.
        least = "at least " if set(kcal.unknown) - set(mass.unknown) else ""
        lines.append(
            f"Energy density: {least}{texts[measures]}"
            + (" of what is weighed" if mass.unknown else "")
        )
    water = sheet.water_add_ml
    if water.value:
        lines.append(f"Water to add: {_at_least(water)}{_volume(water.value, measures)}")
    elif water.unknown:
        lines.append("Water to add: not known, see the packs")
    if sheet.recipe.hold_minutes is not None:
        limit = minutes_text(sheet.recipe.hold_minutes)
        lines.append(f"Eat it all within {limit} of wetting it")
    return tuple(lines)


def _volume(volume_ml: float, measures: Measures) -> str:
    metric, us = print_volume(volume_ml, "metric").text, print_volume(volume_ml, "us").text
    return {"metric": metric, "us": us, "both": f"{metric} ({us})"}[measures]


def _groups(sheet: Sheet, pantry: Pantry, measures: Measures) -> tuple[Group, ...]:
    """By bag, in the order of the lines; unbagged lines first, so that no bag claims them."""
    bags = dict.fromkeys(line.line.bag or "" for line in sheet.lines)
    return tuple(
        Group(
            one_line(bag),
            tuple(
                one_line(ingredient_text(line, pantry, measures))
                for line in sheet.lines
                if (line.line.bag or "") == bag
            ),
        )
        for bag in sorted(bags, key=bool)
    )


def _nutrition(sheet: Sheet, pantry: Pantry) -> tuple[str, ...]:
    """One serving in one line, and what of it is a lower bound."""
    kcal = Total(sheet.energy.value / sheet.eaters, sheet.energy.unknown)
    parts = [
        f"{_least(kcal)}{kcal.value:.0f} kcal ({kcal.value * float(KILOCALORIE_KJ):.0f} kJ)"
        if kcal.value or not kcal.unknown
        else "energy not known"
    ]
    unknown = dict.fromkeys(kcal.unknown)
    for nutrient, name, places, unit in _ROWS:
        total = sheet.total(nutrient)
        unknown |= dict.fromkeys(total.unknown)
        value = f"{total.value / sheet.eaters:.{places}f} {unit}"
        if total.unknown and not total.value:
            value = "not known" + (")" if unit.endswith(")") else "")
        else:
            value = _least(total) + value
        parts.append(f"{name} {value}")
    lines = [f"Per serving: {', '.join(parts).replace(', (', ' (')}"]
    if unknown:
        names = _names(tuple(unknown), sheet, pantry)
        lines.append(f"≥ means at least: not everything is known of {names}.")
    return (*lines, "Reckoned from food tables and labels, not measured; no label for trade.")


def _names(ids: Iterable[str], sheet: Sheet, pantry: Pantry) -> str:
    foods = {line.food.id: line.food for line in sheet.lines}
    return ", ".join(spoken_name(foods[one], pantry) for one in ids)


def _allergens(sheet: Sheet, pantry: Pantry, *, foods: bool) -> tuple[str, ...]:
    found = combine(line.food for line in sheet.lines)

    def told(group: tuple[Declared, ...]) -> str:
        if not foods:
            return ", ".join(agent_name(one.agent) for one in group)
        by_foods: dict[str, list[str]] = {}
        for one in group:
            names = _names(one.foods, sheet, pantry)
            by_foods.setdefault(names, []).append(agent_name(one.agent))
        return "; ".join(f"{', '.join(agents)} ({names})" for names, agents in by_foods.items())

    lines = [f"Contains: {told(found.contains) or 'none declared'}"]
    if found.may_contain:
        lines.append(f"May contain: {told(found.may_contain)}")
    if found.unknown:
        lines.append(f"Differs by maker, read the label: {told(found.unknown)}")
    return tuple(lines)


def _packing(bag: PackedBag, sheet: Sheet, pantry: Pantry, measures: Measures) -> str:
    mass = mass_text(bag.mass_g, measures)
    parts = [("at least " if bag.mass_unknown else "") + mass]
    if bag.volume_ml:
        least = "at least" if bag.volume_unknown else "about"
        parts.append(f"{least} {_volume(bag.volume_ml, 'us' if measures == 'us' else 'metric')}")
    if bag.packing == "wrap":
        parts.append("wrapped")
    elif bag.size:
        parts.append(bag.size)
    elif bag.volume_unknown:
        parts.append("size not known")
    else:
        parts.append("larger than any usual bag: split it")
    if bag.packing in ("vacuum", "oxygen-absorber"):
        parts.append({"vacuum": "under vacuum"}.get(bag.packing, "with an oxygen absorber"))
    if bag.kept == "cold":
        parts.append("kept cold, at most 5 °C (41 °F)")
    advice: dict[str, list[str]] = {}
    for word in bag.advice:  # 'walnut crushes: on top, or in a box'
        food = next((one for one in bag.foods if word.startswith(f"{one} ")), "")
        said = word.removeprefix(f"{food} ")
        for verb, mild in _MAY.items():
            said = said.replace(f"{verb}:", f"{mild}:", 1)
        advice.setdefault(said, []).append(food)
    text = f'Bag "{one_line(bag.name)}": {"; ".join(parts)}.'
    for said, foods in advice.items():
        names = _names((food for food in foods if food), sheet, pantry)
        whole = f"{names} {said}".strip()
        text += f" {whole[:1].upper()}{whole[1:]}."
    return text


def _standing(sheet: Sheet) -> tuple[str, ...]:
    camp = [step for step in sheet.steps if step.where == "camp"]
    wanted = ["who-decides", "allergens-declared", "when-in-doubt"]
    if any(step.water_ml or step.water_unknown for step in camp):
        wanted.append("water")
    if any(step.act in HOT for step in camp):
        wanted.append("stove")
    return tuple(one_line(note.text) for note in standing_findings() if note.rule in wanted)
