"""A shelf from TOML and from CSV: the same shelf, and nothing guessed."""

from __future__ import annotations

from pathlib import Path

import pytest

from fellfare.files.shop_list import read_shop_list
from fellfare.mistake import Mistake

CSV = """\
name,size_g,wrapping_g,price,stock,volume_ml,energy_kcal,protein_g,salt_g,contains,may_contain,diets,currency
oat biscuits,250,6,2.40,4,520,460,7,0.9,oats wheat,almond,vegetarian,EUR
salted peanuts,200,4,3.10,3,,615,25,1.1,peanut,,vegan,EUR
loose dates,500,,4.20,,480,282,2.5,,,,,
rice cakes,100,3,1.1,2,900,385,8,0.1,none,,vegan,EUR
"""
TOML = """\
title = "Kiosk at the ford"
currency = "EUR"
[[pack]]
name = "oat biscuits"
size_g = 250
wrapping_g = 6
price = "2.40"
stock = 4
volume_ml = 520
energy_kcal = 460
protein_g = 7
salt_g = 0.9
contains = ["oats", "wheat"]
may_contain = ["almond"]
diets = ["vegetarian"]
"""


def written(folder: Path, text: str, name: str = "shelf.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_both_forms_give_the_same_pack(tmp_path: Path) -> None:
    from_csv = read_shop_list(written(tmp_path, CSV))
    from_toml = read_shop_list(written(tmp_path, TOML, "shelf.toml"))
    assert from_csv.packs[0] == from_toml.packs[0]
    assert from_csv.currency == from_toml.currency == "EUR"
    assert from_toml.title == "Kiosk at the ford"


def test_label_figures_become_figures_of_the_pack(tmp_path: Path) -> None:
    pack = read_shop_list(written(tmp_path, CSV)).packs[0]
    assert pack.energy_kcal == pytest.approx(1150)  # 460 kcal per 100 g, 250 g
    assert pack.protein_g == pytest.approx(17.5)
    # Sodium is salt / 2.5: Regulation (EU) No 1169/2011, Annex I (11). 0.9 g, 250 g.
    assert pack.sodium_mg == pytest.approx(900)
    assert pack.mass_g == 256
    assert pack.diets == ("vegetarian", "pescetarian", "no-pork", "no-beef")


def test_figures_of_the_whole_pack_stay_as_they_are(tmp_path: Path) -> None:
    text = "name,size_g,per,energy_kcal\nbar,40,pack,190\n"
    assert read_shop_list(written(tmp_path, text)).packs[0].energy_kcal == 190


def test_what_is_left_out_is_unknown(tmp_path: Path) -> None:
    _, nuts, dates, cakes = read_shop_list(written(tmp_path, CSV)).packs
    assert nuts.volume_ml is None
    assert dates.wrapping_g is None
    assert dates.stock is None
    assert dates.sodium_mg is None
    assert not dates.label_read
    assert cakes.label_read
    assert cakes.contains == ()


def test_a_group_on_the_label_stands_for_all_that_is_in_it(tmp_path: Path) -> None:
    text = "name,size_g,contains\nmix,100,gluten\n"
    pack = read_shop_list(written(tmp_path, text)).packs[0]
    assert set(pack.contains) == {"wheat", "rye", "barley", "oats"}


def test_semicolons_and_decimal_commas_are_read(tmp_path: Path) -> None:
    text = "name;size_g;price;contains\nbar;40;1,25;milk soy\n"
    pack = read_shop_list(written(tmp_path, text)).packs[0]
    assert pack.price == 1.25
    assert pack.contains == ("milk", "soy")


@pytest.mark.parametrize(
    ("text", "code", "where"),
    [
        ("name,size_g,taste\nbar,40,good\n", "shop-csv", ":1"),
        ("name,price\nbar,1\n", "shop-csv", ":1"),
        ("name,name,size_g\nbar,bar,40\n", "shop-csv", ":1"),
        ("name,size_g\nbar,40,7\n", "shop-csv", ":2"),
        ("name,size_g\nbar,forty\n", "shop-csv", ":2"),
        ("name,size_g\nbar,nan\n", "shop-figure", ":2"),
        ("name,size_g\nbar,0\n", "shop-figure", ":2"),
        ("name,size_g\nbar,-4\n", "shop-figure", ":2"),
        ("name,size_g,protein_g\nbar,40,101\n", "shop-figure", ":2"),
        ("name,size_g,energy_kcal\nbar,40,2000\n", "shop-figure", ":2"),
        ("name,size_g,stock\nbar,40,2.5\n", "shop-csv", ":2"),
        ("name,size_g\nbar,40\nbar,50\n", "shop-name-twice", ":3"),
        ("name,size_g,salt_g,sodium_mg\nbar,40,1,400\n", "shop-salt-twice", ":2"),
        ("name,size_g,contains\nbar,40,gluten plastic\n", "unknown-allergen", ":2"),
        ("name,size_g,diets\nbar,40,keto\n", "shop-csv", ":2"),
        ("name,size_g,currency\nbar,40,EUR\nnut,30,USD\n", "shop-csv", ""),
        ('name,size_g\n"bar,40\n', "shop-csv", ""),
        ("name,size_g\n", "shop-empty", ""),
        ("", "shop-csv", ":1"),
    ],
)
def test_a_bad_table_is_refused_with_its_line(
    tmp_path: Path, text: str, code: str, where: str
) -> None:
    with pytest.raises(Mistake) as caught:
        read_shop_list(written(tmp_path, text))
    assert caught.value.code == code
    assert f"shelf.csv{where}" in caught.value.where


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (TOML + "taste = 3\n", "wrong-shape"),
        (TOML.replace('"2.40"', '"cheap"'), "shop-figure"),
        (TOML.replace("size_g = 250", "size_g = inf"), "shop-figure"),
        ('title = "empty"\npack = []\n', "shop-empty"),
        ("pack = 7\n", "wrong-shape"),
    ],
)
def test_a_bad_document_is_refused(tmp_path: Path, text: str, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_shop_list(written(tmp_path, text, "shelf.toml"))
    assert caught.value.code == code
