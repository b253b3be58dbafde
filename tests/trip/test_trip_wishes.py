"""The keys that a menu reads: they come back as they were written, and nonsense is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.menu.trips import written

from fellfare.files.trip_toml import read_trip, trip_text
from fellfare.mistake import Mistake, Mistakes

RULES = """\
by_ration = ["snack"]
portions = [0.5, 2.5]
traces = "avoid"
most_food_kg = 6.5
"""
STOP = """\
[[stop]]
name = "Box"
kind = "box"
day = 1
at_m = 12000
most_kg = 4
most_litres = 12
"""
OWN = (
    "every_walking_hours = 1.5",
    'every_walking_hours = 1.5\nkinds = ["snack", "sweet", "drink"]\ndays_between = 0\n'
    "most_of_one_dish = 9",
)


def test_wishes_of_a_menu_come_back_as_they_were_written(tmp_path: Path) -> None:
    path = written(tmp_path, rules=RULES, more=STOP, change=(OWN,))
    trip = read_trip(path).trip
    assert trip.rules.by_ration == ("snack",)
    assert trip.rules.portions == (0.5, 2.5)
    assert trip.rules.traces == "avoid"
    assert trip.rules.most_food_kg == 6.5
    assert (trip.stops[0].most_kg, trip.stops[0].most_litres) == (4, 12)
    snack = next(time for time in trip.eating if time.name == "snack")
    assert (snack.kinds, snack.days_between, snack.most_of_one_dish) == (
        ("snack", "sweet", "drink"), 0, 9,
    )  # fmt: skip
    again = tmp_path / "again.toml"
    again.write_text(trip_text(trip), "utf-8")
    assert read_trip(again).trip == trip


@pytest.mark.parametrize(
    ("rules", "code", "field"),
    [
        ('by_ration = ["brunch"]', "unknown-eating-time", "rules.by_ration"),
        ("portions = [2, 1]", "band-reversed", "rules.portions"),
        ("portions = [0, 1]", "band-reversed", "rules.portions"),
        ("most_food_kg = 0", "figure-out-of-range", "rules.most_food_kg"),
        ("most_food_kg = nan", "figure-out-of-range", "rules.most_food_kg"),
        ('traces = "never"', "wrong-shape", "rules.traces"),
    ],
)
def test_nonsense_is_refused_with_its_field(
    tmp_path: Path, rules: str, code: str, field: str
) -> None:
    with pytest.raises(Mistake) as told:
        read_trip(written(tmp_path, rules=rules))
    each = told.value.each if isinstance(told.value, Mistakes) else (told.value,)
    assert [one.code for one in each] == [code]
    assert field in each[0].where


def test_a_box_of_no_size_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Mistake) as told:
        read_trip(written(tmp_path, more=STOP.replace("most_kg = 4", "most_kg = 0")))
    assert told.value.code == "figure-out-of-range"
    assert "stop[0].most_kg" in told.value.where
