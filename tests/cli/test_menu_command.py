"""``fellfare menu``: what is printed and saved, and with which status it ends."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from msgspec.structs import replace
from tests.menu.trips import RECIPES, SERVE, recipe, written

from fellfare.cli.layout import WIDTH, shown_width
from fellfare.cli.main import COMMANDS
from fellfare.cli.menu import command
from fellfare.files.menu_toml import menu_of_text, menu_text, read_menu
from fellfare.files.trip_toml import read_trip
from fellfare.menu.written import minding_late
from fellfare.mistake import Mistake


def run(path: Path, *words: str) -> Result:
    return CliRunner().invoke(command, [str(path), *words])


def data(path: Path, *words: str) -> dict[str, Any]:
    told = json.loads(run(path, "--json", *words).stdout)
    assert isinstance(told, dict)
    return told


@pytest.fixture(scope="module")
def trip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("moor"))


def test_it_is_a_command_with_a_line_of_help() -> None:
    assert COMMANDS["menu"][0] == "menu"


def test_the_text_keeps_to_eighty_columns_and_says_what_it_is_worth(trip: Path) -> None:
    told = run(trip)
    assert told.exit_code == 0
    assert max(shown_width(line) for line in told.stdout.splitlines()) <= WIDTH
    for word in ("Over the moor", "Dinner out of one pot: Rowan, Ash", "Rowan, own dishes",
                 "Mass and energy by day", "Food on the backs", "within these rules",
                 "Need and load agree", "kcal/g"):  # fmt: skip
        assert word in told.stdout
    assert "[usual-variety]" in told.stderr
    assert "[usual-variety]" not in told.stdout


def test_a_party_of_nine_with_long_names_keeps_to_eighty_columns(tmp_path: Path) -> None:
    names = [f"Bartholomew Featherstonehaugh {n}" for n in range(7)]
    more = "".join(
        f'[[walker]]\nname = "{name}"\nsex = "male"\nage_y = 40\nheight_cm = 175\n'
        "mass_kg = 70\nbase_pack_kg = 7\n"
        for name in names
    )
    everybody = ", ".join(f'"{name}"' for name in ["Rowan", "Ash", *names])
    path = written(
        tmp_path, more=more, change=(('walkers = ["Rowan", "Ash"]', f"walkers = [{everybody}]"),)
    )
    told = run(path, "--seconds", "10")
    assert told.exit_code == 0
    assert max(shown_width(line) for line in told.stdout.splitlines()) <= WIDTH
    assert "and 8 more" in told.stdout


def test_json_adds_up(trip: Path) -> None:
    told = data(trip)
    assert told["settled"]
    assert told["residual_g"] < 1
    assert told["bound_mass_g"] <= told["mass_g"]
    assert told["gap"] <= 0.021
    food = sum(
        g for day in told["days"] for meal in day["meals"] for g in meal["portions"].values()
    )
    assert food + told["fuel_g"] == pytest.approx(told["mass_g"], abs=0.5)
    for day in told["days"]:
        for name, one in day["walkers"].items():
            eaten = sum(m["portions"].get(name, 0) for m in day["meals"])
            assert one["food_g"] == pytest.approx(eaten, abs=0.01)
            assert 0.94 * one["target_kcal"] < one["energy_kcal"] < 1.11 * one["target_kcal"]
    # nothing is bought on the way: the first morning carries all of it
    assert sum(told["days"][0]["load_g"].values()) == pytest.approx(food, abs=0.5)
    assert told["days"][1]["load_g"]["Ash"] < told["days"][0]["load_g"]["Ash"]


def test_need_is_that_of_the_load(trip: Path) -> None:
    told = data(trip)
    first = told["days"][0]["walkers"]["Rowan"]
    # base pack, food of both days, and the kit of the kitchen on two backs
    assert first["pack_g"] > 8000 + first["load_g"]
    assert first["need_kcal"] > first["target_kcal"]


def test_a_dish_is_fixed_and_another_left_out(trip: Path) -> None:
    told = data(trip, "--fix", "1", "dinner", "rice", "--without", "nuts")
    dinner = next(m for m in told["days"][0]["meals"] if m["time"] == "dinner")
    assert dinner["dish"] == "rice"
    assert "nuts" not in {m["dish"] for day in told["days"] for m in day["meals"]}


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--fix", "1", "supper", "rice"), "unknown-eating-time"),
        (("--fix", "1", "dinner", "rise"), "unknown-dish"),
        (("--without", "rise"), "unknown-dish"),
        (("--fix", "0", "dinner", "rice"), "day-out-of-range"),
    ],
)
def test_wishes_for_what_is_not_there_are_refused(
    trip: Path, words: tuple[str, ...], code: str
) -> None:
    told = run(trip, *words)
    assert isinstance(told.exception, Mistake)
    assert told.exception.code == code
    assert told.exception.where == words[0]  # where the person wrote it, not in the document


def test_the_menu_is_saved_and_not_written_over(trip: Path, tmp_path: Path) -> None:
    out = tmp_path / "menu.toml"
    assert run(trip, "--out", str(out)).exit_code == 0
    saved = read_menu(out)
    assert {plate.day for plate in saved.plates} == {1, 2}
    assert {plate.time for plate in saved.plates} == {"breakfast", "snack", "dinner"}
    again = run(trip, "--out", str(out))
    assert isinstance(again.exception, Mistake)
    assert again.exception.code == "file-exists"
    assert run(trip, "--out", str(out), "--replace").exit_code == 0


def test_a_saved_menu_stays_as_it_is_where_nothing_has_changed(trip: Path, tmp_path: Path) -> None:
    out = tmp_path / "menu.toml"
    first = data(trip, "--out", str(out))
    again = data(trip, "--near", str(out))
    assert again["changes"] == []
    assert again["mass_g"] == pytest.approx(first["mass_g"], abs=0.5)
    assert again["settled"]


def test_only_what_must_change_does(trip: Path, tmp_path: Path) -> None:
    out = tmp_path / "menu.toml"
    data(trip, "--out", str(out))
    saved = read_menu(out)
    dinner = next(p.dish for p in saved.plates if p.time == "dinner")
    told = data(trip, "--near", str(out), "--without", dinner)
    assert [one["before"] for one in told["changes"]] == [dinner]
    kept = {(p.day, p.time, p.dish) for p in saved.plates if p.time != "dinner"}
    now = {(d["day"], m["time"], m["dish"]) for d in told["days"] for m in d["meals"]}
    assert kept <= now
    text = run(trip, "--near", str(out), "--without", dinner).stdout
    assert "Beside the saved menu" in text
    assert f"{dinner} →" in text


def test_a_late_allergy_is_kept_with_the_menu_and_said_again(trip: Path, tmp_path: Path) -> None:
    out = tmp_path / "menu.toml"
    who = read_trip(trip).trip.walkers[0].name
    first = run(trip, "--out", str(out), "--avoid", who, "sesame")
    assert first.exit_code == 0, first.stderr
    said = f"This menu was asked for with: {who} must not meet sesame."
    assert said in " ".join(first.stderr.split())
    kept = read_menu(out)
    assert kept.asked_otherwise == (f"{who} must not meet sesame",)
    assert menu_of_text(menu_text(kept), out) == kept
    (found,) = minding_late(kept)
    assert found.severity == "caution"
    assert minding_late(replace(kept, asked_otherwise=())) == ()


def test_what_can_be_made_where(tmp_path: Path) -> None:
    path = written(tmp_path, more='[[day]]\nday = 2\nfire = "no-flame"')
    told = run(path, "--dishes")
    assert told.exit_code == 0
    assert max(shown_width(line) for line in told.stdout.splitlines()) <= WIDTH
    assert "needs heat: fire rule of day 2: no-flame: farina" in told.stdout
    days = data(path, "--dishes")["days"]
    assert [day["day"] for day in days] == [1, 2]
    assert {one["dish"] for one in days[0]["dishes"]} == set(RECIPES)


def test_a_plan_that_cannot_be_says_why_and_ends_with_one(tmp_path: Path) -> None:
    path = written(tmp_path, rules="protein_g_per_kg = 4")
    told = run(path, "--seconds", "5")
    assert told.exit_code == 1
    assert "no menu" in told.stdout.lower()
    assert "protein_g_per_kg = 4" in told.stdout
    plain = data(path, "--seconds", "5")
    assert plain["mass_g"] is None
    assert plain["days"] == []
    assert any("protein" in give["wish"] for give in plain["impossible"])
    assert {"wish", "gives", "amount", "unit"} <= set(plain["impossible"][0])


def test_an_eating_time_that_nobody_can_fill_is_told_with_the_reasons(tmp_path: Path) -> None:
    only = {name: RECIPES[name] for name in ("oats", "nuts", "dates", "seeds", "chicken")}
    told = run(written(tmp_path, recipes=only, ash='diets = ["vegetarian"]'))
    assert told.exit_code == 1
    assert "too-few-dishes" in told.stderr
    assert "Ash may not eat it" in " ".join(told.stderr.split())
    # Every night lacks the same: it is told once, with the kind that a recipe would need.
    none = {name: RECIPES[name] for name in ("oats", "nuts", "dates", "seeds")}
    bare = tmp_path / "bare"
    bare.mkdir()
    told = run(written(bare, recipes=none))
    said = " ".join(told.stderr.split())
    assert said.count("[too-few-dishes]") == 1
    assert "no recipe is of a kind that is eaten then (dinner)" in said


def test_usual_variety_gives_way_before_written_rules(tmp_path: Path) -> None:
    # Two breakfasts, a usual day between two of one dish, and one of them fixed twice.
    fixed = "".join(
        f'[[fixed]]\nday = {day}\neating = "breakfast"\ndish = "oats"\n' for day in (1, 2)
    )
    told = data(written(tmp_path, more=fixed))
    rules = [one["rule"] for one in told["findings"]]
    assert told["days"]
    assert "usual-variety-dropped" in rules
    assert "usual-variety" not in rules


def test_ctrl_c_hands_over_what_is_found(trip: Path) -> None:
    from fellfare.cli.menu.watching import watching
    from fellfare.menu.answer import Progress

    with watching() as watch:
        said = Progress(stage="search", best_g=100.0, bound_g=90.0, gap=0.1)
        assert not watch(said)
        watch.stopped = True
        assert watch(said)


def test_the_front_costs_grams(tmp_path: Path) -> None:
    told = data(written(tmp_path), "--front", "variety", "--seconds", "5")
    assert told["by"] == "variety"
    masses = [point["mass_g"] for point in told["points"]]
    assert masses
    assert masses == sorted(masses)


def test_a_ration_by_weight_stands_beside_the_dishes(tmp_path: Path) -> None:
    told = data(written(tmp_path, rules='by_ration = ["snack"]\nenergy_band = [0.8, 1.3]'))
    assert told["ration_g"] > 0
    rations = [one for day in told["days"] for one in day["rations"]]
    assert {one["walker"] for one in rations} == {"Rowan", "Ash"}
    assert sum(one["mass_g"] for one in rations) == pytest.approx(told["ration_g"], abs=0.01)
    # at the density that the rules name
    assert rations[0]["energy_kcal"] / rations[0]["mass_g"] == pytest.approx(4.4, rel=1e-3)


PRICES = """\
currency = "EUR"
[at_home]
sugar = "1 kg"
salt = "400 g"
"""


def test_a_budget_minds_the_packs_that_have_a_price(tmp_path: Path) -> None:
    path = written(tmp_path, rules='budget = "60"\ncurrency = "EUR"')
    assert "budget-not-looked-at" in run(path).stderr
    foods = ("rolled-oats coconut-milk-powder raisins millet-flakes walnut almond date-medjool "
             "peanut-butter pumpkin-seeds-roasted couscous olive-oil tomato-powder")  # fmt: skip
    packs = "".join(
        f'[[pack]]\nfood = "{food}"\nsize = "500 g"\nprice = 2.50\n' for food in foods.split()
    )
    (tmp_path / "provision.toml").write_text(PRICES + packs, "utf-8")
    told = run(path)
    assert told.exit_code == 0
    assert "budget-not-looked-at" not in told.stderr
    # rice, cashews and chicken have no price
    assert "no price is known of rice-instant" in " ".join(told.stderr.split())
    dear = written(tmp_path, rules='budget = "1"\ncurrency = "EUR"')
    assert run(dear, "--seconds", "5").exit_code == 1


def test_a_label_of_a_food_that_is_not_eaten_says_nothing(tmp_path: Path) -> None:
    recipes = RECIPES | {"ghost": recipe("Ghost", "snack", {"no-such-food": "1 g"}, SERVE)}
    told = run(written(tmp_path, recipes=recipes))
    assert told.exit_code == 0
    assert "Ghost" in told.stderr
