"""Which diets a dish keeps, and how it is made: told by its foods and steps, not by hope."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.menu.trips import LINE

from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.menu.asked.diets import DIETS, diets_kept, is_untold
from fellfare.menu.asked.making import kinds_of, making_of
from fellfare.pantry.food import Allergens, Food, Source
from fellfare.pantry.nutrients import Nutrients
from fellfare.recipe.sheet import make_sheet


def food(name: str, **given: object) -> Food:
    whole: dict[str, object] = {
        "id": name.replace(" ", "-"), "name": name, "group": "ready", "form": "solid",
        "source": Source(kind="memory", ref=""), "per_100g": Nutrients(),
    }  # fmt: skip
    return Food(**(whole | given))  # type: ignore[arg-type]  # a table of its fields


# What is eaten by whom is common knowledge; that cheeses of protected name are made with calf
# rennet is from memory.
@pytest.mark.parametrize(
    ("one", "keeps", "breaks"),
    [
        (food("beef jerky", group="meat"), {"no-pork", "no-alcohol"}, {"vegetarian", "no-beef"}),
        (food("bacon bits", group="meat"), {"no-beef"}, {"vegetarian", "no-pork", "pescetarian"}),
        (food("salmon", group="fish"), {"pescetarian", "no-pork"}, {"vegetarian", "vegan"}),
        (food("parmesan cheese", group="dairy"), {"no-pork"}, {"vegetarian", "vegan"}),
        (food("cheddar cheese", group="dairy"), {"vegetarian"}, {"vegan"}),
        (food("coconut milk powder", group="fruit"), set(DIETS), set()),
        (food("peanut butter", group="nut"), set(DIETS), set()),
        (food("soya mince", group="soy"), {"vegetarian", "vegan"}, set()),
        (food("honey", group="sweet"), {"vegetarian"}, {"vegan"}),
        (food("gummy bears", group="sweet"), {"no-alcohol"}, {"vegetarian", "no-pork", "no-beef"}),
        (food("cooking wine", group="drink"), {"vegan"}, {"no-alcohol"}),
        (food("lentils", group="pulse"), set(DIETS), set()),
    ],
)
def test_a_food_tells_whose_diet_it_breaks(one: Food, keeps: set[str], breaks: set[str]) -> None:
    told = set(diets_kept([one]))
    assert keeps <= told
    assert not breaks & told


def test_a_mix_of_unknown_content_keeps_no_diet_unless_its_author_vouches() -> None:
    mix = food("trail mix", allergens=Allergens(open_mix=True))
    soup = food("onion soup powder", group="soup", allergens=Allergens(unknown=("milk",)))
    known = food("onion soup powder", group="soup")
    assert is_untold(mix)
    assert is_untold(soup)
    assert not is_untold(known)
    assert diets_kept([mix]) == ()
    assert diets_kept([soup]) == ()
    assert {"vegetarian", "no-pork"} <= set(diets_kept([mix], ["Vegetarian"]))
    assert "no-alcohol" not in diets_kept([mix], ["vegan"])  # nobody has vouched for that


def test_no_tag_turns_meat_into_something_else() -> None:
    ham = food("ham cubes", group="meat")
    assert not {"vegan", "vegetarian"} & set(diets_kept([ham], ["vegan", "vegetarian"]))


def test_unknown_milk_is_no_vegan_food() -> None:
    doubtful = food("cocoa powder", group="sweet", allergens=Allergens(unknown=("milk",)))
    assert "vegan" not in diets_kept([doubtful])
    assert "vegetarian" in diets_kept([doubtful])


def test_one_food_is_enough() -> None:
    rice, tuna = food("rice", group="grain"), food("tuna", group="fish")
    assert "vegan" in diets_kept([rice])
    assert "vegan" not in diets_kept([rice, tuna])


STEP = '[[step]]\nact = "{act}"\nbags = ["main"]\n{more}\n'


@pytest.mark.parametrize(
    ("steps", "way", "soak", "flame", "hot_ml", "kind"),
    [
        ([("serve", "")], "dry", 0, 0, 0, "snack"),
        ([("mix", 'where = "home"\nwater = "1 l"'), ("serve", "")], "dry", 0, 0, 0, "snack"),
        ([("mix", 'water = "200 ml"')], "cold-soak", 0, 0, 0, "dinner"),
        ([("soak", 'water = "200 ml"\nminutes = 30'), ("rest", "minutes = 5")], "cold-soak",
         35, 0, 0, "dinner"),
        ([("steep", 'water = "300 ml"\nminutes = 8')], "hot-pour", 0, 0, 300, "dinner"),
        ([("soak", 'water = "100 ml"\nminutes = 20'), ("steep", 'water = "200 ml"\nminutes = 5')],
         "hot-pour", 25, 0, 200, "dinner"),
        ([("boil", 'water = "400 ml"\nminutes = 4'), ("simmer", "minutes = 6")], "boil", 0, 10,
         400, "dinner"),
        ([("toast", 'where = "home"\nminutes = 8'), ("serve", "")], "dry", 0, 0, 0, "snack"),
    ],
)  # fmt: skip
def test_the_hardest_step_in_camp_is_the_way(
    tmp_path: Path, steps: list[tuple[str, str]], way: str, soak: float, flame: float,
    hot_ml: float, kind: str,
) -> None:  # fmt: skip
    path = tmp_path / "dish.toml"
    line = LINE.format(food="couscous", amount="100 g", bag="main")
    path.write_text(
        'title = "Dish"\n' + line + "".join(STEP.format(act=act, more=more) for act, more in steps),
        "utf-8",
    )
    recipe = read_recipe(path).recipe
    made = making_of(make_sheet(recipe, shipped_pantry()))
    assert made.way == way
    assert made.soak_minutes == soak
    assert made.flame_minutes == flame
    assert made.hot_ml == pytest.approx(hot_ml)
    assert kinds_of(recipe, made) == (kind,)
