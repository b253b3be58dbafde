"""Dishes of our own for the tests of this room."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.menu.answer import Plate, Portion
from fellfare.pantry.pantry import Pantry
from fellfare.provision.planned import Planned, Share, in_order
from fellfare.provision.trip.provision import Provision, provision_of
from fellfare.recipe.document import Bag, Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet
from fellfare.trip.kit import Container, Kitchen
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, StageLine, Way
from fellfare.walk.walker import Walker

PORRIDGE = Recipe(
    title="Oats with raspberry and walnut",
    serves=1,
    meals=("breakfast",),
    lines=(
        Line(food="rolled-oats", amount="60 g", bag="oats"),
        Line(food="milk-powder-whole", amount="20 g", bag="oats"),
        Line(food="raspberry-freeze-dried", amount="8 g", bag="oats"),
        Line(food="walnut", amount="25 g", bag="nuts"),
    ),
    steps=(
        Step(act="steep", bags=("oats",), water="250 ml", minutes=5),
        Step(act="serve", bags=("nuts",), text="Scatter the nuts over."),
    ),
)

POT = Recipe(
    title="Couscous pot",
    serves=2,
    meals=("dinner",),
    lines=(
        Line(food="couscous", amount="180 g", bag="pot"),
        Line(food="red-bell-pepper-dried", amount="20 g", bag="pot"),
        Line(food="garlic-powder", amount="2 g", bag="pot"),
        Line(food="salt", amount="to taste", bag="pot"),
        Line(food="cheddar", amount="60 g"),
        Line(food="olive-oil", amount="30 g"),
    ),
    steps=(
        Step(act="steep", bags=("pot",), water="300 ml", minutes=7),
        Step(act="mix", bags=("olive-oil", "cheddar")),
    ),
)

RECIPES = {"porridge": PORRIDGE, "pot": POT}
ADA = Share(name="Ada", avoids=("tree-nut",), without=("walnut",))
ADA_POT = Share(name="Ada", avoids=("tree-nut",))
BO = Share(name="Bo", servings=1.25)
CY = Share(name="Cy", servings=0.75)


@pytest.fixture(scope="session")
def pantry() -> Pantry:
    return shipped_pantry()


@pytest.fixture(scope="session")
def dish(pantry: Pantry) -> Callable[..., Planned]:
    """``dish("pot", day=2, eaters=(BO, CY))``."""

    def make(name: str, *, eaters: tuple[Share, ...] = (BO, CY), **rest: object) -> Planned:
        sheet = make_sheet(RECIPES[name], pantry, len(eaters))
        told = {"day": 1, "time": RECIPES[name].meals[0], **rest}
        return Planned(sheet=sheet, eaters=eaters, **told)  # type: ignore[arg-type]

    return make


@pytest.fixture(scope="session")
def plan(dish: Callable[..., Planned]) -> tuple[Planned, ...]:
    """Three days, three eaters, a box from day 3 on."""
    three, pot = (ADA, BO, CY), (ADA_POT, BO, CY)
    return in_order(
        (
            dish("porridge", day=1, eaters=three),
            dish("pot", day=1, eaters=pot),
            dish("porridge", day=2, eaters=three),
            dish("pot", day=2, eaters=(BO, CY), apart=True),
            dish("porridge", day=3, eaters=(ADA, BO), leg=2, stop="Upper Hut box"),
            dish("pot", day=3, eaters=pot, leg=2, stop="Upper Hut box"),
        )
    )


@pytest.fixture
def bottled() -> Recipe:
    """A dish without a single bag named."""
    return Recipe(
        title="Loose",
        serves=1,
        lines=tuple(Line(food=line.food, amount=line.amount) for line in POT.lines),
        steps=(Step(act="steep", water="150 ml", minutes=5),),
        bags=(Bag(name="pot"),),
    )


SNACK = Recipe(
    title="Nuts and chocolate",
    serves=1,
    meals=("snack",),
    lines=(
        Line(food="almond", amount="30 g", bag="mix"),
        Line(food="dark-chocolate-70", amount="20 g", bag="mix"),
        Line(food="salt", amount="0.4 g", bag="salt"),
    ),
)
TRIP_RECIPES = {"porridge": PORRIDGE, "pot": POT, "snack": SNACK}

#: Four days from a table: Ada and Bo cook, Cy is stoveless; a box after day 2, no flame on day 3.
TRIP = Trip(
    title="Four days",
    start_date=date(2031, 5, 1),
    way=Way(day_c=15.0, night_c=5.0, fire="none"),
    walkers=(
        Walker(name="Ada", sex="female", age_y=30, height_cm=168, mass_kg=60, base_pack_kg=6,
               avoids=("walnut",)),
        Walker(name="Bo", sex="male", age_y=40, height_cm=180, mass_kg=80, base_pack_kg=7),
        Walker(name="Cy", sex="male", age_y=50, height_cm=175, mass_kg=70, base_pack_kg=5),
    ),
    stages=tuple(
        StageLine(distance_m=15000.0, ascent_m=500.0, descent_m=500.0, camp=camp)
        for camp in ("First", "Hut", "Third", "")
    ),
    days=(DayWord(day=3, fire="no-flame"),),
    kitchens=(
        Kitchen(walkers=("Ada", "Bo"), stove="gas-screened", fuel="gas", pot_g=150.0, pot_ml=1300.0,
                kit_g=100.0),
        Kitchen(walkers=("Cy",), jar_ml=700.0, jar_g=70.0),
    ),
    containers=(Container(walker="Ada", litres=10.0), Container(walker="Bo", litres=12.0)),
    stops=(
        TripStop(name="Hut box", kind="box", day=2, at_m=15000.0, posted=date(2031, 4, 20),
                 transit_days=(3, 7), hold_days=15, warmest_c=27.0),
    ),
)  # fmt: skip


def plate(day: int, time: str, dish: str, steps: dict[str, int], *, shared: bool = False) -> Plate:
    """One plate by hand; masses and energies are the menu's affair and not read here."""
    portions = tuple(
        Portion(walker=name, steps=many, mass_g=0.0, energy_kcal=0.0)
        for name, many in steps.items()
    )
    return Plate(day=day, time=time, dish=dish, shared=shared, times=1, portions=portions)


#: Ada leaves the walnuts to others: her breakfasts are the others' pots.
PLATES = (
    plate(1, "snack", "snack", {"Ada": 20, "Bo": 28, "Cy": 22}),
    plate(1, "dinner", "pot", {"Ada": 18, "Bo": 26}, shared=True),
    plate(1, "dinner", "pot", {"Cy": 21}),
    plate(2, "breakfast", "porridge", {"Bo": 23, "Cy": 20}),
    plate(2, "dinner", "pot", {"Ada": 18, "Bo": 27}, shared=True),
    plate(3, "breakfast", "porridge", {"Bo": 20}),
    plate(3, "snack", "snack", {"Ada": 15, "Bo": 20, "Cy": 20}),
    plate(3, "dinner", "pot", {"Ada": 18, "Bo": 26}, shared=True),
    plate(4, "breakfast", "porridge", {"Cy": 17}),
)


class Whole:
    """A whole trip by hand for the tests of this room (a fixture hands it out)."""

    trip = TRIP
    recipes = TRIP_RECIPES
    plates = PLATES
    plate = staticmethod(plate)


@pytest.fixture(scope="session")
def whole() -> type[Whole]:
    """See :class:`Whole`."""
    return Whole


@pytest.fixture(scope="session")
def trip_plan() -> TripPlan:
    return plan_trip(TRIP)


@pytest.fixture(scope="session")
def provision(trip_plan: TripPlan, pantry: Pantry) -> Provision:
    return provision_of(trip_plan, PLATES, TRIP_RECIPES, pantry)
