"""Every figure of the document is taken at the edges of its range and refused beyond."""

from __future__ import annotations

from math import inf, nan

import pytest
from msgspec import Struct
from msgspec.structs import replace

from fellfare.trip.faults import faults_of
from fellfare.trip.kit import Container, Hot, Kitchen
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, StageLine, WaterSource, Way
from fellfare.trip.wishes import Eating, Rules
from fellfare.walk.walker import Walker

ASH = Walker(name="Ash", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8.0)
LONG = StageLine(distance_m=200_000)
BASE = Trip(title="a walk", walkers=(ASH,), way=Way(), stages=(LONG,))
KITCHEN = Kitchen(walkers=("Ash",), stove="gas-screened", fuel="gas")
ROWS: dict[str, Struct] = {
    "stage": LONG,
    "day": DayWord(day=1),
    "kitchen": KITCHEN,
    "container": Container(walker="Ash", litres=9),
    "stop": TripStop(name="a", kind="box", day=1, at_m=0.0),
    "water": WaterSource(name="w", reliability="sure", day=1, at_m=0.0),
    "eating": Eating(name="tea", hour=16.0),
}
FIELDS = {
    "stage": "stages", "day": "days", "kitchen": "kitchens", "container": "containers",
    "stop": "stops", "water": "water", "eating": "eating",
}  # fmt: skip


def changed(table: str, key: str, value: object) -> Trip:
    if table == "walk":
        # Hours of the clock are looked at one by one here, not beside each other.
        return replace(BASE, way=replace(BASE.way, **{key: value}))
    if table == "rules":
        rules = replace(BASE.rules, **{key: value})
        return replace(BASE, rules=replace(rules, currency="EUR" if key == "budget" else ""))
    trip = replace(BASE, **{FIELDS[table]: (replace(ROWS[table], **{key: value}),)})
    return replace(trip, kitchens=trip.kitchens and (replace(trip.kitchens[0], hot=()),))


def told(trip: Trip) -> list[tuple[str, str]]:
    return [(fault.code, fault.where) for fault in faults_of(trip)]


@pytest.mark.parametrize(
    ("table", "key", "least", "most"),
    [
        ("walk", "days", 1, 400), ("walk", "start_m", -500, 9_000), ("walk", "day_c", -60, 55),
        ("walk", "night_c", -60, 45), ("walk", "water_c", 0, 40), ("walk", "start_hour", 0, 24),
        ("walk", "end_hour", 0, 24), ("walk", "walk_from_hour", 0, 24),
        ("walk", "wake_hour", 0, 24), ("walk", "sleep_hours", 0, 16),
        ("walk", "moving_share", 0.3, 1), ("walk", "drink_ml_per_hour", 0, 2_000),
        ("walk", "bottles_ml", 250, 20_000), ("stage", "distance_m", 0, 200_000),
        ("stage", "ascent_m", 0, 9_000), ("stage", "descent_m", 0, 9_000),
        ("stage", "camp_m", -430, 9_000), ("day", "day_c", -60, 55), ("day", "night_c", -60, 45),
        ("day", "snow_share", 0, 1), ("kitchen", "efficiency", 0.02, 1),
        ("kitchen", "pot_g", 0, 10_000), ("kitchen", "pot_ml", 100, 50_000),
        ("kitchen", "pots", 1, 20), ("kitchen", "batches", 1, 10),
        ("kitchen", "kit_g", 0, 20_000), ("kitchen", "reserve", 0, 4),
        ("kitchen", "jar_ml", 50, 5_000), ("kitchen", "jar_g", 0, 2_000),
        ("container", "litres", 0.1, 200), ("container", "mass_g", 0, 5_000),
        ("stop", "hold_days", 1, 400), ("stop", "at_m", 0, 200_000), ("water", "at_m", 0, 200_000),
        ("eating", "share", 0, 1), ("rules", "coverage", 0.5, 1.2), ("rules", "kcal_per_g", 1, 9),
        ("rules", "protein_g_per_kg", 0.3, 4), ("rules", "fibre_g_per_1000_kcal", 0, 40),
        ("rules", "most_of_one_dish", 1, 400), ("rules", "days_between", 0, 400),
        ("rules", "base_days_between", 0, 400), ("eating", "flavour_days_between", 0, 400),
        ("rules", "least_dinners", 1, 400), ("rules", "spare_days", 0, 10),
        ("rules", "most_load_share", 0.05, 1), ("rules", "budget", 0, 1_000_000),
    ],
)  # fmt: skip
def test_edges_are_taken_and_beyond_is_refused(
    table: str, key: str, least: float, most: float
) -> None:
    field = key if table in ("walk", "rules") else f"[0].{key}"
    where = f"{table}.{field}" if table in ("walk", "rules") else f"{table}{field}"
    refusal = ("figure-out-of-range", where)
    for edge in (least, most):
        assert refusal not in told(changed(table, key, edge))
    step = (most - least) * 1e-6
    for beyond in (least - step, most + step, nan, inf, -inf):
        assert refusal in told(changed(table, key, beyond))


@pytest.mark.parametrize(
    ("key", "least", "most"),
    [
        ("energy_band", 0.5, 1.5), ("protein_share", 0, 1), ("fat_share", 0, 1),
        ("carbohydrate_share", 0, 1), ("sodium_mg", 0, 50_000),
    ],
)  # fmt: skip
def test_bands_go_up_and_stay_inside(key: str, least: float, most: float) -> None:
    refusal = ("band-reversed", f"rules.{key}")
    middle = (least + most) / 2
    assert refusal not in told(changed("rules", key, (least, most)))
    assert refusal not in told(changed("rules", key, (middle, middle)))
    step = (most - least) * 1e-6
    for band in (
        (most, least), (least - step, most), (least, most + step), (nan, most), (least, nan),
    ):  # fmt: skip
        assert refusal in told(changed("rules", key, band))


def test_other_edges() -> None:
    hours = replace(BASE, stages=(), way=Way(gpx="w", hours_per_day=(0.5, 24.0)))
    assert told(hours) == []
    for bad in (0.4, 24.1, nan):
        assert ("figure-out-of-range", "walk.hours_per_day") in told(
            replace(hours, way=Way(gpx="w", hours_per_day=(6.0, bad)))
        )
    for water_ml, fine in ((0, True), (5_000, True), (-1, False), (5_001, False), (nan, False)):
        hot = (Hot(eating="dinner", water_ml=water_ml),)
        assert (told(replace(BASE, kitchens=(replace(KITCHEN, hot=hot),))) == []) is fine
    for days, fine in (((0, 400), True), ((5, 5), True), ((5, 4), False), ((-1, 4), False),
                       ((0, 401), False)):  # fmt: skip
        stop = TripStop(name="a", kind="box", day=1, at_m=0.0, transit_days=days)
        assert (told(replace(BASE, stops=(stop,))) == []) is fine
    for hour, fine in ((0, True), (24, True), (-0.1, False), (24.1, False), (nan, False)):
        assert (told(replace(BASE, eating=(Eating(name="tea", hour=hour),))) == []) is fine
    for every, fine in ((0.1, True), (24, True), (0.05, False), (25, False), (nan, False)):
        eating = (Eating(name="tea", every_walking_hours=every),)
        assert (told(replace(BASE, eating=eating)) == []) is fine


def test_rules_may_be_silent() -> None:
    assert told(replace(BASE, rules=Rules())) == []
