"""Batches of a pot, bottles that are too small, camps of a party: by hand."""

from __future__ import annotations

from math import ceil
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.trip.kit import Hot, Kitchen
from fellfare.trip.plan import plan_trip
from fellfare.trip.ranges import range_of
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, StageLine, Way
from fellfare.walk.walker import Walker

ASH = Walker(name="Ash", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8.0)


def trip(*stages: StageLine, **more: Any) -> Trip:
    made = Trip(
        title="a walk", walkers=(ASH,), way=Way(fire="none", start_m=500),
        stages=stages or (StageLine(distance_m=10_000),) * 3,
    )  # fmt: skip
    return replace(made, **more)


@pytest.mark.parametrize(
    ("content_ml", "pots", "fills", "batches"),
    # a pot of 1 000 mL is filled to 900 mL (docs/trip-document.md: nine tenths)
    [(899, 1, 1, 1), (900, 1, 1, 1), (901, 1, 2, 2), (2700, 2, 3, 2), (3600, 2, 4, 2),
     (10, 3, 1, 1), (5401, 3, 7, 3)],
)  # fmt: skip
def test_a_pot_is_filled_as_often_as_it_must(
    content_ml: float, pots: int, fills: int, batches: int
) -> None:
    kitchen = Kitchen(walkers=("Ash",), pot_ml=1000, pots=pots)
    assert kitchen.usable_ml == 900
    assert (kitchen.fills(content_ml), kitchen.batches_for(content_ml)) == (fills, batches)
    assert Kitchen(walkers=("Ash",), pots=pots).fills(content_ml) == 1
    assert kitchen.meal_ml == 900 * pots
    assert replace(kitchen, batches=3).meal_ml == 2700 * pots


@given(st.floats(1, 50_000), st.floats(100, 9_000), st.integers(1, 20))
def test_all_batches_hold_the_meal_and_one_less_would_not(
    content_ml: float, pot_ml: float, pots: int
) -> None:
    kitchen = Kitchen(walkers=("Ash",), pot_ml=pot_ml, pots=pots)
    usable = kitchen.usable_ml or 0.0
    batches = kitchen.batches_for(content_ml)
    assert batches >= 1
    assert batches * pots * usable >= content_ml * (1 - 1e-6)
    assert batches == 1 or (batches - 1) * pots * usable < content_ml
    assert batches == ceil(kitchen.fills(content_ml) / pots)


def rules(made: Trip) -> set[str]:
    return {finding.rule for finding in plan_trip(made).findings}


def test_bottles_that_do_not_reach_to_the_next_water_are_told() -> None:
    # A dry camp alone is 4 to 5 L: more than 3 L of bottles, less than 12 L.
    stages = (StageLine(distance_m=10_000, water_m=(4_000.0,)),
              StageLine(distance_m=10_000, water_m=(5_000.0,)))  # fmt: skip
    small = trip(*stages, way=Way(fire="none", start_m=500, bottles_ml=3_000))
    large = replace(small, way=replace(small.way, bottles_ml=12_000))
    assert "water-beyond-bottles" in rules(small)
    assert "water-beyond-bottles" not in rules(large)
    assert "dry-camp" in rules(large)
    over = next(f for f in plan_trip(small).findings if f.rule == "water-beyond-bottles")
    assert over.about[0].startswith("day 1: ")
    assert "3 L for each walker" in over.text
    assert "water-unknown" not in rules(small)
    assert "water-unknown" in rules(trip())


def test_two_walkers_melt_twice_the_snow_of_one() -> None:
    word = (DayWord(day=1, snow_share=1.0, night_c=-5, day_c=-1),)
    ivy = replace(ASH, name="Ivy")
    one = plan_trip(trip(days=word)).camps[0].snow
    two = plan_trip(trip(walkers=(ASH, ivy), days=word)).camps[0].snow
    assert one is not None
    assert two is not None
    assert two.snow_g == pytest.approx(2 * one.snow_g)


def test_a_camp_without_a_height_of_its_own_lies_where_the_day_ends() -> None:
    kitchen = Kitchen(walkers=("Ash",), stove="gas-screened", fuel="gas",
                      hot=(Hot(eating="dinner", water_ml=500),))  # fmt: skip
    up = StageLine(distance_m=10_000, ascent_m=700)
    told = replace(up, camp_m=1_234.0)
    heights = [one.height_m for one in plan_trip(trip(up, told, up, kitchens=(kitchen,))).heatings]
    assert heights == [1_200.0, 1_234.0]
    camps = plan_trip(trip(up, told, up, kitchens=(kitchen,))).camps
    assert [one.height_m for one in camps] == [1_200.0, 1_234.0]


def test_counts_of_the_rules_begin_at_one() -> None:
    for key in ("most_of_one_dish", "least_dinners"):
        ends = range_of("rules", key)
        assert ends is not None
        assert ends[0] == 1
    ends = range_of("eating", "most_of_one_dish")
    assert ends is not None
    assert ends[0] == 1
