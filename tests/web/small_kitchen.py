"""A trip of two days, one walker, two recipes and a saved menu: small enough to reckon by hand."""

from __future__ import annotations

from typing import Final

from fellfare.book import Book

NAME: Final = "moor"

TRIP: Final = """\
# two short days; this word must stay
title = "Two days"
start_date = 2031-05-01
[walk]
day_c = 15
night_c = 5
fire = "none"
[[stage]]
distance_m = 9000
camp = "Low Sike"
water_m = [4000]
[[stage]]
distance_m = 9000
[[walker]]
name = "Ada"   # she walks alone
sex = "female"
age_y = 30
height_cm = 168
mass_kg = 60
base_pack_kg = 6
[[kitchen]]
walkers = ["Ada"]
stove = "gas-screened"
fuel = "gas"
[[container]]
walker = "Ada"
litres = 9
"""

BOX: Final = """\
[[stop]]
name = "Ridge box"
kind = "box"
day = 1
at_m = 9000
transit_days = [2, 5]
hold_days = 14
"""

SOUP: Final = """\
title = "Lentil soup"
serves = 2
meals = ["dinner"]
[[line]]
food = "red-lentils"
amount = "120 g"
bag = "pot"
[[step]]
act = "boil"
bags = ["pot"]
water = "600 ml"
minutes = 15
"""

OATS: Final = """\
title = "Cold oats"
serves = 1
meals = ["breakfast"]
[[line]]
food = "rolled-oats"
amount = "80 g"
bag = "jar"
[[line]]
food = "date"
amount = "20 g"
bag = "jar"
[[step]]
act = "soak"
bags = ["jar"]
water = "150 ml"
minutes = 20
"""

# 15 tenths of 60 g are 90 g of lentils; 10 tenths of 100 g are 100 g of oats and dates.
MENU: Final = """\
title = "Two days"
[[plate]]
day = 1
time = "dinner"
dish = "soup"
portions = [{walker = "Ada", steps = 15, of = 10, mass_g = 90.0, energy_kcal = 320.0}]
[[plate]]
day = 2
time = "breakfast"
dish = "oats"
portions = [{walker = "Ada", steps = 10, of = 10, mass_g = 100.0, energy_kcal = 350.0}]
"""

OWN: Final = """\
currency = "EUR"
[[pack]]
food = "red-lentils"
size = "500 g"
price = 2.35
"""


def lay_in(book: Book, trip: str = TRIP) -> None:
    """Trip, recipes and menu."""
    book.save("recipe", "soup", SOUP, None)
    book.save("recipe", "oats", OATS, None)
    book.save("trip", NAME, trip, None)
    book.save("menu", NAME, MENU, None)
