"""Menus through the pages: searched for, shown, changed by hand, taken back, or told why not."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from shutil import copyfile
from typing import Any

import msgspec
import pytest
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book, open_book
from fellfare.menu.pool import Ban
from fellfare.web import Settings, make_app
from fellfare.web.demo import lay_in_demo
from fellfare.web.documents import menu_of
from fellfare.web.work.menus_of import menus_of, next_menu, trip_of_menu
from fellfare.web.work.results import MENU, Wanted, about
from fellfare.web.work.wishes import Wishes, set_ban, wishes_of
from fellfare.web.work.worker import at_rest, wake

Client = TestClient[Litestar]


@pytest.fixture(scope="session")
def solved(tiny: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with the tiny trip and its menu, searched for once."""
    path = tmp_path_factory.mktemp("solved") / "book.fellfare"
    with open_book(path) as book:
        tiny.lay_in(book)
        wanted = Wanted(trip="moor", menu="moor", seconds=10.0)
        book.jobs.add(MENU, msgspec.to_builtins(wanted), about=about("moor"))
        wake(book)
        assert at_rest(book, 30)
    return path


@pytest.fixture
def book(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Book]:
    """An empty book, or a copy of the one with the menu."""
    path = tmp_path / "book.fellfare"
    if "planned_menu" in request.fixturenames:
        copyfile(request.getfixturevalue("solved"), path)
    with open_book(path) as made:
        yield made


@pytest.fixture
def planned_menu(book: Book) -> str:
    """Address of the tiny trip's menu, just found."""
    return f"/menus/moor?job={book.jobs.all()[-1].id}"


def buttons(text: str, what: str) -> list[str]:
    """The values of all buttons that do this."""
    return [unescape(one) for one in re.findall(rf'name="do" value="({what}:[^"]+)"', text)]


def dishes(book: Book, revision: int | None = None) -> list[str]:
    return [plate.dish for plate in menu_of(book.get("menu", "moor", revision).text).plates]


def test_a_menu_is_found_kept_and_shown(
    tiny: Any, client: Client, book: Book, planned_menu: str
) -> None:
    assert planned_menu.startswith("/menus/moor?job=")
    answer = client.get(planned_menu)
    assert answer.status_code == 200
    said = tiny.words(answer)
    assert "The menu is there, and kept as revision 1." in said
    assert "Two days on the moor" in said
    assert "not proven" not in said
    assert "does not keep" not in said
    assert set(dishes(book)) <= set(tiny.RECIPES)
    assert "soaked cold" in said  # how it is made where there is no stove
    for number in (1, 2):
        assert f'id="day-{number}"' in answer.text
    assert "Packs in the morning, day by day" in said
    assert tiny.words(client.get("/menus")).count("Two days on the moor") == 1


def test_the_page_says_the_same_mass_as_the_proof(client: Client, planned_menu: str) -> None:
    data = client.get("/api/menus/moor").json()
    assert data["proof"]["mass_g"] == pytest.approx(data["mass_g"], abs=0.01)
    assert data["proof"]["bound_mass_g"] <= data["mass_g"] + 0.01


def test_what_is_fixed_stays_through_a_new_search(
    tiny: Any, client: Client, book: Book, post: Any, planned_menu: str
) -> None:
    fix = buttons(client.get(planned_menu).text, "fix")[-1]
    answer = post("/menus/moor/change", do=fix)
    assert answer.headers["location"].startswith("/menus/moor?fixed=fix")
    text = client.get("/menus/moor").text
    assert "fixed: " in text
    assert buttons(text, "free")
    there = tiny.ended(client, post("/menus/moor/change", do="near").headers["location"])
    assert "nothing changes" in tiny.words(client.get(there)).casefold()
    post("/menus/moor/change", do=buttons(text, "free")[0])
    assert not buttons(client.get("/menus/moor").text, "free")


def test_a_dish_is_swapped_and_taken_back(
    tiny: Any, client: Client, book: Book, post: Any, planned_menu: str
) -> None:
    before = dishes(book)
    page = client.get(planned_menu).text
    at = unescape(re.findall(r'href="(/menus/moor/other\?at=[^"]+)"', page)[-1])
    others = client.get(at)
    assert others.status_code == 200
    swap = buttons(others.text, "swap")[0]
    where = re.search(r'name="at" value="([^"]+)"', others.text)
    assert where is not None
    answer = post("/menus/moor/change", do=swap, at=unescape(where[1]))
    there = tiny.ended(client, answer.headers["location"])
    after = dishes(book)
    assert swap.removeprefix("swap:") in after
    assert after != before
    said = tiny.words(client.get(there))
    assert "→" in said
    assert " g " in said
    assert "it is fixed there by you" in said
    revision = book.get("menu", "moor").revision
    wished = wishes_of(book, "moor")
    assert len(wished.locks) == len(wished.bans) == 1
    job = there.rpartition("=")[2]
    undone = post("/menus/moor/undo", based_on=str(revision), job=job)
    assert undone.status_code == 303
    assert dishes(book) == before
    assert wishes_of(book, "moor") == Wishes()  # what was said for it goes with it
    said = client.get(undone.headers["location"])
    assert "Redo" in tiny.words(said)
    assert "not proven" not in tiny.words(said)  # the old text, the old proof
    redone = post("/menus/moor/redo", revision=str(revision), job=job)
    assert dishes(book) == after
    assert wishes_of(book, "moor") == wished
    assert "It stands again" in tiny.words(client.get(redone.headers["location"]))
    late = post("/menus/moor/undo", based_on=str(revision), job=job)
    assert late.status_code == 409  # by now another revision is the newest
    assert wishes_of(book, "moor") == wished


def test_a_tick_is_undone_and_done_again(
    tiny: Any, client: Client, book: Book, post: Any, planned_menu: str
) -> None:
    fix = buttons(client.get(planned_menu).text, "fix")[-1]
    for seen in ("Fixed: a new search keeps it there.", "Let go: a new search", "Fixed: a new"):
        answer = client.get(post("/menus/moor/change", do=fix).headers["location"])
        assert seen in tiny.words(answer)
        bar = answer.text.partition('class="pinned"')[2]
        again = re.search(r'name="do" value="([^"]+)"', bar)
        assert again is not None
        fix = unescape(again[1])
    assert len(wishes_of(book, "moor").locks) == 1
    ban = "gone:" + '{"dish":"oatcakes-cheddar"}'
    said = client.get(post("/menus/moor/change", do=ban).headers["location"])
    assert "It stays out of the next search." in tiny.words(said)
    post("/menus/moor/change", do=ban.replace("gone", "back"))
    assert wishes_of(book, "moor").bans == ()


def test_an_undo_of_an_undo(tiny: Any, client: Client, book: Book, post: Any) -> None:
    tiny.lay_in(book)
    book.save("trip", "moor", tiny.TRIP + "# more\n", 1)
    undone = post("/book/trip/moor/undo", based_on="2").headers["location"]
    assert book.get("trip", "moor").text == tiny.TRIP
    page = client.get(undone)
    assert "Undo further" in tiny.words(page)
    redo = re.search(r'name="revision" value="(\d+)"', page.text)
    assert redo is not None
    post("/book/trip/moor/restore", revision=redo[1])
    assert book.get("trip", "moor").text == tiny.TRIP + "# more\n"


def test_wishes_without_a_menu_are_taken_back(
    tiny: Any, client: Client, book: Book, post: Any, planned_menu: str
) -> None:
    before = dishes(book)
    for dish in set(tiny.RECIPES) - {before[0]}:
        set_ban(book, "moor", Ban(dish=dish), True)
    wished = wishes_of(book, "moor")
    out = next(
        one
        for one in buttons(client.get("/menus/moor").text, "out")
        if f'"dish":"{before[0]}"' in one
    )
    address = tiny.ended(client, post("/menus/moor/change", do=out).headers["location"])
    assert "Take back what I last said by hand" in tiny.words(client.get(address))
    back = post(f"{address}/take-back")
    assert "is as it was before" in tiny.words(client.get(back.headers["location"]))
    assert wishes_of(book, "moor") == wished


def test_a_dish_that_nobody_wants_does_not_come(
    tiny: Any, client: Client, book: Book, post: Any, planned_menu: str
) -> None:
    out = buttons(client.get(planned_menu).text, "out")[0]
    name = re.search(r'"dish":"([^"]+)"', out)
    assert name is not None
    assert name[1] in dishes(book)
    tiny.ended(client, post("/menus/moor/change", do=out).headers["location"])
    assert name[1] not in dishes(book)
    assert "Let it come again" in tiny.words(client.get("/menus/moor"))


def test_the_front_is_drawn_and_one_of_it_taken(
    tiny: Any, client: Client, book: Book, post: Any, planned_menu: str
) -> None:
    address = tiny.ended(client, post("/menus/moor/front").headers["location"])
    answer = client.get(address)
    assert "What one more different dinner weighs" in tiny.words(answer)
    points = re.findall(r'name="point" value="(\d+)"', answer.text)
    assert points
    taken = post(f"{address}/take", point=points[-1])
    assert taken.status_code == 303
    assert taken.headers["location"].startswith("/menus/moor?saved=")
    assert client.get(taken.headers["location"]).status_code == 200


def test_why_it_cannot_be_done_and_a_way_out(
    tiny: Any, client: Client, book: Book, post: Any
) -> None:
    tiny.lay_in(book, tiny.TRIP.replace("[rules]", "[rules]\nmost_food_kg = 0.4"))
    address = tiny.ended(client, post("/trips/moor/menu").headers["location"])
    answer = client.get(address)
    said = tiny.words(answer)
    assert "It cannot be done as it is wished" in said
    assert "Food on one back at most (0.4 kg)" in said
    ways = re.findall(r'name="way" value="(\d+)"', answer.text)
    assert ways
    there = tiny.ended(client, post(f"{address}/way", way=ways[0]).headers["location"])
    assert there.startswith("/menus/moor")
    said = tiny.words(client.get(there))
    assert "For it these wishes have given: Food on one back" in said
    assert "does not keep all rules of the trip. Food on one back at most (0.4 kg)" in said


def test_where_nothing_fits_the_reasons_are_told(
    tiny: Any, client: Client, book: Book, post: Any
) -> None:
    tiny.lay_in(book)
    for name in ("couscous-tomato-olive-parmesan", "bulgur-pepper-walnut-sumac",
                 "rice-noodle-sesame-salad"):  # fmt: skip
        book.delete("recipe", name)
    address = tiny.ended(client, post("/trips/moor/menu").headers["location"])
    said = tiny.words(client.get(address))
    assert "dinner" in said
    assert "No menu" in said or "cannot be done" in said


def test_a_menu_of_another_time_is_told_to_be_so(
    tiny: Any, client: Client, book: Book, planned_menu: str
) -> None:
    gone = dishes(book)[0]
    book.delete("recipe", gone)
    said = tiny.words(client.get("/menus/moor"))
    assert "can no longer stand where they stood" in said
    assert gone.replace("-", " ") in said
    book.delete("trip", "moor")
    assert "holds no trip that the menu" in tiny.words(client.get("/menus/moor"))


def test_what_goes_on_ones_own_plate_beside_a_pot_is_shown(client: Client, book: Book) -> None:
    lay_in_demo(book)
    (trip,) = book.names("trip")
    text = book.get("trip", trip).text.replace("[rules]", "[rules]\nadd_at_table = true", 1)
    book.save("trip", trip, text, book.get("trip", trip).revision)
    book.save("menu", trip, POT_AND_PLATE, None)
    said = client.get(f"/menus/{trip}").text
    assert said.count("<h4>at table</h4>") == 1
    assert "Cashews for one's own plate of Turmeric rice" in unescape(said)


#: The pot without cashews for Tansy and Corrie, and Tansy's cashews.
POT_AND_PLATE = """
title = "one dinner"
[[plate]]
day = 4
time = "dinner"
dish = "turmeric-rice-cashew-peas"
without = ["cashew-salted"]
shared = true
portions = [
    {walker = "Tansy", steps = 20, of = 20, mass_g = 144.0, energy_kcal = 589.0},
    {walker = "Corrie", steps = 29, of = 20, mass_g = 209.0, energy_kcal = 854.0},
]
[[plate]]
day = 4
time = "at table"
dish = "turmeric-rice-cashew-peas-added-cashew-salted"
portions = [{walker = "Tansy", steps = 21, of = 20, mass_g = 31.0, energy_kcal = 168.0}]
"""


def test_what_a_trip_forbids_now_is_told_first(
    tiny: Any, client: Client, book: Book, planned_menu: str
) -> None:
    text = tiny.TRIP.replace("mass_kg = 64\n", 'mass_kg = 64\navoids = ["milk", "gluten"]\n')
    book.save("trip", "moor", text, 1)
    said = tiny.words(client.get("/menus/moor"))
    assert "do not eat by it" in said
    assert "allergies" in said


@pytest.mark.parametrize("what", ["fix:{}", "fix:[", "free", "nonsense", "swap:bulgur"])
def test_an_odd_button_is_refused(client: Client, post: Any, planned_menu: str, what: str) -> None:
    answer = post("/menus/moor/change", do=what)
    assert answer.status_code == 422


def test_a_trip_that_cannot_be_planned_gets_no_search(
    tiny: Any, client: Client, book: Book, post: Any
) -> None:
    book.save("trip", "moor", tiny.TRIP.replace("distance_m = 9000", "distance_m = -1"), None)
    assert post("/trips/moor/menu").status_code == 422
    assert book.jobs.all() == ()


def test_names_bind_menus_to_trips() -> None:
    menus = ("moor", "moor.2", "moor.10", "moor.x", "moorland")
    assert menus_of("moor", menus) == ("moor", "moor.2", "moor.10")
    assert trip_of_menu("moor.2", ("moor", "fell")) == "moor"
    assert trip_of_menu("moorland", ("moor",)) is None
    assert next_menu("moor", menus) == "moor.3"
    assert next_menu("fell", menus) == "fell"


def test_menus_and_trips_as_data(client: Client, planned_menu: str) -> None:
    trips = client.get("/api/trips").json()["trips"]
    assert [(one["name"], one["menus"]) for one in trips] == [("moor", ["moor"])]
    walk: Any = client.get("/api/trips/moor").json()
    assert len(walk["stages"]) == 2
    menu: Any = client.get("/api/menus/moor").json()
    assert [day["day"] for day in menu["days"]] == [1, 2]
    assert client.get("/api/trips/nowhere").status_code == 404
    assert client.get("/api/menus/nowhere").status_code == 404


def test_a_cupboard_with_prices_gives_a_front_of_money(
    tiny: Any, client: Client, book: Book, post: Any
) -> None:
    tiny.lay_in(book, tiny.TRIP.replace("[rules]", '[rules]\nbudget = 200\ncurrency = "EUR"'))
    foods = sorted({food for name in tiny.RECIPES for food in foods_of(book, name)})
    foods.remove("moor-oat-bar")  # a food of the demo that this book does not hold
    packs = "".join(
        f'[[pack]]\nfood = "{food}"\nsize = "250 g"\nprice = "2.50"\n' for food in foods
    )
    book.save("provision", "moor", f'currency = "EUR"\n{packs}', None)
    there = tiny.ended(client, post("/trips/moor/menu").headers["location"])
    page = client.get(there)
    assert "and money" in tiny.words(page)
    address = tiny.ended(client, post("/menus/moor/front", by="cost").headers["location"])
    assert "What less money weighs" in tiny.words(client.get(address))


def foods_of(book: Book, recipe: str) -> list[str]:
    return re.findall(r'(?m)^food = "([^"]+)"', book.get("recipe", recipe).text)


@pytest.mark.parametrize("number", ["0", "7", "99999999999999999999999"])
def test_a_search_that_nobody_knows_is_not_there(client: Client, number: str) -> None:
    assert client.get(f"/menus/searches/{number}").status_code == 404
    assert client.get(f"/api/searches/{number}").status_code == 404
    assert client.get(f"/api/searches/{number}").json()["code"] == "job-not-found"


def test_a_search_is_asked_for_as_data(tiny: Any, client: Client, book: Book, post: Any) -> None:
    tiny.lay_in(book)
    asked = client.post(
        "/api/trips/moor/search", json={"seconds": 5}, headers={"x-csrftoken": post.token}
    )
    assert asked.status_code == 202
    number = asked.json()["number"]
    tiny.ended(client, f"/menus/searches/{number}")
    told = client.get(f"/api/searches/{number}").json()
    assert told["state"] == "done"
    assert told["proof"]["menu"] == "moor"
    assert client.post("/api/trips/moor/search", json={}).status_code == 403


def test_a_stopped_search_that_had_not_begun_says_so(
    tiny: Any, client: Client, book: Book, post: Any
) -> None:
    tiny.lay_in(book)
    job = book.jobs.add("menu", {"trip": "moor", "menu": "moor"}, about="menus of moor")
    assert f'href="/menus/searches/{job.id}"' in client.get("/menus").text
    post(f"/menus/searches/{job.id}/stop")
    assert f'href="/menus/searches/{job.id}"' not in client.get("/menus").text
    assert "stopped before it had begun" in tiny.words(client.get(f"/menus/searches/{job.id}"))


def test_a_further_menu_stands_beside_the_first(
    tiny: Any, client: Client, book: Book, post: Any, planned_menu: str
) -> None:
    there = tiny.ended(client, post("/trips/moor/menu").headers["location"])
    assert there.startswith("/menus/moor.2?")
    assert client.get(there).status_code == 200
    page = client.get("/trips/moor").text
    assert 'href="/menus/moor.2"' in page
    assert "Plan another menu" in tiny.words(client.get("/trips/moor"))


def test_who_may_only_read_gets_no_search(tiny: Any, book: Book) -> None:
    tiny.lay_in(book)
    reader = Book(book.shelf, book.club_id, role="reader")
    with TestClient(make_app(reader, Settings(hosts=("testserver.local",)))) as client:
        found = re.search(r'name="_csrf_token" value="([^"]+)"', client.get("/").text)
        assert found is not None
        answer = client.post("/trips/moor/menu", data={"_csrf_token": found[1]})
    assert answer.status_code == 403
    assert book.jobs.all() == ()
