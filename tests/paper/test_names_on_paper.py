"""A name that the fonts cannot print: the papers come, and say what they did."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.menu.answer import Plate, Portion
from fellfare.mistake import Mistake
from fellfare.paper.grid import read_grid
from fellfare.paper.kinds import KINDS
from fellfare.paper.names import stand_ins
from fellfare.paper.papers_of_trip import LabelSheet, Papers
from fellfare.paper.press import lacking_in
from fellfare.provision.trip.provision import Provision, provision_of
from fellfare.trip.kit import Kitchen
from fellfare.trip.plan import plan_trip
from fellfare.trip.trip import Trip
from fellfare.trip.way import StageLine, Way
from fellfare.walk.walker import Walker

SHEET = LabelSheet(grid=read_grid(None, "a4"))


def provision_for(name: str, title: str, recipe: Any) -> Provision:
    trip = Trip(
        title=title,
        start_date=date(2031, 5, 1),
        way=Way(day_c=15.0, night_c=5.0, fire="none"),
        walkers=(
            Walker(name=name, sex="female", age_y=30, height_cm=168, mass_kg=60, base_pack_kg=6),
            Walker(name="Bo", sex="male", age_y=40, height_cm=180, mass_kg=80, base_pack_kg=7),
        ),
        stages=(StageLine(distance_m=20000.0),),
        kitchens=(Kitchen(walkers=(name, "Bo"), stove="gas-screened", fuel="gas"),),
    )
    portions = tuple(
        Portion(walker=who, steps=20, mass_g=0.0, energy_kcal=0.0) for who in (name, "Bo")
    )
    plate = Plate(day=1, time="lunch", dish="soup", shared=True, times=1, portions=portions)
    return provision_of(plan_trip(trip), [plate], {"soup": recipe}, shipped_pantry())


def test_a_name_from_a_telephone_keeps_no_paper_back(
    our: Any, text_of: Callable[[bytes], str]
) -> None:
    papers = Papers(
        provision_for("Ada 🏔️", "Two 🌲 days", our.recipe()), "a4", SHEET
    )  # fmt: skip
    made = papers.made(list(KINDS))
    assert made.keys() >= {name for kind, name in KINDS.items() if kind not in ("csv", "boxes")}
    assert "Two 🌲 days" in made["trail-card.html"].decode()
    words = text_of(made["packing-list.pdf"])
    assert "Ada" in words
    assert "Two days: who carries what" in text_of(made["who-carries-what.pdf"])
    assert [one.about for one in papers.findings] == [("Ada",), ("Two days",)]


def test_a_plain_name_is_left_as_it_is(our: Any) -> None:
    one = provision_for("Žofie Ağaoğlu", "Δύο μέρες, два дня", our.recipe())
    papers = Papers(one, "a4", SHEET)
    assert papers.findings == ()
    assert papers.one is one


def test_a_sign_in_a_recipe_still_refuses(our: Any) -> None:
    recipe = replace(our.recipe(), title="Soup with 🍄")
    for name in ("Ada", "🍄"):
        papers = Papers(provision_for(name, "Two days", recipe), "a4", SHEET)
        with pytest.raises(Mistake, match="no-glyph"):
            papers.made(["labels"])


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Ada 🏔️", "Ada"),
        ("👩‍🍳 Ada 🇨🇭", "Ada"),
        ("Ａｄａ", "Ada"),  # full-width letters: Unicode NFKC
        ("王小明 Wang", "Wang"),
        ("王小明", "Walker 1"),
        ("🦊", "Walker 1"),
    ],
)
def test_what_is_printed_instead(name: str, said: str) -> None:
    assert stand_ins({name: "Walker 1", "Bo": "Walker 2"}) == {name: said}


def test_two_walkers_never_share_a_name() -> None:
    told = {"Ada": "Walker 1", "Ada 🏔": "Walker 2", "Ada 🌲": "Walker 3"}
    assert stand_ins(told) == {"Ada 🏔": "Ada Walker 2", "Ada 🌲": "Ada Walker 3"}


@settings(max_examples=40, deadline=None)
@given(st.lists(st.text(min_size=1, max_size=8), min_size=1, max_size=4, unique=True))
def test_whatever_a_name_is_something_can_be_printed(names: list[str]) -> None:
    said = stand_ins({name: f"Walker {at}" for at, name in enumerate(names, 1)})
    assert all(said.values())
    assert not lacking_in("\n".join(said.values()))
    kept = [said.get(name, name) for name in names]
    assert len(set(kept)) == len(kept)
