"""Boiling times against the agencies' table; keeping times against hand arithmetic."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.safety.trip import Stay, life_used_over
from fellfare.safety.water_treatment import ADVICE, AGENCIES, Agency, agency_name, boil_minutes

REFERENCE = Path(__file__).parents[1] / "reference"


def table(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("row", table("safety-trip-boil-minutes.csv"), ids=str)
def test_minutes_of_the_table(row: dict[str, str]) -> None:
    altitude_m = float(row["altitude_m"]) if row["altitude_m"] else None
    agency = next(one for one in AGENCIES if one == row["agency"])
    assert boil_minutes(altitude_m, agency) == float(row["minutes"])


def test_every_agency_has_a_name_and_stands_in_the_table() -> None:
    assert {row["agency"] for row in table("safety-trip-boil-minutes.csv")} == set(AGENCIES)
    assert {one.agency for one in ADVICE} == set(AGENCIES) - {"strictest"}
    assert len({agency_name(agency) for agency in AGENCIES}) == len(AGENCIES)


def test_feet_and_metres_of_the_limits_agree() -> None:
    # 0.3048 m to the foot, exact (NIST SP 811): 6500 ft and 5000 ft, to the metre.
    above = {one.agency: one.above_m for one in ADVICE}
    assert above["cdc-advisory"] == round(6500 * 0.3048)
    assert above["epa"] == round(5000 * 0.3048)


@given(st.floats(-430, 9000), st.floats(0, 3000), st.sampled_from(AGENCIES))
def test_higher_never_boils_shorter_and_nobody_is_stricter(
    altitude_m: float, up_m: float, agency: Agency
) -> None:
    higher_m = min(9000.0, altitude_m + up_m)
    assert boil_minutes(higher_m, agency) >= boil_minutes(altitude_m, agency)
    assert boil_minutes(altitude_m, agency) <= boil_minutes(altitude_m)
    assert boil_minutes(None, agency) >= boil_minutes(altitude_m, agency)


def test_the_strictest_agency_asks_three_minutes_from_five_thousand_feet() -> None:
    # EPA, the strictest in the table of CDC EID 31(8) 2025: 1 min, 3 min from 1524 m (5000 ft).
    assert boil_minutes(1523) == 1
    assert boil_minutes(1524) == 3


@pytest.mark.parametrize("altitude_m", [-500.0, 29_029.0, float("nan")])
def test_water_boils_on_no_such_height(altitude_m: float) -> None:
    with pytest.raises(Mistake, match="altitude-out-of-range"):
        boil_minutes(altitude_m)


def test_an_agency_that_nobody_knows_is_refused() -> None:
    with pytest.raises(Mistake, match="unknown-agency"):
        boil_minutes(0.0, "grandmother")  # type: ignore[arg-type]


@pytest.mark.parametrize("row", table("safety-trip-history.csv"), ids=lambda row: row["stays"])
def test_the_life_used_by_hand(row: dict[str, str]) -> None:
    stays = [
        Stay(days=float(days), c=float(c))
        for days, c in (word.split("@") for word in row["stays"].split())
    ]
    q10 = float(row["q10"])
    used = life_used_over(stays, float(row["life_days"]), float(row["at_c"]), (q10, q10))
    assert used.low == used.high == pytest.approx(float(row["used"]), abs=float(row["digits"]))


STAYS = st.lists(
    st.builds(Stay, days=st.floats(0, 400), c=st.none() | st.floats(-30, 55)), max_size=5
)


@given(STAYS, STAYS)
def test_histories_add_up_and_the_band_is_no_lie(one: list[Stay], two: list[Stay]) -> None:
    first, second, both = (life_used_over(stays, 100, 21) for stays in (one, two, one + two))
    assert both.high == pytest.approx(first.high + second.high, rel=1e-9)
    assert both.low <= both.high
    for q10 in (2.0, 2.5, 3.0):
        at = life_used_over(one + two, 100, 21, (q10, q10))
        assert both.low - 1e-9 * at.high <= at.high <= both.high * (1 + 1e-9)


def test_unknown_warmth_is_told_and_counts_as_the_tables_own() -> None:
    used = life_used_over([Stay(days=10, where="mail"), Stay(days=10, c=21)], 100, 21)
    assert used.unknown == ("mail",)
    assert used.low == used.high == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("stay", "life"),
    [
        (Stay(days=-1, c=20), 100.0),
        (Stay(days=1, c=75, where="car"), 100.0),
        (Stay(days=1, c=float("nan")), 100.0),
        (Stay(days=float("nan"), c=20), 100.0),
        (Stay(days=1, c=20), 0.0),
    ],
)
def test_a_history_that_cannot_be_is_refused(stay: Stay, life: float) -> None:
    with pytest.raises(Mistake, match="life-out-of-range"):
        life_used_over([stay], life, 21)
