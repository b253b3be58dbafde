"""The composer in the browser: asked by a form, run outside the request, made into recipes."""

from __future__ import annotations

import re
from collections import OrderedDict
from html import unescape
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.files.composition_toml import composition_text
from fellfare.files.demo_documents import demo_documents
from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.composing.hindering import told_of
from fellfare.recipe.composing.question import FIGURES, Aim, Composition, Limit, Part
from fellfare.recipe.composing.sweeping import compose
from fellfare.web.documents import composition_of, recipe_of
from fellfare.web.pages.compose.form import FIGURE_WORDS, composition_from, form_from, form_of
from fellfare.web.work import composing
from fellfare.web.work.composing import about, ask, read_found
from fellfare.web.work.worker import at_rest

Client = TestClient[Litestar]

POTS = """\
title = "Small pots"
way = "hot-pour"
meals = ["dinner"]
aims = ["more energy_kcal_per_100g", "more protein_g"]
[price]
couscous = 3.2
[[part]]
name = "starch"
foods = ["couscous", "rice-noodles"]
amounts = ["60 g", "80 g"]
[[part]]
name = "sauce"
foods = ["tomato-powder", "coconut-milk-powder"]
amounts = ["10 g"]
[[part]]
name = "finish"
foods = ["cashew-roasted"]
amounts = ["20 g"]
optional = true
at_the_end = true
[[pairing]]
food = "coconut-milk-powder"
never_with = ["couscous"]
[[limit]]
figure = "mass_g"
most = 120
"""


def words(answer: Any) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.text)))


def fields_of(asked: Composition) -> dict[str, Any]:
    """A form as a browser sends it."""
    form = form_of(asked)
    sent: dict[str, Any] = {key: value for key, value in form.values.items() if value}
    sent |= {key: list(value) for key, value in form.ticked.items() if value}
    return sent


DEMO = [(name, text) for name, text in demo_documents() if name.startswith("compositions/")]


@pytest.mark.parametrize("text", [POTS, *(text for _, text in DEMO)])
def test_document_to_form_to_document_loses_nothing(text: str) -> None:
    asked = composition_of(text).asked
    made, faults, _ = composition_from(form_from(fields_of(asked)))
    assert faults == {}
    assert made == asked
    assert composition_of(composition_text(made)).asked == asked


@given(
    figure=st.sampled_from(FIGURES),
    step=st.none() | st.floats(0, 1e6),
    least=st.floats(-1e6, 1e6),
)
def test_any_aim_and_limit_is_written_and_read(
    figure: str, step: float | None, least: float
) -> None:
    asked = Composition(
        title='A "title"\\',
        parts=(Part(name="all", foods=("couscous",), amounts=("60 g",)),),
        aims=(Aim(figure=figure, better="less", step=step),),
        limits=(Limit(figure="mass_g", least=least),),
    )
    assert composition_of(composition_text(asked)).asked == asked


@pytest.fixture
def pots(client: Client, book: Book) -> Client:
    """A client before a small composition."""
    book.save("composition", "small-pots", POTS, None)
    return client


def found(client: Client, book: Book, post: Any) -> str:
    """The page after a run."""
    answer = post.form("/compose/small-pots/run", {"seconds": "short"})
    assert answer.status_code == 303
    assert at_rest(book, 20)
    return client.get("/compose/small-pots?units=metric").text


def test_an_empty_book_teaches_what_a_composition_is(client: Client) -> None:
    assert "No composition yet" in words(client.get("/compose"))


def test_the_page_says_what_is_asked_and_how_many_there_are(pots: Client) -> None:
    said = words(pots.get("/compose/small-pots"))
    assert "8 combinations" not in said
    assert "16 combinations" in said  # 4 starches, 2 sauces, cashews or none
    assert "coconut milk powder never with couscous" in said
    assert "mass, g at most 120" in said
    assert "Go through all of them" in said
    assert "Small pots" in words(pots.get("/compose"))


def test_a_run_finds_what_the_composer_finds(pots: Client, book: Book, post: Any) -> None:
    text = found(pots, book, post)
    best = compose(composition_of(POTS).asked, shipped_pantry())
    assert f"{best.fitting} keep every limit" in text
    (job,) = book.jobs.all(about=about("small-pots"))
    told = read_found(job.result)
    assert told is not None
    assert told.front == tuple(dish.number for dish in best.dishes)
    assert not told.stopped
    numbers = [int(one) for one in re.findall(r'name="number" value="(\d+)"', text)]
    assert set(told.front) <= set(numbers)
    assert 'role="img"' in text
    assert "no rule of hygiene has been asked yet" in text


def test_where_nothing_keeps_every_limit_the_page_says_which_is_in_the_way(
    client: Client, book: Book, post: Any
) -> None:
    text = POTS + '[[limit]]\nfigure = "protein_g"\nleast = 60\n'
    book.save("composition", "small-pots", text, None)
    said = re.sub(r"<[^>]+>", " ", found(client, book, post))
    assert "Nothing keeps every limit" in said
    why = compose(composition_of(text).asked, shipped_pantry()).hindered
    assert why is not None
    (told,) = told_of(why, FIGURE_WORDS)
    assert told.startswith("protein, g at least 60: the most that any dish reaches is")
    assert told[1:] in said
    assert "Mass, g at most" not in said.partition("Nothing keeps every limit")[2]


def test_a_long_front_is_paged_and_nothing_of_it_is_cut(
    pots: Client, book: Book, post: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(composing, "PER_PAGE", 2)
    monkeypatch.setattr(composing, "_shown", OrderedDict())  # nothing of longer pages is at hand
    found(pots, book, post)
    (job,) = book.jobs.all(about=about("small-pots"))
    told = read_found(job.result)
    assert told is not None
    many = len(told.front)
    assert many > 2
    pages = -(-many // 2)
    seen: list[int] = []
    for number in range(1, pages + 1):
        answer = pots.get(f"/compose/small-pots?front={number}")
        last = min(2 * number, many)
        assert f"The front: {2 * number - 1} to {last} of {many} dishes" in words(answer)
        assert f"page {number} of {pages}" in words(answer)
        table = answer.text.partition('id="front"')[2]
        seen += [int(one) for one in re.findall(r'name="number" value="(\d+)"', table)]
    assert tuple(seen) == told.front
    for beyond in (0, pages + 7, -3):
        assert pots.get(f"/compose/small-pots?front={beyond}").status_code == 200
    assert pots.get("/compose/small-pots?front=x").status_code == 400


def test_a_dish_becomes_a_recipe_of_the_book(pots: Client, book: Book, post: Any) -> None:
    text = found(pots, book, post)
    number, key = (re.search(rf'name="{name}" value="([^"]+)"', text) for name in ("number", "key"))
    assert number is not None
    assert key is not None
    answer = post.form("/compose/small-pots/keep", {"number": number[1], "key": key[1]})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/recipes/")
    (name,) = book.names("recipe")
    recipe = recipe_of(book.get("recipe", name).text)
    assert recipe.origin == "composed"
    assert recipe.meals == ("dinner",)
    assert pots.get(answer.headers["location"]).status_code == 200


def test_what_changed_since_the_run_is_not_shown_as_found(
    pots: Client, book: Book, post: Any
) -> None:
    text = found(pots, book, post)
    key = re.search(r'name="key" value="([^"]+)"', text)
    assert key is not None
    book.save("composition", "small-pots", POTS.replace("80 g", "75 g"), 1)
    said = words(pots.get("/compose/small-pots"))
    assert "does not hold any more" in said
    assert "Make it a recipe" not in said
    late = post.form("/compose/small-pots/keep", {"number": "0", "key": key[1]})
    assert late.status_code == 422
    assert book.names("recipe") == ()


def test_a_sweep_is_stopped_by_its_time_and_by_a_button(
    client: Client, book: Book, post: Any
) -> None:
    ((_, text),) = DEMO
    book.save("composition", "evening", text, None)
    ask(book, "evening", 1, 0.0, "")
    assert at_rest(book, 20)
    (job,) = book.jobs.all(about=about("evening"))
    told = read_found(job.result)
    assert told is not None
    assert told.stopped
    assert 0 < told.seen < told.combinations
    assert "then stopped" in words(client.get("/compose/evening"))
    ask(book, "evening", 1, 300.0, "")
    newest = book.jobs.all(about=about("evening"))[0]
    assert post.form(f"/compose/runs/{newest.id}/stop", {}).status_code == 303
    assert at_rest(book, 20)
    assert book.jobs.get(newest.id).ended
    over = client.get(f"/compose/runs/{newest.id}", headers={"hx-request": "true"})
    assert over.headers["hx-redirect"] == "/compose/evening"


def test_a_composition_is_written_in_the_form(client: Client, book: Book, post: Any) -> None:
    assert "Part 1" in words(client.get("/compose/new"))
    sent = fields_of(composition_of(POTS).asked)
    more = post.form("/compose/new", sent | {"do": "add-part"})
    assert "Part 4" in words(more)
    assert 'value="Small pots"' in more.text
    answer = post.form("/compose/new", sent | {"do": "save"})
    assert answer.headers["location"] == "/compose/small-pots?saved=1"
    assert composition_of(book.get("composition", "small-pots").text).asked == (
        composition_of(POTS).asked
    )
    edit = client.get("/compose/small-pots/edit")
    assert 'value="60 g, 80 g"' in edit.text
    late = sent | {"title": "Others", "do": "save", "based_on": ""}
    assert post.form("/compose/small-pots/edit", late).status_code == 409
    good = post.form("/compose/small-pots/edit", late | {"based_on": "1"})
    assert good.headers["location"] == "/compose/small-pots?saved=2"


def test_a_composition_called_new_is_not_lost_behind_the_form(book: Book, post: Any) -> None:
    sent = fields_of(composition_of(POTS).asked) | {"title": "New", "do": "save"}
    assert post.form("/compose/new", sent).headers["location"] == "/compose/new-pots?saved=1"


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("title", "", "give it a short name"),
        ("part-0-foods", "couscouz", "couscouz"),
        ("part-0-amounts", "a bit", "a bit"),
        ("part-0-picks", "5", "5 different foods are wanted"),
        ("limit-0-most", "heavy", "is no number"),
        ("kind", "pudding", "no part is called"),
    ],
)
def test_a_wrong_value_is_told_beside_its_field(
    client: Client, book: Book, post: Any, field: str, value: str, said: str
) -> None:
    sent = fields_of(composition_of(POTS).asked) | {field: value, "do": "save"}
    answer = post.form("/compose/new", sent)
    assert answer.status_code == 422
    assert said in words(answer)
    assert 'aria-invalid="true"' in answer.text
    assert book.names("composition") == ()
    assert "tomato-powder" in answer.text  # the rest of the form is kept


def test_a_document_that_cannot_be_read_shows_why(client: Client, book: Book) -> None:
    book.save("composition", "bad", 'title = "Bad"\n', None)
    assert "parts are named" in words(client.get("/compose/bad"))
    assert "cannot be read yet" in words(client.get("/compose"))
    assert client.get("/compose/nothing").status_code == 404
