"""A food of one's own through the form: what is printed goes in, what is not stays unknown."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.files.demo_documents import demo_documents

Client = TestClient[Litestar]

# An invented label; its energy is 4 × 9 + 9 × 20 + 4 × 55 = 436 kcal, printed as 440.
LABEL = {
    "name": "oat bar with raisins", "group": "sweet", "form": "solid", "style": "us",
    "per_g": "100", "energy_kcal": "440", "fat_g": "20", "carbohydrate_g": "55", "protein_g": "9",
    "read": "yes", "contains": ["oats", "milk"], "ways": ["dry"],
    "measure-0-unit": "piece", "measure-0-mass_g": "45",
}  # fmt: skip


def fault_beside(text: str, field: str) -> str:
    found = re.search(rf'id="{re.escape(field)}-fault">(.*?)</div>', text, re.S)
    return "" if found is None else re.sub(r"\s+", " ", re.sub("<[^>]+>", "", found[1])).strip()


def test_a_label_becomes_a_food_that_lines_may_name(client: Client, book: Book, post: Any) -> None:
    answer = post.form("/foods/new", LABEL)
    assert answer.status_code == 303
    (document,) = book.all("food")
    keys = tomllib.loads(document.text)
    assert keys["label"] == {
        "style": "us", "per_g": 100, "energy_kcal": 440, "fat_g": 20, "carbohydrate_g": 55,
        "protein_g": 9,
    }  # fmt: skip
    assert keys["contains"] == ["oats", "milk"]
    assert keys["measure"] == [{"unit": "piece", "mass_g": 45}]
    page = client.get("/foods/oat-bar-with-raisins").text
    assert "440 kcal" in page
    assert page.count("unknown") >= 8  # sugars, fibre, sodium, … nobody has told
    figures = client.post(
        "/recipes/figures",
        data={"_csrf_token": post.token, "line-0-food": "oat bar with raisins",
              "line-0-amount": "2 pieces"},
    )  # fmt: skip
    assert "90 g" in figures.text


def test_an_allergen_line_that_nobody_has_read_leaves_all_unknown(
    client: Client, book: Book, post: Any
) -> None:
    post.form("/foods/new", LABEL | {"read": "", "contains": []})
    (document,) = book.all("food")
    assert "contains" not in tomllib.loads(document.text)
    assert "every other allergen is unknown" in client.get("/foods/oat-bar-with-raisins").text


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("fat_g", "much", "is no number"),
        ("fat_g", "120", "fat"),
        ("energy_kcal", "nan", "is no number"),
        ("per_g", "0", "belong to 0 g"),
        ("name", "", "no name"),
        ("measure-0-unit", "furlong", "no measure"),
        ("measure-0-mass_g", "-3", "mass_g"),
        ("keeps_least", "-1", "keeps_days"),
        ("bulk_density_g_per_ml", "9", "bulk_density"),
    ],
)
def test_a_wrong_value_is_told_beside_its_field_and_the_rest_is_kept(
    client: Client, book: Book, post: Any, field: str, value: str, said: str
) -> None:
    answer = post.form("/foods/new", LABEL | {field: value})
    assert answer.status_code == 422
    assert said in fault_beside(answer.text, field), fault_beside(answer.text, field)
    assert 'value="55"' in answer.text  # the carbohydrate that was typed
    if value:
        assert f'value="{value}"' in answer.text
    assert book.names("food") == ()


@pytest.mark.parametrize("name", ["moor-oat-bar", "kettle-coconut-powder"])
def test_opening_and_keeping_a_label_changes_nothing_in_it(
    client: Client, book: Book, post: Any, name: str
) -> None:
    text = next(text for path, text in demo_documents() if path == f"foods/{name}.toml")
    book.save("food", name, text, None)
    form = client.get(f"/foods/own/{name}/edit").text
    fields: dict[str, Any] = {}
    for tag in re.findall(r"<input[^>]*>", form):
        told = dict(re.findall(r'(\w[\w-]*)="([^"]*)"', tag))
        if told.get("type") in ("checkbox", "radio"):
            if "checked" in tag:
                fields.setdefault(told["name"], []).append(told["value"])
        elif told.get("name") not in (None, "_csrf_token", "back", "units"):
            fields[told["name"]] = told.get("value", "")
    for select, options in re.findall(
        r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.S
    ):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields[select] = chosen[1] if chosen else ""
    answer = post.form(f"/foods/own/{name}/edit", fields)
    assert answer.status_code == 303, answer.text
    before, after = tomllib.loads(text), tomllib.loads(book.get("food", name).text)
    for keys in (before, after):  # the order of a list of ticks says nothing
        keys["may_contain"] = sorted(keys.get("may_contain", ()))
    assert after == before


def test_a_food_that_cannot_be_read_is_left_out_and_told(client: Client, book: Book) -> None:
    book.save("food", "odd", 'id = "odd"\nname = "odd"\n', None)
    assert "cannot be read and is left out" in client.get("/foods").text
    assert client.get("/foods/own/odd/edit").status_code == 200


def test_an_own_food_in_place_of_a_shipped_one_says_so(client: Client, book: Book) -> None:
    text = 'id = "walnut"\nname = "my walnuts"\ncontains = ["walnut"]\n[label]\nstyle = "eu"\n'
    book.save("food", "walnut", text + "energy_kcal = 650\n", None)
    assert "stands in place of the shipped one" in client.get("/foods/walnut").text


def test_a_food_is_changed_under_the_name_of_its_document(
    client: Client, book: Book, post: Any
) -> None:
    text = 'id = "bar"\nname = "bar"\n[label]\nstyle = "eu"\nenergy_kcal = 400\n'
    book.save("food", "brought from elsewhere", text, None)
    book.save("food", "the same again", text, None)
    page = client.get("/foods/own").text
    assert "/foods/own/brought%20from%20elsewhere/edit" in page
    assert "is taken by" in page  # the second of one id is left out, and told
    answer = post.form(
        "/foods/own/brought from elsewhere/edit",
        {"name": "bar", "style": "eu", "energy_kcal": "420", "based_on": "1"},
    )
    assert answer.status_code == 303
    shown = client.get(answer.headers["location"])
    assert "420 kcal" in shown.text
    assert 'action="/book/food/brought%20from%20elsewhere/undo"' in shown.text


def test_a_piece_without_its_grams_is_told(book: Book, post: Any) -> None:
    answer = post.form("/foods/new", LABEL | {"measure-1-unit": "slice"})
    assert answer.status_code == 422
    assert "no mass is given" in fault_beside(answer.text, "measure-1-mass_g")
    answer = post.form("/foods/new", LABEL | {"soak-0-way": "cold-soak"})
    assert "no minutes are given" in fault_beside(answer.text, "soak-0-minutes")
    assert book.names("food") == ()
