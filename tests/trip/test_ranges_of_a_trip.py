"""Every figure of a trip document has its ends: at them it stands, a hair beyond it is told."""

from __future__ import annotations

from math import inf, nextafter
from typing import Any

import pytest
from msgspec.structs import replace

from fellfare.trip.kit import Container, Hot, Kitchen
from fellfare.trip.ranges import range_faults, range_of
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, StageLine, WaterSource, Way
from fellfare.trip.wishes import Eating
from fellfare.walk.walker import Walker

ASH = Walker(name="Ash", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8.0)
PLAIN = Trip(
    title="a walk",
    walkers=(ASH,),
    way=Way(),
    stages=(StageLine(distance_m=12_000),),
    days=(DayWord(day=1),),
    kitchens=(Kitchen(walkers=("Ash",)),),
    containers=(Container(walker="Ash", litres=9.0),),
    stops=(TripStop(name="Hut", kind="hut", day=1),),
    water=(WaterSource(name="Beck", day=1, at_m=0.0),),
    eating=(Eating(name="lunch", hour=12.0),),
)
#: Where the rows of each table stand in the trip.
HELD = {"walk": "way", "stage": "stages", "day": "days", "kitchen": "kitchens",
        "container": "containers", "stop": "stops", "water": "water", "eating": "eating",
        "rules": "rules"}  # fmt: skip


def row_of(table: str) -> Any:
    """The only row of a table of the plain trip."""
    held = getattr(PLAIN, HELD[table])
    return held[0] if isinstance(held, tuple) else held


KEYS = [
    (table, key)
    for table in HELD
    for key in row_of(table).__struct_fields__
    if range_of(table, key) is not None
]


def told(table: str, **changed: Any) -> list[tuple[str, str]]:
    """(code, where) of a trip with one figure changed; its nights are left unknown."""
    held = getattr(PLAIN, HELD[table])
    new = replace(row_of(table), **changed)
    trip = replace(PLAIN, **{HELD[table]: (new,) if isinstance(held, tuple) else new})
    faults = [*range_faults(trip)]
    assert all(fault.mend for fault in faults)
    return [(fault.code, fault.where) for fault in faults if fault.code != "night-above-day"]


@pytest.mark.parametrize(("table", "key"), KEYS)
def test_the_ends_of_a_range_stand_and_a_hair_beyond_is_told(table: str, key: str) -> None:
    ends = range_of(table, key)
    assert ends is not None
    least, most = ends
    assert least < most
    number = "" if table in ("walk", "rules") else "[0]"
    for value in (least, most, (least + most) / 2):
        assert told(table, **{key: value}) == []
    for value in (nextafter(least, -inf), nextafter(most, inf), float("nan")):
        assert told(table, **{key: value}) == [("figure-out-of-range", f"{table}{number}.{key}")]


def test_there_are_ranges_for_most_figures() -> None:
    assert len(KEYS) > 45
    assert range_of("walker", "height_cm") == (80.0, 230.0)  # as walk.resting.body says
    assert range_of("walker", "mass_kg") == (15.0, 250.0)
    assert range_of("walker", "age_y") is None
    assert range_of("moon", "day_c") is None


def test_what_a_unit_allows_is_allowed_and_no_more() -> None:
    # a share lies from nothing to all, a clock has 24 hours, the highest ground is below 9 000 m
    for table, key in (("day", "snow_share"), ("water", "chance_dry"), ("eating", "share"),
                       ("walk", "dry_risk")):  # fmt: skip
        assert range_of(table, key) == (0, 1)
    for key in ("start_hour", "end_hour", "walk_from_hour", "wake_hour"):
        assert range_of("walk", key) == (0, 24)
    for table, key in (("walk", "start_m"), ("stage", "camp_m")):
        ends = range_of(table, key)
        assert ends is not None
        assert ends[1] == 9_000
    for table, key, at_most in (
        ("kitchen", "efficiency", 1),
        ("walk", "moving_share", 1),
        ("rules", "kcal_per_g", 9),
        ("rules", "most_load_share", 1),
    ):
        ends = range_of(table, key)  # no stove gives more than its fuel holds; fat has 9 kcal/g
        assert ends is not None
        assert ends[1] == at_most


#: The judgements among them: ours, 2026-11, to notice change.
JUDGED: dict[str, dict[str, tuple[float, float]]] = {
    "walk": {"days": (1, 400), "day_c": (-60, 55), "night_c": (-60, 45), "water_c": (0, 40),
             "sleep_hours": (0, 16), "drink_ml_per_hour": (0, 2000), "bottles_ml": (250, 20_000)},
    "stage": {"distance_m": (0, 200_000), "ascent_m": (0, 9000), "descent_m": (0, 9000)},
    "kitchen": {"pot_g": (0, 10_000), "pot_ml": (100, 50_000), "pots": (1, 20), "batches": (1, 10),
                "kit_g": (0, 20_000), "reserve": (0, 4), "jar_ml": (50, 5000), "jar_g": (0, 2000)},
    "container": {"litres": (0.1, 200), "mass_g": (0, 5000)},
    "stop": {"at_m": (0, 200_000), "hold_days": (1, 400), "warmest_c": (-40, 60),
             "most_kg": (0.1, 100), "most_litres": (0.1, 500), "effort_min": (0, 2000)},
    "rules": {"coverage": (0.5, 1.2), "protein_g_per_kg": (0.3, 4),
              "fibre_g_per_1000_kcal": (0, 40), "spare_days": (0, 10), "most_food_kg": (0.1, 60)},
}  # fmt: skip


def test_the_judged_ranges_are_as_they_were() -> None:
    for table, keys in JUDGED.items():
        assert {key: range_of(table, key) for key in keys} == keys


@pytest.mark.parametrize(
    ("key", "least", "most"),
    [("energy_band", 0.5, 1.5), ("protein_share", 0, 1), ("fat_share", 0, 1),
     ("carbohydrate_share", 0, 1), ("sodium_mg", 0, 50_000), ("portions", 0.1, 4)],
)  # fmt: skip
def test_a_band_goes_up_within_its_ends(key: str, least: float, most: float) -> None:
    middle = (least + most) / 2
    for band in ((least, most), (middle, middle)):
        assert told("rules", **{key: band}) == []
    for band in ((least - 0.01, most), (least, most + 0.01), (most, least)):
        assert told("rules", **{key: band}) == [("band-reversed", f"rules.{key}")]


def test_hot_water_mail_and_hours_of_walking_have_ends_too() -> None:
    for ml in (0, 5000):
        assert told("kitchen", hot=(Hot(eating="breakfast", water_ml=ml),)) == []
    for ml in (-1, 5001):
        assert told("kitchen", hot=(Hot(eating="breakfast", water_ml=ml),)) == [
            ("figure-out-of-range", "kitchen[0].hot")
        ]
    for days in ((0, 0), (0, 400), (5, 5)):
        assert told("stop", transit_days=days) == []
    for days in ((-1, 3), (0, 401), (5, 4)):
        assert told("stop", transit_days=days) == [("band-reversed", "stop[0].transit_days")]
    for hours in (0.5, 24):
        assert told("walk", hours_per_day=(hours,)) == []
    for hours in (0.4, 24.1):
        assert told("walk", hours_per_day=(8, hours)) == [
            ("figure-out-of-range", "walk.hours_per_day")
        ]


def test_a_night_may_be_as_warm_as_its_day_and_no_warmer() -> None:
    def nights(way: Way, *words: DayWord) -> list[str]:
        trip = replace(PLAIN, way=way, days=words)
        return [fault.where for fault in range_faults(trip) if fault.code == "night-above-day"]

    assert nights(Way(day_c=5, night_c=5)) == []
    assert nights(Way(day_c=5, night_c=5.1)) == ["walk.night_c"]
    assert nights(Way(day_c=5, night_c=0), DayWord(day=1, day_c=-1)) == ["day[0].day_c"]
    assert nights(Way(day_c=5, night_c=0), DayWord(day=1, night_c=6)) == ["day[0].night_c"]
    assert nights(Way(day_c=5), DayWord(day=1, day_c=9)) == []
