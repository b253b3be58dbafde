"""What follows the invented demo's menu: bulk rations, a season of two parties, a log.

Everything here is made up for showing, as the demo itself is: nobody walked, and nobody left
or weighed anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fellfare.files.log_toml import log_text
from fellfare.learn.log import Boiled, Day, Item, Left, Liked, TripLog, Walked, Weighed
from fellfare.trip.plan import TripPlan

#: The same party fed by ration factors; its dried fruit may hold what one of them avoids.
BULK: Final = """# The Harrowmoor party fed in bulk, by ration factors, without a menu.
# INVENTED, as are its prices.  Every key is explained in docs/bulk.md.

title = "The Harrowmoor Round in bulk (invented)"
people = 3
days = 9
column_lb = 1.75                      # pounds for a person and day
trip = "trip.toml"                    # its need is compared, its walkers are asked after
currency = "EUR"

[[group]]
name = "breakfast"
foods = { rolled-oats = 0.6, instant-farina = 0.4 }

[[group]]
name = "dinner"
foods = { couscous = 0.4, pasta = 0.3, lentils-precooked = 0.3 }

[[group]]
name = "cheese"
foods = { gouda = 1.0 }

[[group]]
name = "trail food"
foods = { raisins = 0.5, apricot-dried = 0.3, pretzels = 0.2 }

[[group]]
name = "milk, eggs, margarine, cocoa"
foods = { milk-powder-whole = 1.0 }

[[group]]
name = "sugar and fruit drinks"
foods = { sugar = 0.7, lemonade-powder = 0.3 }

[[pack]]
food = "couscous"
size_g = 500
price = 1.19

[[pack]]
food = "rolled-oats"
size_g = 500
price = 0.89
"""

#: Two parties of the same walk, a month apart; names are those that a book would use.
SEASON: Final = """# Two parties on the Harrowmoor Round.  INVENTED: parties, cases and prices.
# Every key is explained in docs/season.md.

title = "Two parties on the Harrowmoor Round (invented)"
currency = "EUR"
dry_at_home = [
    "lentils-precooked", "black-beans-precooked", "pasta-precooked", "apple-home-dried",
    "cabbage-dried",
]

[[party]]
name = "may"
trip = "trip"

[[party]]
name = "june"
trip = "trip-june"

[[case]]
food = "couscous"
size_g = 5000
price = 9.80

[[case]]
food = "rolled-oats"
size_g = 5000
price = 6.90
"""

#: Dates of the second party: the demo's own line → the line in its place.
_JUNE: Final = {
    "The Harrowmoor Round (invented)": "The Harrowmoor Round in June (invented)",
    "start_date = 2031-05-01": "start_date = 2031-06-02",
    "posted = 2031-04-22": "posted = 2031-05-24",
}

_LOG_HEAD: Final = """# What came home from the Harrowmoor Round.
# INVENTED: nobody walked, left or weighed any of it.
# Every key is explained in docs/learn.md.

"""


def june_trip(text: str) -> str | None:
    """The demo's trip a month later; None where somebody has changed its dates or title."""
    for old, new in _JUNE.items():
        if text.count(old) != 1:
            return None
        text = text.replace(old, new)
    return text


def demo_log(plan: TripPlan, items: Sequence[Item]) -> str:
    """The invented log of the demo: who brought what home, was hungry, weighed and timed what.

    The last walker leaves a third of every lunch, the second is hungry on two late days, and
    everybody is a tenth slower than planned on day 2.  Made from what was carried, so that it
    fits whatever menu was found.
    """
    names = [walker.walker for walker in plan.walkers]
    days = [day.day for day in plan.days]
    marks: dict[tuple[str, str], Liked] = {}
    for place, item in enumerate(items):
        if item.dish and item.eating == "dinner":
            liked = Liked(walker=item.walker, dish=item.dish, mark=(4, 5, 2)[place % 3])
            marks.setdefault((item.walker, item.dish), liked)
    at = min(1, len(days) - 1)
    stoves = [place for place, one in enumerate(plan.trip.kitchens, 1) if not one.stoveless]
    log = TripLog(
        title=plan.trip.title,
        left=tuple(
            Left(walker=one.walker, day=one.day, eating=one.eating, dish=one.dish,
                 home_g=float(round(one.mass_g / 3)))
            for one in items
            if one.walker == names[-1] and one.eating == "lunch" and one.mass_g >= 3
        ),
        days=tuple(Day(walker=names[1], day=day, felt="hungry") for day in days[5:7])
        if len(names) > 1
        else (),
        liked=tuple(marks.values())[:6],
        weighed=tuple(
            Weighed(walker=one.name, before_kg=one.mass_kg, after_kg=round(one.mass_kg - 0.8, 1))
            for one in plan.trip.walkers[:1]
        ),
        walked=tuple(
            Walked(walker=one.walker, day=days[at],
                   hours=round(1.1 * one.need.days[at].moving_hours, 1))
            for one in plan.walkers
        ),
        boiled=tuple(
            Boiled(kitchen=place, water_g=500.0, from_c=10.0, to_c=95.0, fuel_g=9.0)
            for place in stoves[:1]
        ),
    )  # fmt: skip
    return _LOG_HEAD + log_text(log)
