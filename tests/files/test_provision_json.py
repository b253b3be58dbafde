"""A provision as data: the keys that others build on, its CSV lists, and what a person tells."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from fellfare.files.provision_csv import provision_csv
from fellfare.files.provision_json import provision_data
from fellfare.files.provision_toml import read_own
from fellfare.files.shipped import shipped_pantry
from fellfare.files.writing_together import write_together
from fellfare.menu.answer import Plate, Portion
from fellfare.mistake import Mistake, Mistakes
from fellfare.provision.shopping.packs import Pack
from fellfare.provision.trip.own import Own, OwnBox
from fellfare.provision.trip.provision import Provision, provision_of
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.trip.kit import Container, Kitchen
from fellfare.trip.plan import plan_trip
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import StageLine, Way
from fellfare.walk.walker import Walker

SOUP = Recipe(
    title="=Soup, -1 + 2",
    serves=1,
    lines=(
        Line(food="red-lentils", amount="60 g", bag="pot"),
        Line(food="salt", amount="to taste", bag="pot"),
        Line(food="olive-oil", amount="15 g"),
    ),
    steps=(Step(act="boil", bags=("pot",), water="300 ml", minutes=15),),
)


@pytest.fixture(scope="module")
def provision() -> Provision:
    """Two days, Ada alone, a box on the second morning."""
    trip = Trip(
        title="Two days",
        way=Way(day_c=15.0, night_c=5.0, fire="none"),
        walkers=(
            Walker(name="Ada", sex="female", age_y=30, height_cm=168, mass_kg=60, base_pack_kg=6),
        ),
        stages=(StageLine(distance_m=9000.0, camp="Camp"), StageLine(distance_m=9000.0)),
        kitchens=(Kitchen(walkers=("Ada",), stove="gas-screened", fuel="gas"),),
        containers=(Container(walker="Ada", litres=9.0),),
        stops=(TripStop(name="Box", kind="box", day=1, at_m=9000.0),),
    )
    plates = [
        Plate(
            day=day, time="dinner" if day == 1 else "lunch", dish="soup", shared=False, times=1,
            portions=(Portion(walker="Ada", steps=20, mass_g=75.0, energy_kcal=300.0),),
        )
        for day in (1, 2)
    ]  # fmt: skip
    own = Own(packs={"red-lentils": (Pack(size_g=500, price=Decimal("2.35")),)}, currency="EUR")
    return provision_of(plan_trip(trip), plates, {"soup": SOUP}, shipped_pantry(), own)


#: The least that stands in the house plan for builders: it may grow, and keeps its names.
LEAST = {
    "shopping": {"food", "need_g", "packs", "spare_g", "price"},
    "prep": {"kind", "date", "text"},
    "bags": {"label", "mass_g", "volume_ml", "day", "time", "water_ml", "minutes", "contents"},
    "boxes": {"stop", "mass_g", "bags", "post_from", "post_by"},
    "fuel": {"stop", "fuel_g", "canisters"},
    "water": {"stop", "days", "food_water_ml"},
}


def test_the_promised_keys_are_there(provision: Provision) -> None:
    data = provision_data(provision)
    for key, least in LEAST.items():
        assert data[key], key
        assert all(least <= set(row) for row in data[key]), key
    packs = next(row for row in data["shopping"] if row["food"] == "red-lentils")["packs"]
    assert [(one["size_g"], one["count"]) for one in packs] == [(500, 1)]
    assert all({"size_g", "count"} <= set(c) for leg in data["fuel"] for c in leg["canisters"])


def test_the_data_are_json_without_odd_numbers(provision: Provision) -> None:
    text = json.dumps(provision_data(provision), allow_nan=False)
    assert json.loads(text)["title"] == "Two days"


def test_what_is_not_known_is_null_and_never_zero(provision: Provision) -> None:
    data = provision_data(provision)
    salt = [c for bag in data["bags"] for c in bag["contents"] if c["food"] == "salt"]
    assert [one["mass_g"] for one in salt] == [None] * len(salt)
    oil = next(row for row in data["shopping"] if row["food"] == "olive-oil")
    assert oil["price"] is None
    assert "olive-oil" in data["cost_unknown"]
    (box,) = data["boxes"]
    assert (box["waits_days"], box["post_by"]) == (None, None)


def test_the_views_hold_the_same_grams(provision: Provision) -> None:
    data = provision_data(provision)
    assert set(data["views"]) == {"day", "meal", "person", "box"}
    for rows in data["views"].values():
        assert sum(row["mass_g"] for row in rows) == pytest.approx(data["mass_g"]["food"])
    assert sum(bag["mass_g"] for bag in data["bags"]) == pytest.approx(data["mass_g"]["food"])
    gross = data["mass_g"]["food"] + data["mass_g"]["packaging"]
    assert data["mass_g"]["gross"] == pytest.approx(gross)


def test_a_bag_tells_its_water_and_minutes(provision: Provision) -> None:
    first = provision_data(provision)["bags"][0]
    assert (first["water_ml"], first["minutes"]) == (300, 15)
    assert first["label"] == "Day 1 dinner · =Soup, -1 + 2 · pot"
    assert (first["wet"], first["not_for"], first["minds"]) == ("", [], [])  # boiled, for all


def test_csv_lists_have_the_same_sums_and_no_formula(provision: Provision) -> None:
    lists = {name: list(csv.DictReader(io.StringIO(text)))
             for name, text in provision_csv(provision).items()}  # fmt: skip
    assert set(lists) == {
        "shopping-list.csv", "prep-list.csv", "bags.csv", "bag-contents.csv", "customs.csv",
        "carrying.csv", "nights.csv", "fuel.csv", "water.csv",
    }  # fmt: skip
    food = sum(float(row["mass_g"]) for row in lists["bags.csv"])
    inside = sum(float(row["mass_g"] or 0) for row in lists["bag-contents.csv"])
    assert food == pytest.approx(inside)
    assert food == pytest.approx(provision.food_g)
    # A spreadsheet would reckon with a cell that opens like this.
    assert {row["dish"] for row in lists["bags.csv"]} == {"'=Soup, -1 + 2"}
    salt = [row for row in lists["bag-contents.csv"] if row["food"] == "salt"]
    assert [row["mass_g"] for row in salt] == [""] * len(salt)


TOLD = """
currency = "EUR"
first = "spare"
packed = 2031-04-28
dry_at_home = ["red-bell-pepper-dried"]
loss_share = 0.05
fewest_bags = true

[at_home]
couscous = "1 cup"
salt = "500 g"

[dryer]
trays = 4
tray_m2 = 0.09

[[pack]]
food = "couscous"
size = "500 g"
price = 1.29

[[pack]]
food = "couscous"
size = "1 kg"
name = "big bag"

[[box]]
stop = "Hut box"
late_days = 2
things = ["socks"]

[[carrier]]
name = "Ada"
share = 0.4
"""


@pytest.fixture
def told(tmp_path: Path) -> Callable[[str], Own]:
    def read(text: str) -> Own:
        path = tmp_path / "provision.toml"
        path.write_text(text, "utf-8")
        return read_own(path, shipped_pantry())

    return read


def test_a_person_tells_packs_cupboard_dryer_boxes_and_shares(told: Callable[[str], Own]) -> None:
    own = told(TOLD)
    assert [(p.size_g, p.price, p.name) for p in own.packs["couscous"]] == [
        (500.0, Decimal("1.29"), ""),
        (1000.0, None, "big bag"),
    ]
    # SR28 NDB 20028: couscous, dry, 1 cup = 173 g.
    assert own.at_home["couscous"] == pytest.approx(173.0)
    assert own.at_home["salt"] == 500.0
    assert (own.dryer.trays, own.dryer.tray_m2, own.first) == (4, 0.09, "spare")
    assert own.boxes["Hut box"] == OwnBox(late_days=2, things=("socks",))
    assert own.carriers["Ada"].share == 0.4
    assert own.regroup


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('[[pack]]\nfood = "couscou"\nsize = "500 g"', "unknown-food"),
        ('[[pack]]\nfood = "couscous"\nsize = "lots"', "amount-missing"),
        ('[at_home]\ncouscous = "to taste"', "pack-out-of-range"),
        ('dry_at_home = ["nothing-dried"]', "unknown-food"),
        ('[[box]]\nstop = "A"\n[[box]]\nstop = "A"', "box-twice"),
        ('[[carrier]]\nname = "A"\n[[carrier]]\nname = "A"', "carrier-twice"),
        ("pakced = 2031-04-28", "wrong-shape"),
        ('first = "luck"', "wrong-shape"),
    ],
)
def test_what_cannot_be_used_is_told_with_its_file(
    told: Callable[[str], Own], text: str, code: str
) -> None:
    with pytest.raises(Mistake) as caught:
        told(text)
    assert caught.value.code == code
    assert "provision.toml" in caught.value.where


def test_all_faults_of_the_document_are_told_at_once(told: Callable[[str], Own]) -> None:
    with pytest.raises(Mistakes) as caught:
        told('[[pack]]\nfood = "x"\nsize = "1 g"\n[[pack]]\nfood = "y"\nsize = "1 g"')
    assert len(caught.value.each) == 2


def test_files_are_written_all_or_none(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    (tmp_path / "a").write_text("old")
    with pytest.raises(Mistake, match="none of the papers"):
        write_together({tmp_path / "a": b"new", tmp_path / "b": b"new"})
    assert (tmp_path / "a").read_text() == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b"]
    write_together({tmp_path / "a": b"new", tmp_path / "deep" / "c": b"c"})
    assert (tmp_path / "a").read_bytes() == b"new"
    assert (tmp_path / "deep" / "c").read_bytes() == b"c"


def test_the_demo_tells_its_own_packs(told: Callable[[str], Any]) -> None:
    from fellfare.files.demo_documents import demo_documents

    text = dict(demo_documents())["provision.toml"]
    own = told(text)
    assert own.packs
    assert own.at_home
    assert own.dry_at_home


def test_the_example_in_the_guide_is_read(told: Callable[[str], Own]) -> None:
    guide = (Path(__file__).parents[2] / "docs" / "provision.md").read_text("utf-8")
    example = guide.partition("```toml\n")[2].partition("```")[0]
    own = told(example)
    assert own.packs["couscous"][0].price == Decimal("1.19")
    assert own.boxes["Ellerstead box"].carton_g == 240
    assert own.carriers["Tansy"].limit_share == 0.25
