"""Planted trips: each rule fires where it must, and nowhere else."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import msgspec
import pytest

from fellfare.mistake import SEVERITIES, Finding
from fellfare.pantry.food import Keeping
from fellfare.safety.trip import (
    TRIP_RULES,
    CarriedFood,
    Jar,
    Stay,
    Stretch,
    TripCase,
    WaterFact,
    check_trip,
    trip_case,
)
from fellfare.trip.trip import Trip

CASES: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "planted_trip.toml").read_text(encoding="utf-8")
)["case"]

#: All is known, nothing fires.
BASE: dict[str, Any] = {
    "days": 2,
    "walkers": [{"name": "Ada"}],
    "kitchens": [{"walkers": ["Ada"], "stove": "gas-screened", "fuel": "gas"}],
    "stops": [],
    "water": [],
    "rules": {"spare_days": 1.0},
    "way": {},
    "camp_m": [500.0],
    "day_c": 20.0,
    "night_c": 8.0,
    "fire": "none",
    "need_kcal": 3000.0,
    "target_kcal": 3000.0,
    "treatment": ["boil", "filter"],
    "sources": [{"name": "Spring", "reliability": "sure", "cloudy": False, "chemicals": False}],
    "stretches": [
        {"day": 1, "ends": "Spring", "hours": 1.5},
        {"day": 1, "begins": "Spring", "hours": 3.0},
    ],
    "foods": [],
    "cooking_inside": False,
    "raw_pulses": False,
    "flies": False,
    "health_asked": True,
}
BODY = {"sex": "female", "age_y": 40, "height_cm": 170, "mass_kg": 65, "base_pack_kg": 6}
#: Facts that go to the door as they stand.
PLAIN = (
    "agency",
    "treatment",
    "reckoned",
    "stop_days",
    "box_warmest_c",
    "box_fuels",
    "gas",
    "cooking_inside",
    "raw_pulses",
    "own_pot",
    "flies",
    "stops_asked",
    "health_asked",
)
#: Rules of other rooms that come with the trip's.
TAKEN = {"gas-too-cold", "energy-gap", "great-energy-gap", "gap-beyond-fat"}


#: Notes that go with a jar, a box, a stove or a water, whatever is told of them.
OF_THE_TRIP = ("soak-water", "fuel-in-post", "hold-limit", "no-valve", "water-chemicals",
               "cloudy-water")  # fmt: skip


def known(thing: Any) -> Any:
    """'?' is what nobody knows."""
    if isinstance(thing, dict):
        return {key: known(value) for key, value in thing.items()}
    if isinstance(thing, list):
        return [known(value) for value in thing]
    return None if thing == "?" else thing


def by_day(value: Any, days: int) -> dict[int, Any] | None:
    if value is None and days:
        return dict.fromkeys(range(1, days + 1))
    each = value if isinstance(value, list) else [value] * days
    return dict(enumerate(each, 1))


def food(told: dict[str, Any]) -> CarriedFood:
    keeps = told.get("keeps")
    return CarriedFood(
        name=told["name"],
        keeping=keeps
        and Keeping(
            id=told["name"],
            unopened_days=tuple(keeps),
            at_c=told.get("at_c", 21.0),
            ends=told["ends"],
        ),
        stays=tuple(msgspec.convert(stay, Stay) for stay in told.get("stays", ())),
    )


def read(planted: dict[str, Any]) -> TripCase:
    told = BASE | planted
    told["rules"] = BASE["rules"] | planted.get("rules", {})
    told = {key: known(value) for key, value in told.items() if key not in told.get("unknown", ())}
    days = told["days"]
    trip = msgspec.convert(
        {
            "title": told["name"],
            "walkers": [BODY | walker for walker in told["walkers"]],
            "way": told["way"],
            "kitchens": told["kitchens"],
            "stops": told["stops"],
            "water": told["water"],
            "rules": told["rules"],
            "stages": [{"distance_m": 12_000.0}] * days,
            "start_date": date.fromisoformat(told["start"]) if "start" in told else None,
        },
        Trip,
    )
    facts: dict[str, Any] = {key: told[key] for key in PLAIN if key in told}
    for key in ("camp_m", "day_c", "night_c", "fire", "cold", "camps"):
        if key in told:
            facts[key] = by_day(told[key], days)
    if "camp_m" in facts and not isinstance(told["camp_m"], list):
        del facts["camp_m"][days]  # the last day has none
    for key in ("need_kcal", "target_kcal"):
        if key in told and "need_kcal" in told:
            count = told.get("need_days", days)
            each = list((by_day(told[key], count) or {}).values())
            facts[key] = {walker["name"]: each for walker in told["walkers"]}
    if "fat_kg" in told:
        facts["fat_kg"] = {walker["name"]: told["fat_kg"] for walker in told["walkers"]}
    facts["jars"] = msgspec.convert(told.get("jars", []), tuple[Jar, ...])
    facts["sources"] = msgspec.convert(told["sources"], tuple[WaterFact, ...])
    if "stretches" in told:
        facts["stretches"] = msgspec.convert(told["stretches"], tuple[Stretch, ...])
    if "foods" in told:
        facts["foods"] = [food(one) for one in told["foods"]]
    return trip_case(trip, **facts)


def gravest(findings: tuple[Finding, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for finding in reversed(findings):  # the gravest come first, so they win
        found[finding.rule] = finding.severity
    return found


@pytest.mark.parametrize("planted", CASES, ids=lambda planted: planted["name"])
def test_the_trips_rules_say_this_and_no_more(planted: dict[str, Any]) -> None:
    found = gravest(check_trip(read(planted)))
    serious = {name: severity for name, severity in found.items() if severity != "note"}
    assert serious == planted.get("expect", {})
    for name in planted.get("notes", ()):
        assert found.get(name) == "note"
    for name in planted.get("silent", ()):
        assert name not in found
    more = {name for name, severity in found.items() if severity == "note"}
    assert more <= {*planted.get("notes", ()), *OF_THE_TRIP}


def test_there_are_enough_trips_and_no_name_twice() -> None:
    assert len(CASES) >= 60
    assert len({planted["name"] for planted in CASES}) == len(CASES)
    keys = {*BASE, *PLAIN, "name", "unknown", "expect", "notes", "silent", "jars", "cold", "camps"}
    keys |= {"start", "need_days", "fat_kg"}
    assert {key for planted in CASES for key in planted} <= keys


def test_every_trip_rule_is_planted_at_its_gravest_and_missed_nearly() -> None:
    seen = {
        (name, severity)
        for planted in CASES
        for name, severity in (
            *planted.get("expect", {}).items(),
            *((name, "note") for name in planted.get("notes", ())),
        )
    }
    assert not [rule.id for rule in TRIP_RULES if (rule.id, rule.severity) not in seen]
    assert {name for name, _ in seen} <= TAKEN | {rule.id for rule in TRIP_RULES}
    assert sum(planted["name"].startswith("near miss") for planted in CASES) >= 40


@pytest.mark.parametrize("planted", CASES, ids=lambda planted: planted["name"])
def test_no_trip_rule_says_graver_than_it_is_registered(planted: dict[str, Any]) -> None:
    most = {rule.id: SEVERITIES.index(rule.severity) for rule in TRIP_RULES}
    found = check_trip(read(planted))
    assert [f.severity for f in found] == sorted((f.severity for f in found), key=SEVERITIES.index)
    for finding in found:
        assert SEVERITIES.index(finding.severity) >= most.get(finding.rule, 0)
        assert finding.rule in most or finding.rule in TAKEN
        assert finding.text
        assert finding.source
        assert finding.about
        assert all(finding.about)


#: Facts that may be forgotten, and what is then said in place of what was said.
FORGET: dict[str, dict[str, str]] = {
    "day_c": {},
    "camp_m": dict.fromkeys(
        ("gas-too-cold", "high-cooking", "high-pulses", "high-sleep"), "altitude-untold"
    ),
    "night_c": {"gas-too-cold": "gas-cold-untold"},
    "treatment": {},
    "stretches": {"source-doubtful": "dry-stretch"},
    "need_kcal": dict.fromkeys(("great-energy-gap", "gap-beyond-fat"), "under-eating"),
    "health_asked": {},
    "fire": {"stove-banned": "fire-rule-untold", "hold-limit": "fire-rule-untold",
             "water-treatment": "fire-rule-untold"},
    "cooking_inside": {},
    "flies": {},
    "foods": {},
    "raw_pulses": {},
}  # fmt: skip


@pytest.mark.parametrize("planted", CASES, ids=lambda planted: planted["name"])
def test_forgetting_a_fact_silences_no_rule(planted: dict[str, Any]) -> None:
    before = gravest(check_trip(read(planted)))
    known_rules = {name for name, severity in before.items() if severity != "note"}
    for fact, instead in FORGET.items():
        if fact in ("day_c", "night_c", "fire", "camp_m"):
            forgot = planted | {fact: "?"}
        else:
            forgot = planted | {"unknown": [*planted.get("unknown", ()), fact]}
        after = gravest(check_trip(read(forgot)))
        lost = {name for name in known_rules - set(after) if instead.get(name) not in after}
        assert not lost, fact
