"""A trip so small that its menu takes less than a second: two days, one walker, ten recipes."""

from __future__ import annotations

import re
import time
from html import unescape
from typing import Any, Final

from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.files.demo_documents import demo_documents

Client = TestClient[Litestar]

TRIP: Final = """\
# two short days
title = "Two days on the moor (invented)"

[walk]
terrain = "path"
day_c = 14
night_c = 6
fire = "none"
start_hour = 9.5

[rules]
energy_band = [0.8, 1.3]
most_of_one_dish = 2

[[walker]]
name = "Ana"
sex = "female"
age_y = 35
height_cm = 170
mass_kg = 64
base_pack_kg = 5.5

[[kitchen]]
walkers = ["Ana"]
jar_ml = 700
jar_g = 70

[[stage]]
distance_m = 9000
ascent_m = 300
descent_m = 100
camp = "Low Sike"
camp_m = 420
water_m = [4000]

[[stage]]
distance_m = 7000
ascent_m = 100
descent_m = 300
"""

RECIPES: Final = (
    "oatcakes-cheddar", "dates-peanut-butter-salt", "oat-bar-and-apple-rings",
    "seed-sour-cherry-mix", "crispbread-hard-cheese-apple", "black-bean-dip-tortilla-chips",
    "couscous-tomato-olive-parmesan", "bulgur-pepper-walnut-sumac",
    "toasted-oats-raspberry-milk", "blueberry-coconut-oats", "rice-noodle-sesame-salad",
    "chilli-lemon-corn-seeds",
)  # fmt: skip

GPX: Final = """\
<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="54.05" lon="-2.0"><name>Low Sike</name><type>camp</type></wpt>
<wpt lat="54.02" lon="-2.0"><name>Rushy Well</name><type>water</type></wpt>
<trk><name>Moor edge</name><trkseg>
{points}
</trkseg></trk></gpx>
"""


def gpx(points: int = 200) -> bytes:
    """A straight invented way north over a low rise, 11 km."""
    rows = "\n".join(
        f'<trkpt lat="{54 + 0.1 * n / points:.6f}" lon="-2.0">'
        f"<ele>{300 + 200 * (1 - abs(2 * n / points - 1)):.1f}</ele></trkpt>"
        for n in range(points + 1)
    )
    return GPX.format(points=rows).encode()


def lay_in_recipes(book: Book) -> None:
    """The few recipes."""
    texts = dict(demo_documents())
    for name in RECIPES:
        book.save("recipe", name, texts[f"recipes/{name}.toml"], None)


def lay_in(book: Book, trip: str = TRIP) -> None:
    """Trip 'moor' and the few recipes."""
    lay_in_recipes(book)
    book.save("trip", "moor", trip, None)


def ended(client: Client, address: str) -> str:
    """Look at a search until it is over; where it leads, or its own address."""
    until = time.monotonic() + 30
    while time.monotonic() < until:
        answer = client.get(address, follow_redirects=False)
        if answer.status_code == 303:
            return str(answer.headers["location"])
        assert answer.status_code == 200, answer.text[-500:]
        if 'id="progress"' not in answer.text:
            return address
        time.sleep(0.02)
    raise AssertionError("the search did not end")


def words(answer: Any) -> str:
    """The words of a page."""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.text)))
