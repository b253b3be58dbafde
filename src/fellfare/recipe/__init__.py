"""Recipes: lines, steps, bags, and the sheet that they add up to."""
