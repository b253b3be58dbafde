"""Planted hazards: each rule fires where it must, and nowhere else."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pytest

from fellfare.measure.reading import read_amount
from fellfare.mistake import SEVERITIES
from fellfare.pantry.food import Allergens, Food, HouseholdMeasure, Keeping, Soak, Source
from fellfare.pantry.nutrients import Nutrients
from fellfare.recipe.document import Recipe
from fellfare.safety import RULES, Case, Eater, case_of, check

DATA: dict[str, Any] = tomllib.loads(
    (Path(__file__).parent / "planted.toml").read_text(encoding="utf-8")
)
CASES: list[dict[str, Any]] = DATA["case"]
DEFAULTS: dict[str, Any] = {"hold_minutes": 30.0, "air_c": 20.0, "altitude_m": 500.0}


def food(name: str, told: dict[str, Any]) -> Food:
    numbers = {n: told[n] for n in ("energy_kcal", "fat_g", "water_g", "sodium_mg") if n in told}
    minutes = [
        ("cold-soak", told.get("soak_minutes")),
        ("hot-pour", told.get("pour_minutes")),
        ("boil", told.get("boil_minutes")),
    ]
    ml = told.get("ml_per_g")
    keeps = told.get("keeps")
    plain = {
        "id": name,
        "name": name.replace("-", " "),
        "group": told["group"],
        "form": told["form"],
        "hazards": told.get("hazards", []),
        "ways": told.get("ways", []),
        "water_activity": told.get("aw"),
        "source": Source(kind="unknown", ref="invented for a test"),
        "per_100g": Nutrients(**numbers),
        "soaks": [
            Soak(way=way, minutes=m, water_ml_per_g=ml)  # type: ignore[arg-type]
            for way, m in minutes
            if m is not None
        ],
        "uptake_ml_per_g": told.get("uptake_ml_per_g"),
        "ndb": told.get("ndb"),
        "measures": [
            HouseholdMeasure(unit=unit, mass_g=g) for unit, g in told.get("measures", {}).items()
        ],
        "allergens": Allergens(
            contains=tuple(told.get("contains", ())),
            may_contain=tuple(told.get("may_contain", ())),
            unknown=tuple(told.get("ask", ())),
            open_mix=told.get("open_mix", False),
        ),
        "keeping": keeps and Keeping(id=name, unopened_days=tuple(keeps), ends=told["ends"]),
    }
    return msgspec.convert(plain, Food)


FOODS = {name: food(name, told) for name, told in DATA["food"].items()}


#: Notes that go with many foods, whatever is done with them.
OF_THE_FOOD = ("starch-leftovers", "listeria-high-risk")


def read(planted: dict[str, Any]) -> Case:
    told = DEFAULTS | planted
    for name in planted.get("unknown", ()):
        told[name] = None
    lines = [{"amount": "100 g", **line} for line in told["lines"]]
    recipe = msgspec.convert(
        {
            "title": told["name"],
            "serves": told.get("serves", 1),
            "meals": told.get("meals", []),
            "lines": lines,
            "steps": told.get("steps", []),
            "bags": told.get("bags", []),
            "hold_minutes": told["hold_minutes"],
        },
        Recipe,
    )
    masses_g = [
        None if mass == "unknown" else mass for mass in told.get("masses_g", [100.0] * len(lines))
    ]
    waters = [read_amount(step.water).volume_ml if step.water else None for step in recipe.steps]
    return case_of(
        recipe,
        FOODS,
        dict(enumerate(masses_g)),
        eaters=[msgspec.convert(one, Eater) for one in told.get("eaters", ())],
        air_c=told["air_c"],
        altitude_m=told["altitude_m"],
        storage_days=told.get("storage_days"),
        storage_c=told.get("storage_c"),
        carried_minutes=told.get("carried_minutes"),
        own_measures={0: told.get("own_measure_g")},
        waters={index: None if ml is None else float(ml) for index, ml in enumerate(waters)},
    )


def gravest(planted: dict[str, Any]) -> dict[str, str]:
    found: dict[str, str] = {}
    for finding in reversed(check(read(planted))):  # the gravest come first, so they win
        found[finding.rule] = finding.severity
    return found


@pytest.mark.parametrize("planted", CASES, ids=lambda planted: planted["name"])
def test_the_rules_say_this_and_no_more(planted: dict[str, Any]) -> None:
    found = gravest(planted)
    serious = {name: severity for name, severity in found.items() if severity != "note"}
    assert serious == planted.get("expect", {})
    for name in planted.get("notes", ()):
        assert found.get(name) == "note"
    assert not set(planted.get("silent", ())) & set(found)
    more = {name for name, severity in found.items() if severity == "note"}
    assert more <= {*planted.get("notes", ()), *OF_THE_FOOD}


def test_there_are_enough_of_them_and_no_name_twice() -> None:
    assert len(CASES) >= 60
    assert len({planted["name"] for planted in CASES}) == len(CASES)


def test_every_rule_is_planted_at_its_gravest() -> None:
    seen = {
        (name, severity)
        for planted in CASES
        for name, severity in (
            *planted.get("expect", {}).items(),
            *((name, "note") for name in planted.get("notes", ())),
        )
    }
    assert not [rule.id for rule in RULES if (rule.id, rule.severity) not in seen]


def test_every_food_of_the_table_is_used() -> None:
    used = {line["food"] for planted in CASES for line in planted["lines"]}
    used |= {
        swap for planted in CASES for line in planted["lines"] for swap in line.get("swap", ())
    }
    assert not set(FOODS) - used


@pytest.mark.parametrize("planted", CASES, ids=lambda planted: planted["name"])
def test_no_rule_says_graver_than_it_is_registered(planted: dict[str, Any]) -> None:
    most = {rule.id: SEVERITIES.index(rule.severity) for rule in RULES}
    for finding in check(read(planted)):
        assert SEVERITIES.index(finding.severity) >= most[finding.rule]
        assert finding.text
        assert finding.source
        assert finding.about
        for about in finding.about:  # a line or a step: one of this very recipe, by its number
            told = re.fullmatch(r"(line|step) (\d+) \((.+)\)", about)
            if told is not None and told[1] == "line":
                line = planted["lines"][int(told[2]) - 1]
                assert told[3] in (line["food"], *line.get("swap", ()))
            elif told is not None:
                assert told[3] == planted["steps"][int(told[2]) - 1]["act"]


#: What is said instead when the weather or height that proved the graver thing is forgotten.
INSTEAD = {"raw-meat": "core-temperature", "wet-hold": "cold-by-word"}


@pytest.mark.parametrize("planted", CASES, ids=lambda planted: planted["name"])
def test_forgetting_air_and_height_silences_no_rule(planted: dict[str, Any]) -> None:
    known = {name for name, severity in gravest(planted).items() if severity != "note"}
    forgot = planted | {"unknown": [*planted.get("unknown", ()), "air_c", "altitude_m"]}
    blurred = set(gravest(forgot))
    assert not {name for name in known - blurred if INSTEAD.get(name) not in blurred}


def soak(minutes: float) -> list[dict[str, Any]]:
    return [{"act": "soak", "bags": ["a"], "minutes": minutes, "water": "200 ml",
             "water_treated": True}]  # fmt: skip


def lines(*foods: str) -> list[dict[str, Any]]:
    return [{"food": name, "bag": "a"} for name in foods]


FLAKES = lines("vegetable-flakes")
COFFEE = [{"food": "weighed-coffee"}]


@pytest.mark.parametrize(
    ("planted", "rule", "said", "unsaid"),
    [
        ({"lines": FLAKES, "steps": soak(361)}, "wet-hold", "361 min", "above 32"),
        ({"lines": FLAKES, "steps": soak(361)}, "wet-hold", "Past 6 h", "limit is 2 h"),
        ({"lines": FLAKES, "steps": soak(360)}, "wet-hold", "the limit is 4 h", "Past 6 h"),
        ({"lines": FLAKES, "steps": soak(180)}, "wet-hold", "the advice is 2 h", "above 32"),
        ({"lines": FLAKES, "steps": soak(100), "air_c": 35}, "wet-hold", "1 h above 32",
         "limit"),
        ({"lines": FLAKES, "steps": soak(150), "air_c": 35}, "wet-hold", "2 h above 32",
         "advice"),
        # 38.758 % of 20 g is 7 752 mg of sodium, 20 g of salt (39.3 % sodium)
        ({"lines": [{"food": "table-salt"}], "masses_g": [20]}, "salt-dose",
         "7752 mg of sodium (20 g of salt)", "or more"),
        ({"lines": [{"food": "table-salt"}, {"food": "rice"}], "masses_g": [20, 100]}, "salt-dose",
         "salt) or more", "rice"),
        # 3 142 mg in 100 g (SR28 14214): 13 g hold 408 mg, for two 204 mg each
        ({"lines": COFFEE, "masses_g": [13]}, "caffeine", "about 408 mg", "poisonous"),
        ({"lines": COFFEE, "masses_g": [13], "serves": 2}, "caffeine", "about 204 mg", "400 mg"),
        ({"lines": COFFEE, "masses_g": [10], "eaters": [{"name": "Kim", "risks": ["child"]}]},
         "caffeine", "Kim: weighed coffee holds caffeine (about 314 mg a serving)", "or more"),
        ({"lines": [*COFFEE, {"food": "coffee"}], "masses_g": [10, 10],
          "eaters": [{"name": "Kim", "risks": ["child"]}]}, "caffeine", "or more", "poisonous"),
        ({"lines": lines("jerky", "couscous")}, "mixed-bag", "as high as 0.80", "couscous:"),
        ({"lines": lines("jerky", "fig", "couscous")}, "mixed-bag", "because of jerky:", "fig"),
        ({"lines": lines("walnut"), "storage_days": 150, "storage_c": 21}, "keeping", "used 83%",
         "its warmth"),
        ({"lines": lines("walnut"), "storage_days": 150}, "keeping", "its warmth is not known",
         "quality"),
        # Q10 of 3 from 21 to 31 °C: 60 of 180 days count threefold, all of its life
        ({"lines": lines("walnut"), "storage_days": 60, "storage_c": 31}, "keeping", "used 100%",
         "quality"),
        ({"lines": lines("nutmeg"), "masses_g": [12], "serves": 2}, "strong-spice",
         "6.0 g a serving",
         "12"),
    ],
)  # fmt: skip
def test_the_figures_stand_in_the_text(
    planted: dict[str, Any], rule: str, said: str, unsaid: str
) -> None:
    found = [one.text for one in check(read({"name": "t", **planted})) if one.rule == rule]
    assert any(said in text and unsaid not in text for text in found), found
