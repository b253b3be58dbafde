"""The two panels of a dish, for one serving of its sheet."""

from __future__ import annotations

from msgspec.structs import replace

from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.recipe.panel.by_line import eu_ends
from fellfare.recipe.panel.eu import EuPanel, eu_panel
from fellfare.recipe.panel.us import UsPanel, us_panel
from fellfare.recipe.sheet import Sheet


def panels(sheet: Sheet) -> tuple[UsPanel, EuPanel]:
    """(US, EU) panel of one serving; what is unknown stays unknown."""
    totals = {
        name: None if (told := sheet.total(name).told) is None else told / sheet.eaters
        for name in NUTRIENTS
    }
    unknown = {name: sheet.total(name).unknown for name in NUTRIENTS}
    serving_g = sheet.mass.value / sheet.eaters
    most = {
        name: None if (end := sheet.total(name).most) is None else end / sheet.eaters
        for name in NUTRIENTS
    }
    eaters = sheet.eaters
    ends = {
        name: (low / eaters, None if high is None else high / eaters)
        for name, (low, high) in eu_ends((line.food, line.mass_g) for line in sheet.lines).items()
    }
    us = us_panel(totals, unknown, serving_g, basis=_basis(sheet), most=most)
    eu = eu_panel(totals, unknown, serving_g, most=most, ends=ends)
    if not sheet.mass.unknown:
        return us, eu
    note = "On the measured mass; not measured: " + ", ".join(sheet.mass.unknown) + "."
    return replace(us, notes=(*us.notes, note)), replace(eu, notes=(*eu.notes, note))


def _basis(sheet: Sheet) -> str:
    """Whose energy figures they are."""
    labelled = [line.food.source.ref.startswith("own food") for line in sheet.lines]
    if all(labelled):
        return "the labels' own energy"
    table = "food-specific factors (USDA SR28)"
    return f"{table}, own foods by their labels" if any(labelled) else table
