"""The recipe document: what goes in comes out again, and every slip is told with its line.

TOML itself is TOML 1.0 (toml.io); Python's own tomllib reads what is written here.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.recipe_toml import read_recipe, recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.measure import SYSTEMS
from fellfare.mistake import Mistake, Mistakes
from fellfare.recipe.document import Act, Bag, Line, Packing, Place, Recipe, Step
from fellfare.recipe.sheet import make_sheet

PANTRY = shipped_pantry()
FOODS = sorted(food.id for food in PANTRY)

#: Any text that UTF-8 can hold, with what TOML must escape made likely.
ODD = st.one_of(
    st.text(max_size=30),
    st.sampled_from([
        'a "quoted" one', "it's", "'''", '"""', "back\\slash", "two\nlines", "tab\there", "\r\n",
        "\x7f", "\x00", "\x1b[31m", "é½…", "🥾", "مرحبا", "\u202eabc", "#not a comment", "[[line]]",
        " ", "=", "\u2028", "\\u0041", "a" * 200,
    ]),
)  # fmt: skip
NAMES = ODD.filter(lambda text: bool(text.strip()))
AMOUNTS = st.sampled_from([
    "90 g", "1 3/4 oz", "1/2 cup (70 g)", "½ cup", "2-3 tbsp", "to taste", "a pinch", "2 x 85 g",
    "1 heaped tbsp", "1,5 dl", "about 3 oz",
])  # fmt: skip
FLOATS = st.floats(0, 60, allow_nan=False)
BAG_NAMES = st.sampled_from(["soak", "oil bag", 'odd "bag"', "sac à dos", "a\nb"])


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    lines = draw(
        st.lists(
            st.builds(
                Line,
                food=st.sampled_from(FOODS),
                amount=AMOUNTS,
                bag=st.one_of(st.none(), BAG_NAMES),
                note=ODD,
                optional=st.booleans(),
                scale_exponent=st.one_of(st.none(), st.floats(0, 2)),
                swap=st.lists(st.sampled_from(FOODS), max_size=2).map(tuple),
                preheated=st.one_of(st.none(), st.booleans()),
                home_made=st.one_of(st.none(), st.booleans()),
            ),
            min_size=1,
            max_size=4,
        )
    )
    steps = draw(
        st.lists(
            st.builds(
                Step,
                act=st.sampled_from(get_args(Act)),
                bags=st.lists(ODD, max_size=2).map(tuple),
                water=st.one_of(st.none(), st.sampled_from(["110 ml", "1 cup", "½ l"])),
                minutes=st.one_of(st.none(), st.floats(0, 100_000)),
                where=st.sampled_from(get_args(Place)),
                text=ODD,
                at_c=st.one_of(st.none(), st.floats(-60, 350)),
                discard_water=st.booleans(),
                water_treated=st.one_of(st.none(), st.booleans()),
            ),
            max_size=3,
        )
    )
    used = sorted({line.bag for line in lines if line.bag})
    bags = [
        draw(
            st.builds(
                Bag,
                name=st.just(name),
                packing=st.sampled_from(get_args(Packing)),
                kept=st.sampled_from(["ambient", "cold"]),
                tare_g=st.one_of(st.none(), st.floats(0, 10_000)),
            )
        )
        for name in used
        if draw(st.booleans())
    ]
    return Recipe(
        title=draw(NAMES),
        serves=draw(st.integers(1, 10_000)),
        lines=tuple(lines),
        steps=tuple(steps),
        bags=tuple(bags),
        meals=tuple(draw(st.lists(ODD, max_size=2))),
        tags=tuple(draw(st.lists(ODD, max_size=2))),
        about=draw(ODD),
        origin=draw(ODD),
        system=draw(st.sampled_from(SYSTEMS)),
        hold_minutes=draw(st.one_of(st.none(), FLOATS)),
        air_c=draw(st.one_of(st.none(), FLOATS)),
    )


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("documents") / "dish.toml"


@given(recipe=recipes())
def test_value_to_text_to_value_loses_nothing(file: Path, recipe: Recipe) -> None:
    file.write_bytes(recipe_text(recipe).encode("utf-8"))
    assert read_recipe(file).recipe == recipe


@given(recipe=recipes())
def test_the_text_is_the_same_again(recipe: Recipe, file: Path) -> None:
    text = recipe_text(recipe)
    file.write_bytes(text.encode("utf-8"))
    assert recipe_text(read_recipe(file).recipe) == text


@given(recipe=recipes())
def test_what_is_ordinary_is_not_written(recipe: Recipe) -> None:
    plain = tomllib.loads(recipe_text(recipe))
    assert plain["title"] == recipe.title
    assert plain["serves"] == recipe.serves
    assert ("step" in plain) == bool(recipe.steps)
    for line in plain["line"]:
        assert None not in line.values()
        assert line.get("optional") is not False


PLAIN = '[[line]]\nfood = "bulgur"\namount = "90 g"\n'

# (name, text, code, where without the folder, a word that 'what' or 'mend' must hold)
BAD = [
    ("not TOML", 'title = "x"\nserves = = 1\n' + PLAIN, "not-toml", ":2", "column"),
    ("a quote left open", 'title = "x\n' + PLAIN, "not-toml", ":1", "column"),
    ("a key twice", 'title = "x"\ntitle = "y"\n' + PLAIN, "not-toml", ":2", "overwrite"),
    ("empty", "", "wrong-shape", ":1", "title"),
    ("no title", PLAIN, "wrong-shape", ":1", "title"),
    ("an empty title", 'title = " "\n' + PLAIN, "no-title", ":1 > title", "title"),
    ("no line", 'title = "x"\n', "empty-recipe", ":1 > title", "[[line]]"),
    ("unknown key", 'title = "x"\nportions = 2\n' + PLAIN, "wrong-shape", ":2 > portions",
     "portions"),
    ("unknown key in a line", 'title = "x"\n' + PLAIN + 'weight = "2"\n', "wrong-shape",
     ":5 > line[0].weight", "weight"),
    ("wrong type", 'title = "x"\nserves = "two"\n' + PLAIN, "wrong-shape", ":2 > serves", "int"),
    ("half an eater", 'title = "x"\nserves = 1.5\n' + PLAIN, "wrong-shape", ":2 > serves", "int"),
    ("a number for an amount", 'title = "x"\n[[line]]\nfood = "bulgur"\namount = 90\n',
     "wrong-shape", ":4 > line[0].amount", "str"),
    ("no food", 'title = "x"\n' + PLAIN + '[[line]]\namount = "9 g"\n', "wrong-shape",
     ":5 > line[1]", "food"),
    ("[line] for [[line]]", 'title = "x"\n[line]\nfood = "bulgur"\namount = "9 g"\n',
     "wrong-shape", ":2 > line", "array"),
    ("unknown act", 'title = "x"\n' + PLAIN + '[[step]]\nact = "stew"\n', "wrong-shape",
     ":6 > step[0].act", "stew"),
    ("unknown system", 'title = "x"\nsystem = "roman"\n' + PLAIN, "wrong-shape", ":2 > system",
     "roman"),
    ("nobody eats", 'title = "x"\nserves = 0\n' + PLAIN, "serves-out-of-range", ":2 > serves", "1"),
    ("too many eat", 'title = "x"\nserves = 10001\n' + PLAIN, "serves-out-of-range", ":2 > serves",
     "10000"),
    ("negative amount", 'title = "x"\n[[line]]\nfood = "bulgur"\namount = "-90 g"\n',
     "amount-negative", ":4 > line[0].amount > column 1", "sign"),
    ("absurd amount", 'title = "x"\n[[line]]\nfood = "bulgur"\namount = "90000 kg"\n',
     "amount-absurd", ":4 > line[0].amount > column 7", "kitchen"),
    ("no amount", 'title = "x"\n[[line]]\nfood = "bulgur"\namount = ""\n', "amount-empty",
     ":4 > line[0].amount > column 1", "90 g"),
    ("unknown unit", 'title = "x"\n[[line]]\nfood = "bulgur"\namount = "3 glorps"\n',
     "unknown-unit", ":4 > line[0].amount > column 3", "glorps"),
    ("unknown unit of water", 'title = "x"\n' + PLAIN + '[[step]]\nact = "soak"\nwater = "3 gl"\n',
     "unknown-unit", ":7 > step[0].water > column 3", "gl"),
    ("minutes without end", 'title = "x"\n' + PLAIN + '[[step]]\nact = "soak"\nminutes = inf\n',
     "minutes-out-of-range", ":7 > step[0].minutes", "100000"),
    ("minutes that are no number", 'title = "x"\n' + PLAIN
     + '[[step]]\nact = "soak"\nminutes = nan\n', "minutes-out-of-range", ":7 > step[0].minutes",
     "nan"),
    ("negative hold", 'title = "x"\nhold_minutes = -1.0\n' + PLAIN, "minutes-out-of-range",
     ":2 > hold_minutes", "-1"),
    ("air in kelvin", 'title = "x"\nair_c = 293.0\n' + PLAIN, "temperature-out-of-range",
     ":2 > air_c", "Celsius"),
    ("hot as lead", 'title = "x"\n' + PLAIN + '[[step]]\nact = "boil"\nat_c = 1000.0\n',
     "temperature-out-of-range", ":7 > step[0].at_c", "Celsius"),
    ("an exponent of 400", 'title = "x"\n' + PLAIN + "scale_exponent = 400.0\n",
     "exponent-out-of-range", ":5 > line[0].scale_exponent", "400"),
    ("an exponent that is no number", 'title = "x"\n' + PLAIN + "scale_exponent = nan\n",
     "exponent-out-of-range", ":5 > line[0].scale_exponent", "nan"),
    ("a bag of no line", 'title = "x"\n' + PLAIN + '[[bag]]\nname = "cold"\nkept = "cold"\n',
     "unknown-bag", ":6 > bag[0].name", "cold"),
    ("a bag twice", 'title = "x"\n' + PLAIN + 'bag = "a"\n' + '[[bag]]\nname = "a"\n' * 2,
     "bag-twice", ":9 > bag[1].name", "twice"),
    ("a negative tare", 'title = "x"\n' + PLAIN + 'bag = "a"\n[[bag]]\nname = "a"\ntare_g = -1.0\n',
     "tare-out-of-range", ":8 > bag[0].tare_g", "-1"),
    ("deep as a well", "title = " + "[" * 5000, "not-toml", "", "nested"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "code", "where", "word"), [case[1:] for case in BAD], ids=[case[0] for case in BAD]
)
def test_a_slip_is_told_with_its_line_and_a_remedy(
    tmp_path: Path, text: str, code: str, where: str, word: str
) -> None:
    path = tmp_path / "dish.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Mistake) as caught:
        read_recipe(path)
    mistake = caught.value
    assert (mistake.code, mistake.where) == (code, f"{path}{where}")
    assert word in f"{mistake.what} {mistake.mend}"
    assert mistake.mend
    assert not isinstance(mistake, Mistakes)


def test_all_slips_of_a_document_are_told_together(tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    text = 'title = "x"\nserves = 0\n[[line]]\nfood = "bulgur"\namount = "-1 g"\n'
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Mistakes) as caught:
        read_recipe(path)
    assert [m.code for m in caught.value.each] == ["serves-out-of-range", "amount-negative"]
    assert str(caught.value).count("mend: ") == 2


# Slips that show only when the foods are at hand.
UNFIT = [
    ("unknown food", 'food = "walnuts"\namount = "30 g"', "unknown-food", ":3 > line[0].food"),
    (
        "no such measure",
        'food = "garlic"\namount = "2 slices"',
        "no-measure",
        ":4 > line[0].amount",
    ),
]


@pytest.mark.parametrize(("line", "code", "where"), [case[1:] for case in UNFIT])
def test_a_slip_about_a_food_is_placed_in_the_file(
    tmp_path: Path, line: str, code: str, where: str
) -> None:
    path = tmp_path / "dish.toml"
    path.write_text(f'title = "x"\n[[line]]\n{line}\n', encoding="utf-8")
    document = read_recipe(path)
    with pytest.raises(Mistake) as caught:
        make_sheet(document.recipe, PANTRY)
    placed = document.placed(caught.value)
    assert (placed.code, placed.where) == (code, f"{path}{where}")


def test_an_unknown_bag_of_a_step_is_placed_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    text = f'title = "x"\n{PLAIN}[[step]]\nact = "mix"\nbags = ["jar"]\n'
    path.write_text(text, encoding="utf-8")
    document = read_recipe(path)
    with pytest.raises(Mistake) as caught:
        make_sheet(document.recipe, PANTRY)
    assert document.placed(caught.value).where == f"{path}:7 > step[0].bags"


def test_a_document_written_on_windows_reads_alike(tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    path.write_bytes(b"\xef\xbb\xbf" + f'title = "x"\n{PLAIN}'.replace("\n", "\r\n").encode())
    assert read_recipe(path).recipe.lines == (Line(food="bulgur", amount="90 g"),)
