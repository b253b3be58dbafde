"""Resting energy and the quiet day: tables, misprints, refusals."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.walk.resting import eer, henry, mifflin, roza_shizgal
from fellfare.walk.resting.body import Sex
from fellfare.walk.resting.eer import ACTIVITIES, iom_kcal, nasem_kcal
from fellfare.walk.resting.henry import henry_kcal
from fellfare.walk.resting.mifflin import mifflin_kcal
from fellfare.walk.resting.roza_shizgal import roza_shizgal_kcal
from fellfare.walk.resting.spread import resting_energy

TABLE = Path(__file__).parents[1] / "reference" / "walk-energy-vectors.csv"
PA = {"m": (1.0, 1.11, 1.25, 1.48), "f": (1.0, 1.12, 1.27, 1.45)}


def sex_of(letter: str) -> Sex:
    return "male" if letter == "m" else "female"


def value_of(model: str, i: dict[str, str]) -> float:
    W, A, sex = float(i["W"]), float(i["A"]), sex_of(i["sex"])
    male = sex == "male"
    if model == "mifflin":
        return mifflin_kcal(W, float(i["H"]), A, male=male)
    if model == "roza_shizgal":
        return roza_shizgal_kcal(W, float(i["H"]), A, male=male)
    if model == "henry":
        return henry_kcal(W, float(i["H"]) / 100, A, male=male)
    if model == "eer2023":
        return nasem_kcal(W, float(i["H"]), A, sex, next(a for a in ACTIVITIES if a == i["cat"]))
    activity = ACTIVITIES[PA[i["sex"]].index(float(i["PA"]))]
    return iom_kcal(W, float(i["Hm"]), A, sex, activity)


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        table = list(csv.DictReader(line for line in file if not line.startswith("#")))
    models = {"mifflin", "roza_shizgal", "henry", "eer2023", "eer2005"}
    return [row for row in table if row["model"] in models]


@pytest.mark.parametrize("row", rows(), ids=lambda r: f"{r['model']}:{r['inputs']}")
def test_resting_formula_gives_the_checked_value(row: dict[str, str]) -> None:
    inputs = dict(pair.split("=") for pair in row["inputs"].split(";"))
    assert value_of(row["model"], inputs) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def test_misprints_of_mifflin_do_not_come_back() -> None:
    man = mifflin.resting_kcal(sex="male", age_y=40, height_cm=178, mass_kg=75)
    # '(5 - age)' for '5 x age' is 235 kcal a day too much at 40 years.
    assert man + 235 == pytest.approx(10 * 75 + 6.25 * 178 + (40 - 5) - 5 + 5, abs=5.1)
    # Women's constant is -161, not -151; in pounds the mass would double the figure.
    woman = mifflin.resting_kcal(sex="female", age_y=35, height_cm=166, mass_kg=62)
    assert woman == pytest.approx(1321.5)
    assert woman != pytest.approx(1331.5)


def test_the_wrong_published_harris_benedict_example_is_not_ours() -> None:
    # A public example prints 1 442.16 kcal for a woman of 65 kg, 170 cm, 30 years.
    ours = roza_shizgal.resting_kcal(sex="female", age_y=30, height_cm=170, mass_kg=65)
    assert ours == pytest.approx(1445.41, abs=0.005)


def test_womens_activity_factors_do_not_fit_mens_column() -> None:
    # IOM 2005: the copied footnote prints 1.12 for both; the men's table has 2267.
    with_womens = 662 - 9.53 * 30 + 1.12 * (15.91 * 56.2 + 539.6 * 1.5)
    assert abs(with_womens - 2267) > 10
    assert abs(iom_kcal(56.2, 1.5, 30, "male", "low-active") - 2267) < 1.5


bodies = st.fixed_dictionaries(
    {
        "sex": st.sampled_from(get_args(Sex)),
        "age_y": st.floats(19, 90),
        "height_cm": st.floats(140, 205),
        "mass_kg": st.floats(45, 130),
    }
)


@given(bodies)
def test_formulas_agree_within_a_quarter(body: dict[str, object]) -> None:
    resting = resting_energy(**body)  # type: ignore[arg-type]
    values = [kcal for _, kcal in resting.by_formula]
    assert len(values) == 3
    assert max(values) / min(values) < 1.45
    assert resting.kcal == values[0]
    assert resting.sd_kcal == pytest.approx(0.09 * resting.kcal)


@given(bodies, st.floats(0.5, 20))
def test_more_body_takes_more(body: dict[str, object], more: float) -> None:
    mass = body["mass_kg"]
    assert isinstance(mass, float)
    heavier = {**body, "mass_kg": mass + more}
    for formula in (mifflin.resting_kcal, roza_shizgal.resting_kcal, henry.resting_kcal):
        assert formula(**heavier) > formula(**body)  # type: ignore[arg-type]


def test_sample_man_spread_is_four_per_cent() -> None:
    # Independent calculation: 1667.5, 1720.3, 1681.0 for 75 kg, 178 cm, 40 years.
    resting = resting_energy(sex="male", age_y=40, height_cm=178, mass_kg=75)
    assert [round(kcal, 1) for _, kcal in resting.by_formula] == [1667.5, 1720.3, 1681.0]


def test_youths_are_told_apart_and_warned() -> None:
    youth = resting_energy(sex="female", age_y=14, height_cm=160, mass_kg=50)
    assert [note.rule for note in youth.notes] == ["youth-need"]
    assert [name for name, _ in youth.by_formula] == ["Henry 2005"]
    # Henry 2005, 10 to 18 years, female: 9.40 W + 249 h + 462 (from memory).
    assert youth.kcal == pytest.approx(9.40 * 50 + 249 * 1.60 + 462)


@pytest.mark.parametrize("age", [18.0, 30.0, 60.0])
def test_henry_bands_change_on_the_birthday(age: float) -> None:
    before = henry_kcal(70, 1.75, age - 1e-9, male=True)
    on = henry_kcal(70, 1.75, age, male=True)
    assert before != on
    assert on == henry_kcal(70, 1.75, age + 1, male=True)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"sex": "none"}, "unknown-sex"),
        ({"age_y": 400.0}, "age-out-of-range"),
        ({"age_y": float("nan")}, "age-out-of-range"),
        ({"height_cm": 1.78}, "height-out-of-range"),
        ({"mass_kg": 0.0}, "body-mass-out-of-range"),
        ({"mass_kg": float("nan")}, "body-mass-out-of-range"),
    ],
)
def test_no_body_no_answer(change: dict[str, object], code: str) -> None:
    body: dict[str, object] = {"sex": "male", "age_y": 35.0, "height_cm": 178.0, "mass_kg": 75.0}
    for formula in (
        mifflin.resting_kcal,
        roza_shizgal.resting_kcal,
        henry.resting_kcal,
        eer.required_kcal,
        resting_energy,
    ):
        with pytest.raises(Mistake, match=code):
            formula(**{**body, **change})  # type: ignore[arg-type]


def test_adult_requirement_refuses_youths_and_unknown_classes() -> None:
    with pytest.raises(Mistake, match="eer-too-young"):
        eer.required_kcal(sex="male", age_y=16, height_cm=178, mass_kg=70)
    with pytest.raises(Mistake, match="unknown-activity"):
        eer.required_kcal(
            sex="male", age_y=30, height_cm=178, mass_kg=70,
            activity="lazy",  # type: ignore[arg-type]
        )  # fmt: skip
    with pytest.raises(Mistake, match="henry-too-young"):
        henry.resting_kcal(sex="male", age_y=8, height_cm=130, mass_kg=28)
