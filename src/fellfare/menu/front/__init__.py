"""What one more different dinner, or one unit of money less, costs in grams."""

from fellfare.menu.front.drawing import front
from fellfare.menu.front.told import By, Front, FrontPoint

__all__ = ["By", "Front", "FrontPoint", "front"]
