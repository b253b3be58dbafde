"""The published JSON-LD, seen by an independent reader and against the vocabulary.

* rdflib parses it into triples (with a local context in place of the remote one: no test
  goes to the network).
* Property names: ``tests/reference/files-schema-org-recipe.csv``, and rdflib's own copy of
  the vocabulary's names.
* Durations: ISO 8601 by the grammar of XML Schema part 2, section 3.2.6, which is a subset,
  and by rdflib's reader of it.
"""

from __future__ import annotations

import csv
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import rdflib
from msgspec.structs import replace
from rdflib.namespace import RDF, SDO, XSD

import fellfare.files
from fellfare.files.jsonld import read_jsonld
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.publish import Measures, json_ld, tell
from fellfare.files.publish.diets import diets, keywords
from fellfare.files.recipe_toml import read_recipe, recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.food import Allergens
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.sheet import Sheet, make_sheet
from fellfare.safety import check
from fellfare.safety.dish import case_of_dish

PATHS = sorted((Path(fellfare.files.__file__).parent / "demo" / "recipes").glob("*.toml"))
each = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
REFERENCE = Path(__file__).parents[1] / "reference" / "files-schema-org-recipe.csv"
#: XML Schema part 2, 3.2.6: PnYnMnDTnHnMnS, at least one part, T only before a time.
DURATION = re.compile(r"P(?=\d|T\d)(\d+Y)?(\d+M)?(\d+D)?(T(?=\d)(\d+H)?(\d+M)?(\d+(\.\d+)?S)?)?")
NUTRIENTS = {
    "calories": ("energy_kcal", "kcal"), "proteinContent": ("protein_g", "g"),
    "fatContent": ("fat_g", "g"), "saturatedFatContent": ("saturated_g", "g"),
    "carbohydrateContent": ("carbohydrate_g", "g"), "fiberContent": ("fibre_g", "g"),
    "sugarContent": ("sugars_g", "g"), "sodiumContent": ("sodium_mg", "mg"),
}  # fmt: skip


@cache
def pantry() -> Pantry:
    return shipped_pantry().with_foods(read_own_foods(own_food_folders(PATHS[0]))[0])


@cache
def sheet(path: Path, eaters: int = 0) -> Sheet:
    return make_sheet(read_recipe(path).recipe, pantry(), eaters or None)


def published(source: Sheet, measures: Measures = "both", **more: str) -> str:
    said = tell(source, check(case_of_dish(source, pantry())), pantry(), measures)
    return json_ld(source, said, pantry(), **more)


def dish(*lines: Line, **more: Any) -> Sheet:
    values: dict[str, Any] = {"title": "Dish", "serves": 1} | more
    return make_sheet(Recipe(lines=lines, **values), pantry())


def graph(text: str) -> rdflib.Graph:
    data = json.loads(text)
    assert data["@context"] == "https://schema.org"
    data["@context"] = {"@vocab": "https://schema.org/"}
    return rdflib.Graph().parse(data=json.dumps(data), format="json-ld")


@cache
def allowed() -> dict[str, set[str]]:
    rows = [line for line in REFERENCE.read_text("utf-8").splitlines() if line[:1] != "#"]
    table: dict[str, set[str]] = {}
    for row in csv.DictReader(rows):
        table.setdefault(row["type"], set()).add(row["property"])
    return table


def nodes(value: Any) -> list[dict[str, Any]]:
    if isinstance(value, list):
        return [node for one in value for node in nodes(one)]
    if isinstance(value, dict):
        return [value, *(node for one in value.values() for node in nodes(one))]
    return []


# ------------------------------------------------------------------ the vocabulary


@each
def test_every_property_stands_in_the_vocabulary_of_its_type(path: Path) -> None:
    data = json.loads(published(sheet(path), author="A. Walker", published="2031-05-01"))
    for node in nodes(data):
        own = {key for key in node if not key.startswith("@")}
        assert own <= allowed()[node["@type"]]


@each
def test_every_name_stands_in_rdflibs_copy_of_the_vocabulary(path: Path) -> None:
    names = set(SDO.__annotations__)
    for node in nodes(json.loads(published(sheet(path)))):
        assert node["@type"] in names
        assert {key for key in node if not key.startswith("@")} <= names
        assert {diet.rpartition("/")[2] for diet in node.get("suitableForDiet", [])} <= names


def test_the_reference_list_itself_stands_in_rdflibs_copy() -> None:
    names = set(SDO.__annotations__)
    for kind, properties in allowed().items():
        assert kind in names
        assert properties <= names


# ------------------------------------------------------------------ an independent reader


# rdflib's own JSON-LD reader uses a class that rdflib is giving up.
@pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated:DeprecationWarning")
@each
def test_rdflib_finds_the_recipe_and_its_parts(path: Path) -> None:
    source = sheet(path)
    found = graph(published(source))
    (recipe,) = found.subjects(RDF.type, SDO.Recipe)
    assert str(found.value(recipe, SDO.name)) == source.recipe.title
    assert str(found.value(recipe, SDO.recipeYield)).startswith(str(source.eaters))
    texts = {str(one) for one in found.objects(recipe, SDO.recipeIngredient)}
    data = json.loads(published(source))
    assert texts == set(data["recipeIngredient"])
    assert len(data["recipeIngredient"]) == len(source.lines)
    steps = list(found.subjects(RDF.type, SDO.HowToStep))
    assert len(steps) == len(source.steps)
    positions = {int(str(found.value(step, SDO.position))) for step in steps}
    assert positions == set(range(1, len(source.steps) + 1))
    assert all(found.value(step, SDO.text) for step in steps)
    sections = list(found.objects(recipe, SDO.recipeInstructions))
    names = {str(found.value(section, SDO.name)) for section in sections}
    places = {step.where for step in source.steps}
    assert ("At home" in names) == ("home" in places)
    assert ("In camp" in names) == ("camp" in places)
    tips = {str(found.value(tip, SDO.text)) for tip in found.subjects(RDF.type, SDO.HowToTip)}
    for finding in check(case_of_dish(source, pantry())):
        if finding.severity != "note":
            assert any(" ".join(finding.text.split())[-40:] in tip for tip in tips)
    assert any(tip.startswith("Allergens. Contains:") for tip in tips)
    for bag in source.bags:
        if bag.name:
            assert sum(tip.startswith(f'Bag "{bag.name}":') for tip in tips) == 2
    assert [tip for tip in tips if len(tip.split()) < 2] == []


# ------------------------------------------------------------------ durations


@each
def test_durations_are_iso_8601_and_those_of_the_steps(path: Path) -> None:
    source = sheet(path)
    data = json.loads(published(source))
    minutes = {}
    for key in ("prepTime", "cookTime", "totalTime"):
        if key in data:
            assert DURATION.fullmatch(data[key])
            value = rdflib.Literal(data[key], datatype=XSD.duration).toPython()
            minutes[key] = value.total_seconds() / 60
    camp = [step for step in source.steps if step.where == "camp"]
    known = [step.most_minutes or step.minutes for step in camp if step.minutes is not None]
    if "cookTime" in minutes:
        assert minutes["cookTime"] == pytest.approx(sum(map(float, known)), abs=1 / 60)
    home = [step.minutes for step in source.steps if step.where == "home"]
    if None in home:
        assert "prepTime" not in data
        assert "totalTime" not in data
    if {"prepTime", "cookTime"} <= minutes.keys():
        assert minutes["totalTime"] == minutes["prepTime"] + minutes["cookTime"]


def test_a_step_of_unknown_time_leaves_the_duration_out() -> None:
    line = Line(food="sumac", amount="80 g", bag="pot")
    steps = (Step(act="soak", bags=("pot",), water="100 ml"), Step(act="rest", minutes=5))
    data = json.loads(published(dish(line, steps=steps)))
    assert "cookTime" not in data
    assert "totalTime" not in data


# ------------------------------------------------------------------ nutrition


@each
def test_nutrition_is_the_sheets_or_absent(path: Path) -> None:
    source = sheet(path)
    nutrition = json.loads(published(source))["nutrition"]
    for key, (nutrient, unit) in NUTRIENTS.items():
        total = source.total(nutrient)
        if total.unknown:
            assert key not in nutrition
            continue
        number, told_unit = nutrition[key].split(" ")
        assert told_unit == unit
        half = 0.5 if unit in ("kcal", "mg") else 0.05
        assert float(number) == pytest.approx(total.value / source.eaters, abs=half + 1e-9)


def test_an_unknown_nutrient_is_no_zero_but_a_word() -> None:
    data = json.loads(published(dish(Line(food="sumac", amount="5 g"))))
    assert not NUTRIENTS.keys() & data["nutrition"].keys()
    assert "not known" in data["nutrition"]["description"]
    assert data["nutrition"]["servingSize"] == "5 g (0.18 oz)"


# ------------------------------------------------------------------ claims


@pytest.mark.parametrize(
    ("tags", "foods", "expected"),
    [
        (("vegan",), ("bulgur", "olive-oil"), ("VeganDiet", "VegetarianDiet")),
        (("vegetarian",), ("bulgur", "cheddar"), ("VegetarianDiet",)),
        ((), ("bulgur",), ()),  # nobody claims it
        (("vegan",), ("bulgur", "honey"), ("VegetarianDiet",)),
        (("vegan",), ("bulgur", "milk-powder-whole"), ("VegetarianDiet",)),
        (("vegetarian",), ("bulgur", "beef-stock-powder"), ()),
        (("vegetarian",), ("bulgur", "parmesan"), ()),  # animal rennet
        (("vegetarian",), ("bulgur", "gelatin"), ()),
        (("vegetarian",), ("bulgur", "worcestershire-sauce"), ()),
        (("vegan",), ("bulgur", "brown-gravy-mix"), ()),  # an open mix: unknown
        (("vegan",), ("coconut-milk-powder", "peanut-butter"), None),
        (("gluten-free", "diabetic", "low-salt", "halal"), ("rice-instant",), ()),
    ],
)
def test_a_diet_is_named_only_when_claimed_and_not_denied(
    tags: tuple[str, ...], foods: tuple[str, ...], expected: tuple[str, ...] | None
) -> None:
    source = dish(*(Line(food=food, amount="20 g") for food in foods), tags=tags)
    found = diets(source)
    assert set(found) <= {"VeganDiet", "VegetarianDiet"}
    if expected is None:  # coconut 'milk' is none, but what a label hides may be
        assert "VegetarianDiet" in found
    else:
        assert found == expected


def test_a_mix_whose_parts_nobody_knows_denies_every_diet() -> None:
    mix = replace(pantry().food("cumin"), id="mix", allergens=Allergens(open_mix=True))
    recipe = Recipe(
        title="Dish", serves=1, lines=(Line(food="mix", amount="5 g"),), tags=("vegan",)
    )
    assert diets(make_sheet(recipe, pantry().with_foods((mix,)))) == ()


def test_no_keyword_promises_absence_or_a_denied_diet() -> None:
    tags = ("nut-free-as-written", "gluten free", "vegan", "smoky", "smoky", "a, b")
    source = dish(Line(food="honey", amount="20 g"), tags=tags)
    assert keywords(source) == ("smoky", "a b")


@each
def test_nothing_is_invented(path: Path) -> None:
    data = json.loads(published(sheet(path)))
    assert not {"author", "datePublished", "image", "aggregateRating"} & data.keys()


def test_author_and_date_come_from_the_caller() -> None:
    source = sheet(PATHS[0])
    data = json.loads(published(source, author="A. Walker", published="2031-05-01"))
    assert data["author"] == {"@type": "Person", "name": "A. Walker"}
    assert data["datePublished"] == "2031-05-01"
    with pytest.raises(Mistake, match="no date") as caught:
        published(source, published="soon")
    assert caught.value.code == "bad-date"


# ------------------------------------------------------------------ inside a page


def test_the_authors_words_cannot_leave_the_script_element() -> None:
    words = "</script><script>alert(1)</script><!-- & ]]>"
    source = dish(Line(food="bulgur", amount="80 g", note=words), title=words, about=words)
    text = published(source)
    assert not set("<>&") & set(text)
    page = f'<html><script type="application/ld+json">{text}</script></html>'
    assert json.loads(text)["name"] == words
    assert read_jsonld(page, pantry()).pasted.recipe.lines[0].food == "bulgur"


# ------------------------------------------------------------------ and back


@each
@pytest.mark.parametrize("measures", ["both", "metric", "us"])
def test_what_is_published_reads_back_as_the_same_dish(path: Path, measures: Measures) -> None:
    source = sheet(path, 2)
    page = read_jsonld(published(source, measures), pantry())
    assert [str(line.mistake) for line in page.pasted.refused] == []
    back = make_sheet(page.pasted.recipe, pantry())
    assert back.recipe.title == source.recipe.title
    assert back.eaters == 2
    assert back.recipe.meals == source.recipe.meals
    assert back.recipe.origin == source.recipe.origin
    assert page.pasted.findings == ()  # our own roundings are no slips
    assert sorted(line.food.id for line in back.lines) == sorted(
        line.food.id for line in source.lines
    )
    # Half of the last printed figure of each line: 0.05 g below 10 g, else 0.5 g; in ounces
    # half of 0.01 below one, else of 0.1.
    steps = {"us": (0.995 * 28.35, 0.142, 1.42)}.get(measures, (9.95, 0.05, 0.5))
    slack = sum(steps[1 if (line.mass_g or 0) < steps[0] else 2] for line in source.lines)
    assert back.mass.value == pytest.approx(source.mass.value, abs=slack)
    for step, again in zip(source.steps, back.steps, strict=True):
        assert again.act == step.act
        assert again.where == step.where
        assert sorted(again.foods) == sorted(step.foods)
        assert again.minutes == (step.most_minutes or step.minutes)
        if step.act != "steep":  # what boils needs no treating
            assert again.step.water_treated == step.step.water_treated
        if step.water_ml is not None:
            # To 5 ml, as printed; or to 3 % in cups.
            near = {"us": max(2.5, 0.03 * step.water_ml)}.get(measures, 2.5)
            assert again.water_ml == pytest.approx(step.water_ml, abs=near)
    document = recipe_text(page.pasted.recipe)  # and can be written as a document
    assert document.startswith("title = ")


@each
def test_all_that_is_left_behind_is_named(path: Path) -> None:
    text = published(sheet(path))
    left = {one.what.partition(" (")[0] for one in read_jsonld(text, pantry()).unread}
    assert {"nutrition", "HowToTip", "HowToStep.text"} <= left
    for key in ("keywords", "suitableForDiet", "cookingMethod"):
        assert (key in json.loads(text)) == (key in left)
    assert "creditText" not in left
