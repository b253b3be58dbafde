"""The menu as a document and as JSON: nothing lost, and the keys that others build on."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.cli.menu import command
from fellfare.cli.menu.text import menu_text as menu_screen
from fellfare.files.menu_json import menu_data, rounded_data
from fellfare.files.menu_toml import menu_text, read_menu
from fellfare.menu.answer import Give, Plate, Portion
from fellfare.menu.settling import Round
from fellfare.menu.trip_menu import (
    DayOfMenu,
    EaterDay,
    Helping,
    MealOfMenu,
    RationOfMenu,
    TripMenu,
)
from fellfare.menu.written import WrittenMenu, WrittenRation, written
from fellfare.mistake import Mistake

FIGURE = st.floats(0, 5000, allow_nan=False)
NAME = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20)


@st.composite
def menus(draw: st.DrawFn) -> WrittenMenu:
    dishes = draw(st.dictionaries(NAME, st.integers(1, 40), min_size=1, max_size=4))
    walkers = draw(st.lists(NAME, min_size=1, max_size=3, unique=True))
    plates = [
        Plate(
            day=draw(st.integers(1, 30)),
            time=draw(NAME),
            dish=dish,
            shared=draw(st.booleans()),
            times=draw(st.integers(1, 3)),
            portions=tuple(
                Portion(
                    walker=walker,
                    steps=draw(st.integers(0, 80)),
                    mass_g=draw(FIGURE),
                    energy_kcal=draw(FIGURE),
                )
                for walker in walkers
            ),
        )
        for dish in dishes
    ]
    rations = tuple(
        WrittenRation(day=1, walker=walker, times=("snack",), mass_g=draw(FIGURE), energy_kcal=1.5)
        for walker in draw(st.sampled_from([[], walkers]))
    )
    return WrittenMenu(
        title=draw(NAME), plates=tuple(plates), steps_per_serving=dishes, rations=rations
    )


@given(menus())
def test_writing_and_reading_a_menu_loses_nothing(
    tmp_path_factory: pytest.TempPathFactory, menu: WrittenMenu
) -> None:
    path = tmp_path_factory.mktemp("menu") / "menu.toml"
    path.write_bytes(menu_text(menu).encode("utf-8"))
    assert read_menu(path) == menu


PLATE = """\
title = "By hand"
[[plate]]
day = 1
time = "dinner"
dish = "couscous"
portions = [{ walker = "Rowan", steps = 15, of = 20, mass_g = 99, energy_kcal = 400 }]
"""


def test_a_menu_written_by_hand(tmp_path: Path) -> None:
    path = tmp_path / "menu.toml"
    path.write_text(PLATE, "utf-8")
    menu = read_menu(path)
    assert menu.steps_per_serving == {"couscous": 20}
    assert menu.plates[0].portions[0].steps == 15
    assert not menu.plates[0].shared


GUIDE = Path(__file__).parents[2] / "docs" / "menu.md"


def test_the_example_of_the_page_is_read_and_comes_back(tmp_path: Path) -> None:
    text = GUIDE.read_text("utf-8").split("```toml\n")[1].split("```")[0]
    path = tmp_path / "menu.toml"
    path.write_text(text, "utf-8")
    menu = read_menu(path)
    assert (len(menu.plates), len(menu.rations)) == (1, 1)
    path.write_text(menu_text(menu), "utf-8")
    assert read_menu(path) == menu


def test_the_page_names_every_option() -> None:
    text = GUIDE.read_text("utf-8")
    options = [name for one in command.params for name in one.opts if name.startswith("--")]
    assert [name for name in options if name not in text] == []


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("day = 1", "day = 0", "day-out-of-range"),
        ("of = 20", "of = 0", "portion-steps"),
        ("steps = 15", "steps = -1", "portion-steps"),
        ("mass_g = 99", "mass_g = nan", "portion-out-of-range"),
        ("energy_kcal = 400", "energy_kcal = -1", "portion-out-of-range"),
        ("day = 1", "day = 1\ntimes = 0", "portion-steps"),
        ("}]", "}, { walker = 'Rowan', steps = 1, of = 20, mass_g = 1, energy_kcal = 1 }]",
         "eater-twice"),
        ("}]", "}, { walker = 'Ash', steps = 1, of = 12, mass_g = 1, energy_kcal = 1 }]",
         "portion-steps"),
        ("day = 1", "weight = 1", "wrong-shape"),
        (PLATE[18:], "", "menu-without-plates"),
    ],
)  # fmt: skip
def test_a_menu_that_cannot_be_is_refused_with_its_line(
    tmp_path: Path, old: str, new: str, code: str
) -> None:
    path = tmp_path / "menu.toml"
    path.write_text(PLATE.replace(old, new, 1), "utf-8")
    with pytest.raises(Mistake) as told:
        read_menu(path)
    assert told.value.code == code
    assert str(path) in told.value.where


def menu(**given_: object) -> TripMenu:
    plate = Plate(
        day=1, time="dinner", dish="couscous", shared=True, times=1,
        portions=(Portion(walker="Rowan", steps=15, mass_g=99.12345, energy_kcal=400.0),),
    )  # fmt: skip
    whole: dict[str, object] = {
        "title": "Moor",
        "walkers": ("Rowan",),
        "verdict": "good-enough",
        "days": (
            DayOfMenu(
                day=1,
                meals=(
                    MealOfMenu(
                        day=1, time="dinner", dish="couscous", title="Couscous", shared=True,
                        times=1, wet="", taken_up="",
                        helpings=(Helping(walker="Rowan", servings=0.75, mass_g=99.12345,
                                          energy_kcal=400.0, steps=15),),
                    ),
                ),
                rations=(RationOfMenu(walker="Rowan", times=("snack",), mass_g=80.0,
                                      energy_kcal=352.0),),
                eaters=(EaterDay(walker="Rowan", need_kcal=900.0, target_kcal=800.0,
                                 energy_kcal=752.0, food_g=179.1, load_g=179.1, pack_g=None,
                                 nutrients={"fat_g": 9.0}, unknown=("fat_g",)),),
            ),
        ),
        "plates": (plate,),
        "steps_per_serving": {"couscous": 20},
        "mass_g": 99.12345,
        "bound_mass_g": 98.0,
        "gap": 0.0113,
        "rounds": (Round(number=1, mass_g=99.1, residual_kcal=0.25, residual_g=0.0625,
                         dishes_fixed=False),),
        "settled": True,
    }  # fmt: skip
    return TripMenu(**(whole | given_))  # type: ignore[arg-type]  # a table of its fields


def test_a_gap_is_told_only_beside_its_bound() -> None:
    data = menu_data(menu(bound_mass_g=0.0, gap=float("inf"), weighed_gap=0.11))
    assert data["bound_mass_g"] is None
    assert data["gap"] is None
    assert data["weighed_gap"] == 0.11


def test_the_keys_that_others_build_on() -> None:
    data = menu_data(menu())
    for key in ("mass_g", "bound_mass_g", "gap", "rounds", "residual_g", "days", "findings"):
        assert key in data
    assert "impossible" not in data
    assert data["rounds"] == 1
    assert data["residual_g"] == 0.0625
    day = data["days"][0]
    assert day["day"] == 1
    assert day["load_g"] == {"Rowan": 179.1}
    meal = day["meals"][0]
    assert meal["portions"] == {"Rowan": 99.123}
    assert (meal["time"], meal["dish"], meal["energy_kcal"]) == ("dinner", "couscous", 400.0)
    assert day["walkers"]["Rowan"]["pack_g"] is None


def test_no_menu_says_what_must_give() -> None:
    give = Give(wish="fat_share = [0.1, 0.2]", gives="Rowan, day 1", amount=0.21, unit="energy")
    data = menu_data(
        menu(days=(), plates=(), mass_g=None, gap=float("inf"), verdict="impossible",
             gives=(give,), other_ways=((give,),), clashes=(("a", "b"),), rounds=())
    )  # fmt: skip
    assert data["mass_g"] is None
    assert data["gap"] is None
    assert data["impossible"] == [
        {"wish": "fat_share = [0.1, 0.2]", "gives": "Rowan, day 1", "amount": 0.21,
         "unit": "energy"}
    ]  # fmt: skip
    assert data["clashes"] == [["a", "b"]]
    assert len(data["other_ways"]) == 1


def test_the_document_of_a_menu_keeps_plates_and_rations() -> None:
    kept = written(menu())
    assert kept.plates == menu().plates
    assert kept.rations == (
        WrittenRation(day=1, walker="Rowan", times=("snack",), mass_g=80.0, energy_kcal=352.0),
    )


def test_figures_that_are_none_are_null() -> None:
    assert rounded_data({"a": (1.23456, float("inf")), "b": float("nan"), "c": 3}) == {
        "a": [1.235, None], "b": None, "c": 3,
    }  # fmt: skip


def test_a_menu_without_a_bound_says_so_and_names_no_zero() -> None:
    told = menu_screen(
        menu(verdict="stopped", bound_mass_g=0.0, gap=float("inf"), weighed_gap=0.11), ("dinner",)
    )
    assert "is not proven" in told
    assert "11.0 %" in told
    assert "No menu under" not in told
