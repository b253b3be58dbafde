"""Where a label's figures stop being believed, worked by hand at each edge."""

from __future__ import annotations

from typing import Any

import pytest

from fellfare.mistake import Mistake
from fellfare.pantry.label import Label, available_carbohydrate_g, check_energy, read_label

#: Regulation (EU) 1169/2011, Annex XIV, by hand for the label below: protein 10 at 4, fat 10 at 9,
#: carbohydrate 50 less 10 polyols at 4, polyols 10 at 2.4, fibre 5 at 2, alcohol 1 at 7.
RECKONED = 40.0 + 90.0 + 160.0 + 24.0 + 10.0 + 7.0


def eu(**more: Any) -> Label:
    given: dict[str, Any] = {"protein_g": 10, "fat_g": 10, "carbohydrate_g": 50, "fibre_g": 5,
                             "polyols_g": 10, "alcohol_g": 1, "energy_kcal": RECKONED}  # fmt: skip
    return Label(style="eu", **{**given, **more})


def us(**more: Any) -> Label:
    given: dict[str, Any] = {"per_g": 50, "protein_g": 2, "fat_g": 0, "carbohydrate_g": 40,
                             "fibre_g": 20}  # fmt: skip
    return Label(style="us", **{**given, **more})


def odd(label: Label) -> bool:
    return [one.rule for one in check_energy(label)] == ["label-energy-odd"]


@pytest.mark.parametrize(
    ("label", "told"),
    [
        (eu(), False),
        # a gap of 15 % of the larger figure is believed: 331 / 0.85 = 389.4, 331 x 0.85 = 281.4
        (eu(energy_kcal=389.3), False), (eu(energy_kcal=389.6), True),
        (eu(energy_kcal=281.5), False), (eu(energy_kcal=281.2), True),
        # US: 4 x 2 + 4 x 40 = 168; the panel may leave out 80 of the fibre: 88 less 15 % of 168
        (us(energy_kcal=168), False), (us(energy_kcal=63), False), (us(energy_kcal=62), True),
        (us(energy_kcal=197.5), False), (us(energy_kcal=198), True),
        # 15 kcal in 100 g are never worth a word: 7.5 in a serving of 50 g
        (us(energy_kcal=31.5, carbohydrate_g=4, fibre_g=0), False),
        (us(energy_kcal=31.6, carbohydrate_g=4, fibre_g=0), True),
        (us(energy_kcal=130, carbohydrate_g=40, polyols_g=20, fibre_g=0), False),  # 8 + 80 + 48
    ],
)  # fmt: skip
def test_energy_may_differ_so_much_and_no_more(label: Label, told: bool) -> None:
    assert odd(label) == told


@pytest.mark.parametrize(
    ("good", "bad", "where"),
    [
        # a spoonful of spice, and no more than ten kilograms
        ({"per_g": 0.1, "protein_g": 0.01, "fat_g": 0.01, "carbohydrate_g": 0.05, "fibre_g": 0,
          "polyols_g": 0, "alcohol_g": 0, "energy_kcal": 0.3}, {"per_g": 0.09}, "per_g"),
        ({"per_g": 10_000.0}, {"per_g": 10_001.0}, "per_g"),
        # a thing weighs no more than its food (0.5 % of rounding)
        ({"protein_g": 0, "fat_g": 0, "carbohydrate_g": 100.4, "fibre_g": 0, "polyols_g": 0,
          "alcohol_g": 0, "energy_kcal": 402}, {"carbohydrate_g": 100.6}, "carbohydrate_g"),
        ({"potassium_mg": 100_400.0}, {"potassium_mg": 100_600.0}, "potassium_mg"),
        # a part is no more than its whole, but for a gram of rounding on either side
        ({"saturated_g": 11.0}, {"saturated_g": 11.1}, "saturated_g"),
        ({"sugars_g": 51.0}, {"sugars_g": 51.1}, "sugars_g"),
        # 10 + 10 + 50 + 5 + 1 = 76 of 100 g, and 2 g for rounding: 26 g of water
        ({"water_g": 26.0}, {"water_g": 26.1}, "per_g"),
        # pure fat holds 9 kcal/g; 9.1 and 5 kcal for rounding
        ({"energy_kcal": 915.0}, {"energy_kcal": 915.1}, "energy_kcal"),
        ({"energy_kcal": 0.0}, {"energy_kcal": -0.1}, "energy_kcal"),
    ],
)  # fmt: skip
def test_the_last_label_that_can_be_and_the_first_that_cannot(
    good: dict[str, Any], bad: dict[str, Any], where: str
) -> None:
    read_label(eu(**good))
    with pytest.raises(Mistake) as caught:
        read_label(eu(**{**good, **bad}))
    assert (caught.value.code, caught.value.where) == ("label-impossible", where)


def test_large_packs_may_round_by_a_fiftieth() -> None:
    # 400 g of food, parts of 408 g: 2 % of rounding; 408.1 g are too much
    whole = {"per_g": 400.0, "protein_g": 100.0, "fat_g": 100.0, "carbohydrate_g": 208.0,
             "fibre_g": 0.0, "polyols_g": 0.0, "alcohol_g": 0.0, "energy_kcal": 2132.0}  # fmt: skip
    read_label(eu(**whole))
    with pytest.raises(Mistake, match="add up"):
        read_label(eu(**{**whole, "carbohydrate_g": 208.1}))


def test_fibre_of_a_us_label_lies_within_the_carbohydrate() -> None:
    read_label(us(fibre_g=41.0, energy_kcal=20))
    with pytest.raises(Mistake, match="fibre_g"):
        read_label(us(fibre_g=41.1, energy_kcal=20))


@pytest.mark.parametrize(
    ("kcal", "kj", "one"),
    [
        # 1 kcal = 4.184 kJ; 3 % of 331 kcal are 9.93
        (331.0, (331.0 + 10.2) * 4.184, True), (331.0, (331.0 + 10.3) * 4.184, False),
        (331.0, (331.0 - 9.6) * 4.184, True), (331.0, (331.0 - 9.7) * 4.184, False),
    ],
)  # fmt: skip
def test_kcal_and_kj_agree_to_three_per_cent(kcal: float, kj: float, one: bool) -> None:
    label = eu(energy_kcal=kcal, energy_kj=kj)
    if one:
        assert read_label(label)[0].energy_kcal == pytest.approx(kcal)
    else:
        with pytest.raises(Mistake, match="label-energy-twice"):
            read_label(label)


@pytest.mark.parametrize(("kj", "good"), [(29.2, True), (29.4, False)])
def test_two_kcal_are_always_rounding(kj: float, good: bool) -> None:
    label = Label(style="eu", energy_kcal=5.0, energy_kj=kj)  # 29.3 kJ are 7.0 kcal
    if good:
        read_label(label)
    else:
        with pytest.raises(Mistake, match="label-energy-twice"):
            read_label(label)


@pytest.mark.parametrize(
    ("salt_g", "sodium_mg", "good"),
    [(1.0, 440.0, True), (1.0, 441.0, False), (1.0, 360.0, True), (1.0, 359.0, False),
     (0.1, 60.0, True), (0.1, 61.0, False)],
)  # fmt: skip
def test_salt_is_two_and_a_half_times_the_sodium_to_a_tenth(
    salt_g: float, sodium_mg: float, good: bool
) -> None:
    # Annex I: 1 g of salt is 400 mg of sodium, a tenth either way or 20 mg
    label = eu(salt_g=salt_g, sodium_mg=sodium_mg)
    if good:
        assert read_label(label)[0].sodium_mg == sodium_mg
    else:
        with pytest.raises(Mistake, match="label-salt-twice"):
            read_label(label)


def test_available_carbohydrate_is_what_the_eu_panel_says_per_100_g() -> None:
    assert available_carbohydrate_g(eu(per_g=250.0)) == pytest.approx(20.0)
    assert available_carbohydrate_g(eu(carbohydrate_g=None)) is None
    assert available_carbohydrate_g(us()) is None


def test_missing_figures_are_told_one_by_one() -> None:
    for name in ("protein_g", "fat_g", "carbohydrate_g"):
        rules = [one.rule for one in check_energy(eu(**{name: None, "polyols_g": None}))]
        assert rules == ["label-macros-missing"]
    assert read_label(eu(carbohydrate_g=None, polyols_g=None))[0].carbohydrate_g is None
