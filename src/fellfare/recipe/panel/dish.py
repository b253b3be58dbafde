"""The two panels of a dish, for one serving of its sheet."""

from __future__ import annotations

from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.recipe.panel.eu import EuPanel, eu_panel
from fellfare.recipe.panel.us import UsPanel, us_panel
from fellfare.recipe.sheet import Sheet


def panels(sheet: Sheet) -> tuple[UsPanel, EuPanel]:
    """(US, EU) panel of one serving; what is unknown stays unknown."""
    totals = {name: sheet.total(name).value / sheet.eaters for name in NUTRIENTS}
    unknown = {name: sheet.total(name).unknown for name in NUTRIENTS}
    serving_g = None if sheet.mass.unknown else sheet.mass.value / sheet.eaters
    return us_panel(totals, unknown, serving_g), eu_panel(totals, unknown, serving_g)
