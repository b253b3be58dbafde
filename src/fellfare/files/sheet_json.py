"""The sheet as plain data: what ``--json`` prints.  Keys stay; new ones are added."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from msgspec import to_builtins

from fellfare.measure.units import KILOCALORIE_KJ
from fellfare.mistake import Finding
from fellfare.pantry.allergens import combine
from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.recipe.density import energy_shares, pulls
from fellfare.recipe.panel.dish import panels
from fellfare.recipe.sheet import Sheet, SheetLine, Total

#: Figures are rounded here, at the printing end, and nowhere before.
_PLACES: Final = 3


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, _PLACES)


def _total(total: Total) -> dict[str, Any]:
    data = {"value": _round(total.told), "unknown": list(total.unknown)}
    return data | {"most": _round(total.most)} if total.unknown else data


def sheet_data(sheet: Sheet, findings: Iterable[Finding]) -> dict[str, Any]:
    """Everything on the sheet; figures are for all ``eaters`` together, but for 'per_serving'."""
    recipe = sheet.recipe
    energy = sheet.energy
    us, eu = panels(sheet)
    shares = energy_shares(sheet)
    allergens = combine(line.food for line in sheet.lines)
    nutrients = {name: _total(sheet.total(name)) for name in NUTRIENTS if name != "energy_kcal"}
    return {
        "title": recipe.title,
        "serves": sheet.eaters,
        "mass_g": _round(sheet.mass.told),
        "mass_unknown": list(sheet.mass.unknown),
        "energy_kcal": _round(energy.told),
        "energy_kj": None if energy.told is None else _round(energy.told * float(KILOCALORIE_KJ)),
        "energy_unknown": list(energy.unknown),
        "energy_most_kcal": _round(energy.most),
        "energy_kcal_per_100g": _round(sheet.energy_kcal_per_100g),
        "energy_kcal_per_oz": _round(sheet.energy_kcal_per_oz),
        "water_add_ml": _round(sheet.water_add_ml.value),
        "water_add_unknown": list(sheet.water_add_ml.unknown),
        "nutrients": nutrients,
        "per_serving": {
            "mass_g": _round(sheet.mass.over(sheet.eaters).told),
            "energy_kcal": _round(energy.over(sheet.eaters).told),
            "water_add_ml": _round(sheet.water_add_ml.value / sheet.eaters),
            "nutrients": {name: _total(sheet.total(name).over(sheet.eaters)) for name in nutrients},
        },
        "energy_shares": None if shares is None else to_builtins(shares),
        "density_pulls": [
            {
                "line": pull.line,
                "food": pull.food,
                "own_kcal_per_100g": _round(pull.own),
                "dish_kcal_per_100g": _round(pull.as_is),
                "without_kcal_per_100g": _round(pull.without),
                "with_10_g_more_kcal_per_100g": _round(pull.with_more),
            }
            for pull in pulls(sheet)
        ],
        "lines": [_line(line) for line in sheet.lines],
        "bags": [
            {
                "name": bag.name,
                "mass_g": _round(bag.mass_g),
                "mass_unknown": list(bag.mass_unknown),
                "volume_ml": _round(bag.volume_told_ml),
                "volume_unknown": list(bag.volume_unknown),
                "lines": list(bag.lines),
                "foods": list(bag.foods),
                "size": bag.size,
                "tare_g": bag.tare_g,
                "packing": bag.packing,
                "advice": list(bag.advice),
            }
            for bag in sheet.bags
        ],
        "steps": [
            {
                "act": step.act,
                "where": step.where,
                "bags": list(step.bags),
                "foods": list(step.foods),
                "minutes": _round(step.minutes),
                "most_minutes": _round(step.most_minutes),
                "water_ml": _round(step.water_ml),
                "water_unknown": step.water_unknown,
                "trust": step.minutes_trust,
                "water_trust": step.water_trust,
                "text": step.text,
            }
            for step in sheet.steps
        ],
        "allergens": {
            "contains": [one.agent for one in allergens.contains],
            "may_contain": [one.agent for one in allergens.may_contain],
            "unknown": [one.agent for one in allergens.unknown],
            "foods": {
                one.agent: list(one.foods)
                for one in (*allergens.contains, *allergens.may_contain, *allergens.unknown)
            },
        },
        "panels": {"us": to_builtins(us), "eu": to_builtins(eu)},
        "findings": [to_builtins(finding) for finding in findings],
    }


def _line(line: SheetLine) -> dict[str, Any]:
    return {
        "food": line.food.id,
        "name": line.food.name,
        "amount": line.line.amount,
        "note": line.line.note,
        "optional": line.line.optional,
        "mass_g": _round(line.mass_g),
        "energy_kcal": _round(line.energy_kcal),
        "bag": line.line.bag,
        "measure": line.weighed.measure,
        "trust": line.weighed.trust,
        "source": line.food.source.ref,
        "source_kind": line.food.source.kind,
    }
