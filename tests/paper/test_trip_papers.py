"""Papers of a whole trip: the packing list, who carries what, several lists in one PDF."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.menu.answer import Plate, Portion
from fellfare.mistake import Mistake
from fellfare.paper.carrying import carrying_sheet, minds_said
from fellfare.paper.lists import Part, Row, Sheet, list_pdf, lists_pdf
from fellfare.paper.packing import packing_sheets
from fellfare.paper.press import Size
from fellfare.provision.trip.provision import Provision, provision_of
from fellfare.trip.kit import Container, Kitchen
from fellfare.trip.plan import plan_trip
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import StageLine, Way
from fellfare.walk.walker import Walker

Text = Callable[[bytes], str]
Told = Callable[[bytes], dict[str, str]]


@pytest.fixture(scope="module")
def provision(our: Any) -> Provision:
    """Two walkers, two days, a box on the first evening."""
    trip = Trip(
        title="Two days",
        start_date=date(2031, 5, 1),
        way=Way(day_c=15.0, night_c=5.0, fire="none"),
        walkers=(
            Walker(name="Ada", sex="female", age_y=30, height_cm=168, mass_kg=60, base_pack_kg=6),
            Walker(name="Bo", sex="male", age_y=40, height_cm=180, mass_kg=80, base_pack_kg=7),
        ),
        stages=(StageLine(distance_m=20000.0, camp="Camp"), StageLine(distance_m=20000.0)),
        kitchens=(Kitchen(walkers=("Ada", "Bo"), stove="gas-screened", fuel="gas"),),
        containers=(Container(walker="Ada", litres=2.0),),
        stops=(TripStop(name="Upper Hut", kind="box", day=1, at_m=20000.0),),
    )
    plates = [
        Plate(
            day=day,
            time=time,
            dish="soup",
            shared=True,
            times=1,
            portions=tuple(
                Portion(walker=name, steps=20, mass_g=0.0, energy_kcal=0.0)
                for name in ("Ada", "Bo")
            ),
        )
        for day, time in ((1, "lunch"), (1, "dinner"), (2, "lunch"))
    ]
    return provision_of(plan_trip(trip), plates, {"soup": our.recipe()}, shipped_pantry())


def test_the_packing_list_has_every_bag_its_size_and_its_back(
    provision: Provision, text_of: Text
) -> None:
    sheets = packing_sheets(provision)
    assert [sheet.title for sheet in sheets] == [
        "Packing: carried from the start",
        "Packing: in the box for Upper Hut",
    ]
    text = text_of(lists_pdf(sheets, "a4", "Packing"))
    assert text.count("☐") == len(provision.bags)
    for bag in provision.bags:
        assert f"{bag.number} {bag.name.capitalize()}" in text
        assert bag.size is not None
        assert bag.size.split(",")[0] in text
    assert "Day 2, Fri 2 May 2031" in text
    assert "Carried by" in text
    # What the short words mean stands above the list on which they are used.
    assert ("on top" in text) == ("‘on top’: crushes" in text)


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_who_carries_what_tells_loads_room_fuel_and_water(
    provision: Provision, text_of: Text, size: Size
) -> None:
    text = text_of(list_pdf(carrying_sheet(provision), size))
    for words in (
        "Food on each back, in the morning", "Ada carries", "Bo carries",
        "Room at night, 2 litres in all", "Never has to fit", "Fuel", "At the start",
        "Water for the food", "Upper Hut", "Fair parts: Ada 43%, Bo 57%",
    ):  # fmt: skip
        assert words in text, words
    for bag in provision.bags:
        assert str(bag.number) in text


def test_several_lists_each_begin_a_page(told_of: Told) -> None:
    part = Part(heading="One", head=("What",), widths=(1.0,), rows=(Row(cells=("tick",)),))
    sheets = [Sheet(title=f"List {number}", parts=(part,)) for number in range(3)]
    assert told_of(lists_pdf(sheets, "a4", "All"))["Pages"] == "3"
    empty = Sheet(title="Nothing", parts=())
    assert told_of(lists_pdf([*sheets, empty], "a4", "All"))["Pages"] == "3"
    with pytest.raises(Mistake, match="empty-list"):
        lists_pdf([empty], "a4", "All")


def test_a_part_without_ticks_has_none(text_of: Text) -> None:
    row = Row(cells=("to read",))
    part = Part(heading="One", head=("What",), widths=(1.0,), rows=(row,), ticks=False)
    assert "☐" not in text_of(list_pdf(Sheet(title="Read", parts=(part,)), "a4"))


def test_what_a_swap_brings_is_said_in_one_breath() -> None:
    nuts = ("almond", "brazil-nut", "cashew", "walnut")
    said = minds_said(("contains oats", *(f"may contain {nut}" for nut in nuts)))
    assert said == ("contains oats; may contain tree nuts",)
    assert minds_said(()) == ()
    many = minds_said(tuple(f"not known: {word}" for word in "abcdefghi"))
    assert many == ("not known: most other allergens: read the pack",)
