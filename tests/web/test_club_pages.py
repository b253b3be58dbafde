"""A club: nothing before signing in, each club its own book, each role its own deeds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import httpx
import pytest
from argon2 import PasswordHasher
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book, Shelf, open_shelf
from fellfare.book.accounts import passwords
from fellfare.mistake import Mistake
from fellfare.web import Settings, make_app
from fellfare.web.asgi import club_app
from fellfare.web.desks import ClubDesks

Client = TestClient[Litestar]
PASSWORD = "lichen ladder ninety plum"
OATS = 'title = "Oats"\n[[line]]\nfood = "rolled-oats"\namount = "80 g"\n'


@pytest.fixture(autouse=True)
def quick_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Their cost is the book's to test; here it would only take time."""
    cheap = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(passwords, "hasher", lambda: cheap)
    passwords.nobodys_hash.cache_clear()


@pytest.fixture
def shelf(address: str) -> Iterator[Shelf]:
    """On either engine."""
    with open_shelf(address) as made:
        yield made


class Person:
    """Somebody with a browser of their own."""

    def __init__(self, server: Client) -> None:
        self.server, self.cookies = server, httpx.Cookies()

    def ask(self, method: str, address: str, **more: Any) -> Any:
        self.server.cookies.jar.clear()
        self.server.cookies.update(self.cookies)
        answer = self.server.request(method, address, follow_redirects=False, **more)
        self.cookies = httpx.Cookies(self.server.cookies)
        return answer

    def get(self, address: str) -> Any:
        return self.ask("GET", address)

    def post(self, address: str, **fields: str) -> Any:
        page = self.get("/sign-in").text
        token = re.search(r'name="_csrf_token" value="([^"]+)"', page)
        assert token is not None
        data = {"_csrf_token": token[1]} | fields
        return self.ask("POST", address, data=data)

    def sign_in(self, club: str, name: str, password: str = PASSWORD) -> Any:
        return self.post("/sign-in", club=club, name=name, password=password, back="/recipes")


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Litestar]:
    """Put together once; every test lays a shelf of its own before it."""
    with open_shelf(tmp_path_factory.mktemp("app") / "clubs.fellfare") as made:
        yield make_app(made, Settings(hosts=("testserver.local",), secret="0" * 64))


@pytest.fixture
def someone(app: Litestar, shelf: Shelf) -> Iterator[Any]:
    """Makes people, each with a browser of their own before the one server."""
    app.state.desks = ClubDesks(shelf)
    with TestClient(app) as server:
        yield lambda: Person(server)


def joined(shelf: Shelf, person: Person, club: str, name: str, role: str) -> Any:
    """A member of a club, founded when it is not there, signed in."""
    try:
        found = shelf.accounts.club(club)
    except Mistake:
        found = shelf.accounts.found_club(club)
    token = shelf.accounts.invite(found.id, role, None)
    return person.post("/join", invitation=token, club=club, name=name, password=PASSWORD)


@pytest.mark.parametrize(
    "asked", ["/", "/recipes", "/foods", "/book/recipe/oats/text", "/account", "/members"]
)
def test_nobody_sees_anything_before_signing_in(someone: Any, asked: str) -> None:
    guest = someone()
    answer = guest.get(asked)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in")
    assert guest.get("/api/recipes").status_code == 401
    assert guest.post("/demo").headers["location"].startswith("/sign-in")
    assert guest.get("/cautions").status_code == 200
    assert "Recipes</a>" not in guest.get("/sign-in").text


def test_one_joins_by_invitation_once(shelf: Shelf, someone: Any) -> None:
    ada, eve = someone(), someone()
    club = shelf.accounts.found_club("Fell Club")
    token = shelf.accounts.invite(club.id, "cook", None)
    told = {"invitation": token, "club": "Fell Club", "password": PASSWORD}
    weak = ada.post("/join", **(told | {"name": "Ada", "password": "123"}))
    assert weak.status_code == 422
    assert 'id="password-fault"' in weak.text
    assert 'value="Ada"' in weak.text
    assert "123" not in re.sub(r'value="[0-9a-f]{64,}"', "", weak.text.partition("<form")[2][:2000])
    assert ada.post("/join", **(told | {"name": "Ada"})).headers["location"] == "/"
    assert "Ada" in ada.get("/recipes").text
    again = eve.post("/join", **(told | {"name": "Eve"}))
    assert again.status_code == 422
    assert 'id="invitation-fault"' in again.text


def test_the_session_cookie_is_for_our_server_only(shelf: Shelf, someone: Any) -> None:
    ada = someone()
    joined(shelf, ada, "Fell Club", "Ada", "cook")
    answer = ada.sign_in("Fell Club", "Ada")
    assert answer.headers["location"] == "/recipes"
    (cookie,) = [one for one in answer.headers.get_list("set-cookie") if "session" in one]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Ada" not in cookie


def test_a_wrong_password_says_nothing_of_what_was_wrong(shelf: Shelf, someone: Any) -> None:
    ada = someone()
    joined(shelf, ada, "Fell Club", "Ada", "cook")
    guest = someone()
    said = set()
    for club, name in (("Fell Club", "Ada"), ("Fell Club", "Nobody"), ("No Club", "Ada")):
        answer = guest.sign_in(club, name, "wrong wrong wrong")
        assert answer.status_code == 422
        said.add(unescape(answer.text.partition('role="alert"')[2].partition("</div></div>")[0]))
    assert len(said) == 1


def test_too_many_attempts_have_to_wait(shelf: Shelf, someone: Any) -> None:
    joined(shelf, someone(), "Fell Club", "Ada", "cook")
    guest = someone()
    for _ in range(10):
        guest.sign_in("Fell Club", "Ada", "wrong")
    assert "too many attempts" in guest.sign_in("Fell Club", "Ada").text


def test_each_club_has_its_own_book(shelf: Shelf, someone: Any) -> None:
    ada, bob = someone(), someone()
    joined(shelf, ada, "Fell Club", "Ada", "cook")
    joined(shelf, bob, "Moor Club", "Bob", "keeper")
    put = ada.post("/book/recipe/oats/text", text=OATS, based_on="")
    assert put.status_code == 303
    food = 'id = "fell-bar"\nname = "fell bar"\n[label]\nstyle = "eu"\nenergy_kcal = 400\n'
    ada.post("/book/food/fell-bar/text", text=food, based_on="")
    assert ada.get("/recipes/oats").status_code == 200
    assert ada.get("/foods/fell-bar").status_code == 200
    for address in ("/recipes/oats", "/book/recipe/oats/history", "/foods/fell-bar",
                    "/api/recipes/oats", "/book/recipe/oats/download"):  # fmt: skip
        assert bob.get(address).status_code == 404, address
    assert "Oats" not in bob.get("/recipes").text
    assert "/foods/fell-bar" not in bob.get("/foods?q=fell+bar").text
    assert "Ada" not in bob.get("/members").text
    stranger = next(one for one in shelf.accounts.members(_member(shelf, "Fell Club")))
    assert bob.post("/members/remove", member=str(stranger.id)).status_code == 422
    assert ada.get("/recipes").status_code == 200


def _member(shelf: Shelf, club: str) -> Any:
    found = shelf.accounts.club(club)
    token = shelf.accounts.invite(found.id, "reader", None)
    return shelf.accounts.sign_up(token, f"Looker at {club}", PASSWORD)


def test_a_reader_reads_and_changes_nothing(shelf: Shelf, someone: Any) -> None:
    cook, reader = someone(), someone()
    joined(shelf, cook, "Fell Club", "Ada", "cook")
    joined(shelf, reader, "Fell Club", "Rhea", "reader")
    cook.post("/book/recipe/oats/text", text=OATS, based_on="")
    page = reader.get("/recipes/oats").text
    assert "Oats" in page
    assert "by Ada" in page
    assert "/recipes/oats/edit" not in page
    for address, fields in (
        ("/book/recipe/oats/text", {"text": OATS.replace("80", "90"), "based_on": "1"}),
        ("/book/recipe/oats/delete", {"based_on": "1"}),
        ("/demo", {}),
        ("/members/invite", {"role": "keeper"}),
    ):
        assert reader.post(address, **fields).status_code == 403, address
    book = Book(shelf, shelf.accounts.club("Fell Club").id)
    assert book.get("recipe", "oats").revision == 1


def test_a_keeper_invites_gives_roles_and_takes_out(shelf: Shelf, someone: Any) -> None:
    keeper, new = someone(), someone()
    joined(shelf, keeper, "Fell Club", "Kay", "keeper")
    page = keeper.post("/members/invite", role="cook").text
    link = re.search(r'id="link" value="[^"]*invitation=([^"]+)"', page)
    assert link is not None
    new.post("/join", invitation=unescape(link[1]), club="Fell Club", name="Nan", password=PASSWORD)
    listed = keeper.get("/members").text
    assert "Nan" in listed
    number = re.search(r'id="role-(\d+)"', listed.partition("Nan")[2])
    assert number is not None
    keeper.post("/members/role", member=number[1], role="reader")
    assert new.post("/demo").status_code == 403  # the role is gone at once
    keeper.post("/members/remove", member=number[1])
    assert new.get("/recipes").status_code == 303


def test_the_last_keeper_cannot_leave(shelf: Shelf, someone: Any) -> None:
    keeper = someone()
    joined(shelf, keeper, "Fell Club", "Kay", "keeper")
    answer = keeper.post("/account/leave", name="Kay")
    assert answer.status_code == 422
    assert "only keeper" in unescape(answer.text)


def test_one_takes_ones_data_along_changes_the_password_and_leaves(
    shelf: Shelf, someone: Any
) -> None:
    joined(shelf, someone(), "Fell Club", "Kay", "keeper")
    ada, elsewhere = someone(), someone()
    joined(shelf, ada, "Fell Club", "Ada", "cook")
    elsewhere.sign_in("Fell Club", "Ada")
    assert b"Ada" in ada.get("/account/data").content
    wrong = ada.post("/account/password", old="wrong", new=PASSWORD + " more")
    assert 'id="old-fault"' in wrong.text
    assert ada.post("/account/password", old=PASSWORD, new="heath otter 7 spoon").status_code == 303
    assert ada.get("/account").status_code == 200
    assert elsewhere.get("/account").status_code == 303  # that session has ended
    assert ada.post("/account/leave", name="someone").status_code == 422
    assert ada.post("/account/leave", name="Ada").status_code == 303
    assert ada.get("/account").status_code == 303
    assert someone().sign_in("Fell Club", "Ada", "heath otter 7 spoon").status_code == 422


def test_measures_go_with_the_account_and_a_page_may_differ(shelf: Shelf, someone: Any) -> None:
    ada, bob = someone(), someone()
    joined(shelf, ada, "Fell Club", "Ada", "cook")
    joined(shelf, bob, "Fell Club", "Bob", "reader")
    ada.post("/book/recipe/oats/text", text=OATS, based_on="")
    assert "80 g (2.8 oz)" in ada.get("/recipes/oats").text
    ada.post("/units", units="us", back="/")
    assert "80 g" not in _figures(ada.get("/recipes/oats").text)
    assert "80 g (2.8 oz)" in bob.get("/recipes/oats").text  # each reader their own
    elsewhere = someone()  # another browser, which has no cookie yet
    elsewhere.sign_in("Fell Club", "Ada")
    assert "80 g" not in _figures(elsewhere.get("/recipes/oats").text)
    page = elsewhere.get("/recipes/oats?units=metric").text
    assert "2.8 oz" not in page
    assert "80 g" in _figures(page)
    bob.post("/units", units="metric", back="/")  # a reader may, too: it is their own
    assert "2.8 oz" not in bob.get("/recipes/oats").text
    bob.post("/units", units="furlongs", back="/")
    assert "80 g (2.8 oz)" in bob.get("/recipes/oats").text  # what is not understood is both


def _figures(page: str) -> str:
    """The figures at the head of a recipe, without what its author wrote."""
    return page.partition('<dl class="figures">')[2].partition("</dl>")[0]


def test_signing_out_ends_the_session(shelf: Shelf, someone: Any) -> None:
    ada = someone()
    joined(shelf, ada, "Fell Club", "Ada", "cook")
    token = ada.cookies["fellfare-session"]
    ada.post("/sign-out")
    assert ada.get("/recipes").status_code == 303
    ada.cookies.set("fellfare-session", token)
    assert ada.get("/recipes").status_code == 303  # an old token opens nothing


def test_ones_own_machine_has_no_doors(client: Client) -> None:
    for address in ("/sign-in", "/join", "/account", "/members"):
        assert client.get(address).status_code == 404


def test_a_server_of_clubs_must_be_told_its_names_and_key(tmp_path: Path) -> None:
    told = {"FELLFARE_BOOK": str(tmp_path / "b.fellfare"), "FELLFARE_HOSTS": "club.example",
            "FELLFARE_SECRET": "x" * 40}  # fmt: skip
    for missing, code in (
        ("FELLFARE_HOSTS", "club-hosts-missing"), ("FELLFARE_SECRET", "club-secret-missing"),
    ):  # fmt: skip
        with pytest.raises(Mistake) as caught:
            club_app(told | {missing: ""})
        assert caught.value.code == code
    with TestClient(club_app(told), base_url="http://club.example") as client:
        answer = client.get("/sign-in")
        assert answer.status_code == 200
        assert "Secure" in answer.headers["set-cookie"]
        assert client.get("/sign-in", headers={"host": "localhost"}).status_code == 400
