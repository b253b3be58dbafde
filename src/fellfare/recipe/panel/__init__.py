"""Nutrition panels: the same totals as a US and as an EU label would print them."""

from fellfare.recipe.panel.eu import EuPanel, eu_panel
from fellfare.recipe.panel.figure import Row
from fellfare.recipe.panel.us import UsPanel, us_panel

__all__ = ["EuPanel", "Row", "UsPanel", "eu_panel", "us_panel"]
