"""Every optional rule of a trip has its own plain name, is kept, and is named when it clashes."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.menu.trips import asked, written

from fellfare.menu.of_trip import menu_of_trip
from fellfare.menu.pool import Question
from fellfare.menu.trying import Trying

TRIES = Trying(gap=0.02, seconds=8.0)
LOOSE = "coverage = 0.9\nenergy_band = [0.5, 1.5]\n"
#: Rule that can be kept, one that cannot, the key in its name, and a word of what gives.
RULES = [
    ("protein_g_per_kg = 0.6", "protein_g_per_kg = 3.5", "protein_g_per_kg", "protein"),
    ("protein_share = [0.05, 0.4]", "protein_share = [0.6, 0.9]", "protein_share", "protein"),
    ("fat_share = [0.1, 0.6]", "fat_share = [0.01, 0.05]", "fat_share", "fat"),
    (
        "carbohydrate_share = [0.2, 0.9]",
        "carbohydrate_share = [0.95, 1.0]",
        "carbohydrate_share",
        "carbohydrate",
    ),
    ("fibre_g_per_1000_kcal = 3", "fibre_g_per_1000_kcal = 40", "fibre_g_per_1000_kcal", "fibre"),
    ("sodium_mg = [0, 5000]", "sodium_mg = [40000, 50000]", "sodium_mg", "sodium"),
    ("most_food_kg = 5", "most_food_kg = 0.2", "most_food_kg", "carry"),
]


@pytest.mark.parametrize(("kept", "broken", "key", "word"), RULES)
def test_it_is_kept_or_named(tmp_path: Path, kept: str, broken: str, key: str, word: str) -> None:
    good = menu_of_trip(asked(written(tmp_path / "a", rules=LOOSE + kept)), TRIES)
    assert good.days, [one.text for one in good.findings]
    none = menu_of_trip(
        asked(written(tmp_path / "b", rules=LOOSE + broken)), TRIES, why_seconds=8.0
    )
    assert none.verdict == "impossible"
    gives = [give for give in none.gives if give.wish.startswith(key)]
    clashes = [wish for one in none.clashes for wish in one if wish.startswith(key)]
    assert gives or clashes
    assert all(word in give.gives for give in gives)


def slots_of(question: Question, time: str) -> list[int]:
    return [slot.least for slot in question.slots if slot.time == time]


def test_snacks_go_by_the_hours_of_walking(tmp_path: Path) -> None:
    often = asked(written(tmp_path / "a"))
    change = (("every_walking_hours = 1.5", "every_walking_hours = 0.75"),)
    oftener = asked(written(tmp_path / "b", change=change))
    for number, (few, many) in enumerate(
        zip(slots_of(often.base, "snack"), slots_of(oftener.base, "snack"), strict=True), 1
    ):
        hours = often.plan.days[number - 1].hours.moving_hours
        assert few == int(hours / 1.5 + 1e-9) or few == max(1, int(hours / 1.5))
        assert many == int(hours / 0.75 + 1e-9) or many == max(1, int(hours / 0.75))
        assert many >= few
    menu = menu_of_trip(often, TRIES)
    for day in menu.days:
        wanted = next(m.count for m in often.plan.days[day.day - 1].meals if m.name == "snack")
        for name in menu.walkers:
            snacks = [m for m in day.meals if m.time == "snack"]
            eaten = sum(m.times for m in snacks for h in m.helpings if h.walker == name)
            assert eaten == wanted
