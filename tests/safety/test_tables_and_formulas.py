"""The Food Code tables, sorption and keeping formulas against published and hand figures."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.safety.shelf import life_days, life_used, q10_of
from fellfare.safety.sorption import (
    Isotherm,
    Portion,
    bet,
    dry_basis,
    gab,
    salwin_slawson,
    settled_aw,
    water_activity,
)
from fellfare.safety.tcs import Table, tcs

REFERENCE = Path(__file__).parents[1] / "reference"

TABLES: tuple[Table, ...] = ("A", "B")
STARCHY = Isotherm(monolayer=0.060, c=12, k=0.86, source="illustrative, of no food")
FRUIT = Isotherm(monolayer=0.14, c=3, k=1.0, source="illustrative, of no food")


def table(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("row", table("safety-tcs.csv"), ids=lambda row: "-".join(row.values()))
def test_the_food_code_tables(row: dict[str, str]) -> None:
    (which,) = (one for one in TABLES if one == row["table"])
    assert tcs(float(row["aw"]), float(row["ph"]), which) == row["answer"]


def test_unknown_ph_or_aw_counts_as_the_worst() -> None:
    assert tcs(None, None) == "assess"
    assert tcs(0.95, None) == "assess"
    assert tcs(None, 4.5) == "assess"
    # Known to be dry enough, the pH does not matter: Table B, first row.
    assert tcs(0.87, None) == "not-tcs"


@given(st.floats(0, 1), st.floats(0, 14), st.floats(0, 1), st.floats(0, 14))
def test_wetter_or_less_acid_never_frees_a_food(aw: float, ph: float, d: float, e: float) -> None:
    for which in TABLES:
        if tcs(aw, ph, which) == "assess":
            assert tcs(min(1.0, aw + d), min(14.0, ph + e), which) == "assess"


@given(st.floats(0, 1), st.floats(0, 14))
def test_home_packing_is_never_freer_than_the_works(aw: float, ph: float) -> None:
    if tcs(aw, ph, "A") == "assess":
        assert tcs(aw, ph, "B") == "assess"


@pytest.mark.parametrize(("aw", "ph"), [(1.01, 5), (-0.1, 5), (float("nan"), 5), (0.9, 15)])
def test_it_refuses_what_no_meter_shows(aw: float, ph: float) -> None:
    with pytest.raises(Mistake, match="out-of-range"):
        tcs(aw, ph)


@pytest.mark.parametrize("row", table("safety-sorption.csv"), ids=lambda row: row["aw"])
def test_the_isotherm_by_hand(row: dict[str, str]) -> None:
    aw, m, c, k = (float(row[name]) for name in ("aw", "monolayer", "c", "k"))
    # Printed to 1e-6: half of that.
    assert gab(aw, m, c, k) == pytest.approx(float(row["moisture"]), abs=5e-7)
    if k == 1:
        assert bet(aw, m, c) == pytest.approx(float(row["moisture"]), abs=5e-7)


def test_bet_holds_the_monolayer_where_it_should() -> None:
    # BET's own property: M = Mm at aw = 1/(1 + sqrt(C)) (Brunauer, Emmett & Teller 1938).
    assert bet(1 / (1 + 3**0.5), 0.14, 3) == pytest.approx(0.14, rel=1e-12)


@pytest.mark.parametrize(
    ("wet", "dry"), [(10, 0.1111), (12, 0.1364), (15, 0.1765), (18, 0.2195), (20, 0.25)]
)
def test_moisture_on_dry_basis(wet: float, dry: float) -> None:
    # w/(1 - w), by hand, to the fourth figure.
    assert dry_basis(wet) == pytest.approx(dry, abs=5e-5)


def mixed() -> tuple[Portion, Portion]:
    # 100 g of a starchy food at 8 %, 60 g of a fruit at 18 %.
    return (
        Portion(solids_g=92.0, moisture=dry_basis(8), isotherm=STARCHY),
        Portion(solids_g=49.2, moisture=dry_basis(18), isotherm=FRUIT),
    )


def test_a_mixed_bag_settles_where_an_independent_reckoning_put_it() -> None:
    # Reckoned apart from this code for the same illustrative parameters: starts at
    # 0.4531 and 0.5147, settles at 0.4946, ends at 0.0938 and 0.2066 g/g, 0.63 g moved.
    starchy, fruit = mixed()
    assert water_activity(starchy.moisture, STARCHY) == pytest.approx(0.4531, abs=5e-5)
    assert water_activity(fruit.moisture, FRUIT) == pytest.approx(0.5147, abs=5e-5)
    aw = settled_aw((starchy, fruit))
    assert aw == pytest.approx(0.4946, abs=5e-5)
    assert gab(aw, 0.060, 12, 0.86) == pytest.approx(0.0938, abs=5e-5)
    assert gab(aw, 0.14, 3, 1) == pytest.approx(0.2066, abs=5e-5)
    moved = (gab(aw, 0.060, 12, 0.86) - starchy.moisture) * starchy.solids_g
    assert moved == pytest.approx(0.63, abs=0.005)


def test_the_linear_form_comes_near_it() -> None:
    # Same bag, slopes of the isotherms at aw 0.49 by finite difference: 0.494 (printed so).
    def slope(of: Isotherm) -> float:
        low, high = (gab(aw, of.monolayer, of.c, of.k) for aw in (0.485, 0.495))
        return (high - low) / 0.01

    aw = salwin_slawson(((92.0, slope(STARCHY), 0.4531), (49.2, slope(FRUIT), 0.5147)))
    assert aw == pytest.approx(0.494, abs=1e-3)


SOLIDS = st.floats(1, 500)
AW = st.floats(0.05, 0.9)


@given(SOLIDS, SOLIDS, AW, AW)
def test_mixing_keeps_all_water_and_stays_between_the_parts(
    s1: float, s2: float, a1: float, a2: float
) -> None:
    one = Portion(solids_g=s1, moisture=gab(a1, 0.060, 12, 0.86), isotherm=STARCHY)
    two = Portion(solids_g=s2, moisture=gab(a2, 0.14, 3, 1.0), isotherm=FRUIT)
    aw = settled_aw((one, two))
    assert min(a1, a2) - 1e-9 <= aw <= max(a1, a2) + 1e-9
    held = s1 * gab(aw, 0.060, 12, 0.86) + s2 * gab(aw, 0.14, 3, 1.0)
    assert held == pytest.approx(s1 * one.moisture + s2 * two.moisture, rel=1e-9)


@pytest.mark.parametrize(
    "portion",
    [
        Portion(solids_g=0.0, moisture=0.1, isotherm=STARCHY),
        Portion(solids_g=10.0, moisture=-0.1, isotherm=STARCHY),
        Portion(solids_g=10.0, moisture=float("nan"), isotherm=STARCHY),
        Portion(solids_g=10.0, moisture=50.0, isotherm=STARCHY),
        Portion(
            solids_g=10.0, moisture=0.1, isotherm=Isotherm(monolayer=6, c=12, k=1.1, source="")
        ),
    ],
)
def test_mixing_refuses_nonsense(portion: Portion) -> None:
    with pytest.raises(Mistake, match="out-of-range"):
        settled_aw((portion,))


def celsius(fahrenheit: str) -> float:
    return (float(fahrenheit) - 32) / 1.8


@pytest.mark.parametrize("row", table("safety-keeping-q10.csv"), ids=lambda row: row["q10"])
def test_q10_of_published_keeping_times(row: dict[str, str]) -> None:
    cool, warm = celsius(row["cool_f"]), celsius(row["warm_f"])
    q10 = q10_of(float(row["warm_months"]), warm, float(row["cool_months"]), cool)
    # Printed to 0.01.
    assert q10 == pytest.approx(float(row["q10"]), abs=0.006)
    assert life_days(float(row["cool_months"]), cool, warm, q10) == pytest.approx(
        float(row["warm_months"])
    )


@pytest.mark.parametrize(("q10", "days"), [(2.0, 169), (2.5, 132), (3.0, 108)])
def test_a_year_in_the_cool_is_months_in_the_heat(q10: float, days: int) -> None:
    # 365 d at 21.1 °C (70 °F) carried to 32.2 °C (90 °F), by hand, to the day.
    assert life_days(365, 21.1, 32.2, q10) == pytest.approx(days, abs=0.6)


def test_stays_add_up() -> None:
    # By hand: 5 d at 30 °C count 2.5-fold, 20 d at 20 °C once: 32.5 d of a life at 20 °C.
    assert life_used(((5, 30), (20, 20)), 32.5, 20, 2.5) == pytest.approx(1.0)


@given(st.floats(-30, 50), st.floats(0.1, 9))
def test_warmer_never_keeps_longer(at_c: float, step: float) -> None:
    assert life_days(100, 21, at_c + step, 2.0) < life_days(100, 21, at_c, 2.0)


@pytest.mark.parametrize(
    ("days", "at_c", "q10"),
    [(0.0, 20.0, 2.0), (10.0, 90.0, 2.0), (10.0, 20.0, 0.5), (float("nan"), 20.0, 2.0)],
)
def test_keeping_refuses_nonsense(days: float, at_c: float, q10: float) -> None:
    with pytest.raises(Mistake, match="life-out-of-range"):
        life_days(days, 21.0, at_c, q10)
    with pytest.raises(Mistake, match="life-out-of-range"):
        life_used(((-1.0, 20.0),), 100, 21, 2.0)
    with pytest.raises(Mistake, match="life-out-of-range"):
        q10_of(1.0, 20.0, 2.0, 20.0)
