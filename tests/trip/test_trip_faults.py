"""A contradictory trip is told, each fault with its field."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.trip.faults import faults_of
from fellfare.trip.ground import Ground
from fellfare.trip.kit import Container, Hot, Kitchen
from fellfare.trip.meals import DayHours, DayMeal
from fellfare.trip.minding import early_dinner_findings
from fellfare.trip.plan import plan_trip
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, StageLine, WaterSource, Way
from fellfare.trip.wishes import Eating, FixedDish, Rules
from fellfare.walk.track import Place, make_track
from fellfare.walk.walker import Walker

ASH = Walker(name="Ash", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8.0)
IVY = replace(ASH, name="Ivy")
STAGES = (StageLine(distance_m=12_000), StageLine(distance_m=9_000))
GAS = Kitchen(walkers=("Ash",), stove="gas-screened", fuel="gas")
NAN = float("nan")


def trip(**more: Any) -> Trip:
    return replace(Trip(title="a walk", walkers=(ASH,), way=Way(), stages=STAGES), **more)


def test_a_plain_trip_has_no_fault() -> None:
    assert faults_of(trip()) == ()
    assert faults_of(trip(kitchens=(GAS,))) == ()


@pytest.mark.parametrize(
    ("more", "code", "field"),
    [
        ({"title": " "}, "no-title", "title"),
        ({"walkers": ()}, "party-empty", "walker"),
        ({"start_date": date(9999, 12, 31)}, "start-out-of-range", "start_date"),
        ({"start_date": date(203, 1, 5)}, "start-out-of-range", "start_date"),
        ({"walkers": (ASH, ASH)}, "names-not-unlike", "walker[1].name"),
        ({"stages": ()}, "no-way", "walk"),
        ({"way": Way(gpx="walk.gpx")}, "way-twice", "walk.gpx"),
        ({"way": Way(camps=("a",))}, "way-twice", "walk.camps"),
        ({"way": Way(days=3)}, "days-and-camps", "walk.days"),
        ({"way": Way(walk_from_hour=18, end_hour=9)}, "hours-reversed", "walk.end_hour"),
        ({"way": Way(wake_hour=9)}, "hours-reversed", "walk.wake_hour"),
        (
            {"stages": STAGES[:1], "way": Way(start_hour=12, end_hour=9)},
            "hours-reversed",
            "walk.end_hour",
        ),
        ({"way": Way(terrain="bog")}, "unknown-terrain", "walk.terrain"),
        ({"days": (DayWord(day=3),)}, "day-out-of-range", "day[0].day"),
        ({"days": (DayWord(day=1), DayWord(day=1))}, "day-twice", "day[1].day"),
        ({"way": Way(day_c=80)}, "figure-out-of-range", "walk.day_c"),
        ({"way": Way(day_c=NAN)}, "figure-out-of-range", "walk.day_c"),
        ({"way": Way(day_c=5, night_c=12)}, "night-above-day", "walk.night_c"),
        (
            {"way": Way(day_c=5, night_c=0), "days": (DayWord(day=1, night_c=9),)},
            "night-above-day",
            "day[0].night_c",
        ),
        (
            {"kitchens": (replace(GAS, walkers=("Ash", "Oak")),)},
            "unknown-walker",
            "kitchen[0].walkers",
        ),
        ({"kitchens": (GAS, GAS)}, "walker-in-two-kitchens", "kitchen[0].walkers"),
        (
            {"walkers": (ASH, IVY), "kitchens": (GAS,)},
            "walker-without-kitchen",
            "kitchen[0].walkers",
        ),
        ({"kitchens": (replace(GAS, stove="volcano"),)}, "unknown-stove", "kitchen[0].stove"),
        ({"kitchens": (replace(GAS, fuel="coal"),)}, "unknown-fuel", "kitchen[0].fuel"),
        ({"kitchens": (replace(GAS, fuel=None),)}, "stove-without-fuel", "kitchen[0].stove"),
        ({"kitchens": (replace(GAS, fuel="spirit-95"),)}, "stove-without-fuel", "kitchen[0].fuel"),
        (
            {"kitchens": (replace(GAS, efficiency=50),)},
            "figure-out-of-range",
            "kitchen[0].efficiency",
        ),
        (
            {"kitchens": (replace(GAS, canisters_g=(200,)),)},
            "unknown-canister",
            "kitchen[0].canisters_g",
        ),
        (
            {"kitchens": (replace(GAS, hot=(Hot(eating="tea", water_ml=250),)),)},
            "unknown-eating-time",
            "kitchen[0].hot",
        ),
        (
            {"containers": (Container(walker="Oak", litres=9),)},
            "unknown-walker",
            "container[0].walker",
        ),
        (
            {"containers": (Container(walker="Ash", litres=0),)},
            "figure-out-of-range",
            "container[0].litres",
        ),
        ({"stops": (TripStop(name="a", kind="shop"),)}, "place-unclear", "stop[0].name"),
        ({"stops": (TripStop(name="a", kind="shop", day=1),)}, "place-unclear", "stop[0].day"),
        (
            {"stops": (TripStop(name="a", kind="shop", day=2, at_m=9_500),)},
            "place-off-day",
            "stop[0].at_m",
        ),
        (
            {"stops": (TripStop(name="a", kind="shop", day=1, at_m=5, warmest_c=20.0),)},
            "post-unclear",
            "stop[0].kind",
        ),
        (
            {"stops": (TripStop(name="a", kind="shop", day=1, at_m=5, posted=date(2031, 5, 1)),)},
            "post-unclear",
            "stop[0].kind",
        ),
        (
            {"stops": (TripStop(name="a", kind="box", day=1, at_m=5, transit_days=(9, 4)),)},
            "band-reversed",
            "stop[0].transit_days",
        ),
        (
            {"stops": (TripStop(name="a", kind="hut", day=1, at_m=5, meals=("tea",)),)},
            "unknown-eating-time",
            "stop[0].meals",
        ),
        (
            {"water": (WaterSource(name="well", reliability="sure", day=9, at_m=5),)},
            "day-out-of-range",
            "water[0].day",
        ),
        ({"eating": ()}, "eating-time", "eating"),
        ({"eating": (Eating(name="tea"),)}, "eating-time", "eating[0]"),
        ({"eating": (Eating(name="tea", hour=25),)}, "eating-time", "eating[0]"),
        (
            {"eating": (Eating(name="tea", hour=5), Eating(name="tea", hour=6))},
            "eating-time-twice",
            "eating[1].name",
        ),
        ({"rules": Rules(coverage=90)}, "figure-out-of-range", "rules.coverage"),
        ({"rules": Rules(fat_share=(0.5, 0.2))}, "band-reversed", "rules.fat_share"),
        ({"rules": Rules(budget=Decimal(9))}, "budget-without-currency", "rules.budget"),
        (
            {"fixed": (FixedDish(day=1, eating="tea", dish="x"),)},
            "unknown-eating-time",
            "fixed[0].eating",
        ),
        (
            {"fixed": (FixedDish(day=5, eating="lunch", dish="x"),)},
            "day-out-of-range",
            "fixed[0].day",
        ),
    ],
)
def test_one_fault_is_told_with_its_field(more: dict[str, Any], code: str, field: str) -> None:
    assert (code, field) in [(fault.code, fault.where) for fault in faults_of(trip(**more))]


def test_all_faults_come_together() -> None:
    broken = trip(
        title="", way=Way(day_c=99, terrain="bog"), kitchens=(replace(GAS, stove="volcano"),)
    )
    codes = [fault.code for fault in faults_of(broken)]
    assert codes == ["no-title", "unknown-terrain", "unknown-stove", "figure-out-of-range"]


def test_a_near_name_is_offered() -> None:
    fault = faults_of(trip(kitchens=(replace(GAS, walkers=("Ahs",)),)))[0]
    assert "'Ash'" in fault.mend


# --- what only the ground can tell -------------------------------------------------------


def ground(ele: bool = True) -> Ground:
    lat = [47.0 + 0.001 * n for n in range(200)]  # 22 km to the north
    heights = [500.0 + n for n in range(200)] if ele else None
    track, _ = make_track(lat, [-32.0] * 200, ele_m=heights)
    places = [
        Place(name="Mid Camp", lat_deg=47.1, lon_deg=-32.0, kind="camp"),
        Place(name="Far Camp", lat_deg=47.1, lon_deg=-31.0, kind="camp"),
    ]
    return Ground(track=track, places=tuple(places))


@pytest.mark.parametrize(
    ("more", "code", "field"),
    [
        ({"way": Way(gpx="w", camps=("Far Camp",))}, "place-off-track", "walk.camps"),
        ({"way": Way(gpx="w", camps=("Mad Camp",))}, "unknown-place", "walk.camps"),
        ({"way": Way(gpx="w", days=3)}, "days-and-camps", "walk.days"),
        ({"days": (DayWord(day=3),)}, "day-out-of-range", "day[0].day"),
        ({"stops": (TripStop(name="Mid Shop", kind="shop"),)}, "unknown-place", "stop[0].name"),
        ({"stops": (TripStop(name="Far Camp", kind="hut"),)}, "place-off-track", "stop[0].name"),
        (
            {"stops": (TripStop(name="x", kind="hut", day=1, at_m=19_000),)},
            "place-off-day",
            "stop[0].at_m",
        ),
    ],
)
def test_a_trip_that_contradicts_its_ground_is_refused(
    more: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Mistake) as caught:
        plan_trip(trip(**({"stages": (), "way": Way(gpx="w")} | more)), ground())
    assert (caught.value.code, caught.value.where) == (code, field)


def test_a_track_without_elevation_is_refused() -> None:
    with pytest.raises(Mistake, match="stages with ascent") as caught:
        plan_trip(trip(stages=(), way=Way(gpx="w")), ground(ele=False))
    assert caught.value.code == "no-elevation"


def test_a_trip_without_its_track_is_refused() -> None:
    with pytest.raises(Mistake) as caught:
        plan_trip(trip(stages=(), way=Way(gpx="w")))
    assert caught.value.code == "no-way"


def test_a_stage_too_steep_names_its_table() -> None:
    steep = (STAGES[0], StageLine(distance_m=1_000, ascent_m=900))
    with pytest.raises(Mistake) as caught:
        plan_trip(trip(stages=steep))
    assert (caught.value.code, caught.value.where) == ("stage-too-steep", "stage[1]")


def test_a_single_day_that_ends_before_it_begins_is_refused() -> None:
    # With a track nobody knows how many days there are before it is cut.
    way = Way(gpx="w", hours_per_day=(24.0,), start_hour=16, walk_from_hour=8, end_hour=12)
    with pytest.raises(Mistake) as caught:
        plan_trip(trip(stages=(), way=way), ground())
    assert caught.value.code == "hours-reversed"


# --- what is minded, not refused ---------------------------------------------------------


def minded(trip_: Trip, on: Ground | None = None) -> dict[str, str]:
    plan = plan_trip(trip_, on) if on else plan_trip(trip_)
    return {finding.rule: finding.severity for finding in plan.findings}


def box(**more: Any) -> TripStop:
    return replace(
        TripStop(
            name="a box", kind="box", day=2, at_m=0, posted=date(2031, 4, 22),
            transit_days=(4, 9), hold_days=15,
        ),
        **more,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("stop", "rule", "severity"),
    [
        # On 2 May: there from 26 April to 1 May, kept 15 days: nothing to say.
        (box(), None, None),
        (box(posted=date(2031, 4, 29)), "box-late", "error"),
        (box(posted=date(2031, 4, 25)), "box-late", "caution"),
        (box(posted=date(2031, 4, 1)), "box-gone", "caution"),
        (box(posted=None), "box-undated", "caution"),
        (box(kind="shop", posted=None, transit_days=None, hold_days=None, shut=("friday",)),
         "stop-shut", "error"),
        (box(kind="shop", posted=None, transit_days=None, hold_days=None, shut=("sunday",)),
         None, None),
    ],
)  # fmt: skip
def test_boxes_and_opening_days(stop: TripStop, rule: str | None, severity: str | None) -> None:
    said = minded(trip(start_date=date(2031, 5, 1), stops=(stop,)))  # a Thursday
    about_stops = {k: v for k, v in said.items() if k.startswith(("box-", "stop-"))}
    assert about_stops == ({rule: severity} if rule else {})


def test_a_fire_rule_that_nobody_asked_for_is_told() -> None:
    assert minded(trip())["fire-rule-unknown"] == "caution"
    assert "fire-rule-unknown" not in minded(trip(way=Way(fire="none")))


def test_people_at_risk_are_sent_to_a_physician() -> None:
    assert minded(trip(walkers=(replace(ASH, high_risk=("diabetes",)),)))["ask-first"] == "caution"
    assert "ask-first" not in minded(trip())


def test_a_heavy_pack_is_told() -> None:
    heavy = replace(ASH, base_pack_kg=25.0)
    assert minded(trip(walkers=(heavy,)))["pack-heavy"] == "caution"
    assert minded(trip(rules=Rules(most_load_share=0.1)))["pack-heavy"] == "caution"
    assert "pack-heavy" not in minded(trip())


def test_a_cold_night_stops_the_gas() -> None:
    # Propane/butane 30/70 at sea level: butane alone boils near 0 degrees.
    kitchen = replace(GAS, fuel="gas-butane")
    cold = trip(kitchens=(kitchen,), way=Way(day_c=4, night_c=-3, start_m=0))
    assert minded(cold)["gas-too-cold"] == "caution"
    far_too_cold = trip(kitchens=(kitchen,), way=Way(day_c=-30, night_c=-45, start_m=0))
    assert minded(far_too_cold)["gas-too-cold"] == "error"


def test_a_late_day_and_a_missed_hour_are_told() -> None:
    long = (StageLine(distance_m=45_000), StageLine(distance_m=30_000))
    said = minded(trip(stages=long, way=Way(end_hour=12)))
    assert said["late-arrival"] == "caution"
    assert said["end-hour-missed"] == "caution"


def test_a_great_gap_is_told() -> None:
    stages = tuple(StageLine(distance_m=25_000, ascent_m=1_200, descent_m=1_200) for _ in range(24))
    rules = Rules(coverage=0.5, follow_appetite=False)
    assert minded(trip(stages=stages, rules=rules))["great-energy-gap"] == "caution"


def test_a_ban_of_the_file_counts_until_the_document_grades_it() -> None:
    made = ground()
    marks = (
        Place(name="gate", lat_deg=47.01, lon_deg=-32.0, kind="fire-ban-start"),
        Place(name="gate 2", lat_deg=47.05, lon_deg=-32.0, kind="fire-ban-end"),
    )
    banned = replace(made, places=(*made.places, *marks))
    way = Way(gpx="w", fire="none", camps=("Mid Camp",))
    plan = plan_trip(trip(stages=(), way=way), banned)
    assert [day.fire for day in plan.days] == ["no-flame", "none"]
    assert "fire-ban-degree" in minded(trip(stages=(), way=way), banned)
    graded = trip(stages=(), way=way, days=(DayWord(day=1, fire="gas-only"),))
    assert [day.fire for day in plan_trip(graded, banned).days] == ["gas-only", "none"]
    denied = trip(stages=(), way=way, days=(DayWord(day=1, fire="none"),))
    assert [day.fire for day in plan_trip(denied, banned).days] == ["no-flame", "none"]
    assert "fire-ban-denied" in minded(denied, banned)


def test_a_dinner_before_the_camp_is_told() -> None:
    # 10 km from 14:00 to 19:00, evenly: at 18:00 eight of them are behind.
    hours = DayHours(day=1, set_out_hour=14.0, moving_hours=4.5, under_way_hours=5.0)

    def dinner(hour: float, at_m: float) -> tuple[DayMeal, ...]:
        return (DayMeal(name="dinner", hour=hour, count=1, share=0.4, at_m=at_m),)

    (said,) = early_dinner_findings([hours], [dinner(18.0, 8000.0)], [10_000.0])
    assert said.rule == "dinner-on-the-way"
    assert "18:00" in said.text
    assert "8.0 km" in said.text
    assert "19:00" in said.text
    assert early_dinner_findings([hours], [dinner(19.5, 10_000.0)], [10_000.0]) == ()
