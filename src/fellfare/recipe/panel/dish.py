"""The two panels of a dish, for one serving of its sheet."""

from __future__ import annotations

from msgspec.structs import replace

from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.recipe.panel.eu import EuPanel, eu_panel
from fellfare.recipe.panel.us import UsPanel, us_panel
from fellfare.recipe.sheet import Sheet


def panels(sheet: Sheet) -> tuple[UsPanel, EuPanel]:
    """(US, EU) panel of one serving; what is unknown stays unknown."""
    totals = {name: sheet.total(name).value / sheet.eaters for name in NUTRIENTS}
    unknown = {name: sheet.total(name).unknown for name in NUTRIENTS}
    serving_g = sheet.mass.value / sheet.eaters
    most = {
        name: None if (end := sheet.total(name).most) is None else end / sheet.eaters
        for name in NUTRIENTS
    }
    us = us_panel(totals, unknown, serving_g, most=most)
    eu = eu_panel(totals, unknown, serving_g, most=most)
    if not sheet.mass.unknown:
        return us, eu
    note = "On the measured mass; not measured: " + ", ".join(sheet.mass.unknown) + "."
    return replace(us, notes=(*us.notes, note)), replace(eu, notes=(*eu.notes, note))
