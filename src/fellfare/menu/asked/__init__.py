"""What does a trip ask of a menu?  From plan, recipes and pantry to a plain question."""

from fellfare.menu.asked.dishes import AskedDish, LeftOut, asked_dishes
from fellfare.menu.asked.places import PlaceOfMeal, places_of, why_not_here
from fellfare.menu.asked.question import Asked, question_of_trip

__all__ = [
    "Asked",
    "AskedDish",
    "LeftOut",
    "PlaceOfMeal",
    "asked_dishes",
    "places_of",
    "question_of_trip",
    "why_not_here",
]
