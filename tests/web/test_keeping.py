"""History, comparison, undo and two edits of one document, as pages."""

from __future__ import annotations

import io
import re
import zipfile
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book, open_book
from fellfare.web import Settings, make_app
from fellfare.web.names import free_name

Client = TestClient[Litestar]

OATS = 'title = "Oats"\nabout = "plain"\n\n[[line]]\nfood = "rolled-oats"\namount = "80 g"\n'
AT = "/book/recipe/oats"


@pytest.fixture(autouse=True)
def oats(book: Book) -> None:
    book.save("recipe", "oats", OATS, None)


def test_history_shows_every_revision_and_what_changed(client: Client, book: Book) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    page = client.get(f"{AT}/history").text
    assert "2 revisions" in page
    compared = unescape(client.get(f"{AT}/compare?a=1&b=2").text)
    assert 'amount = "80 g"' in compared
    assert 'amount = "90 g"' in compared
    assert "the same, letter by letter" in client.get(f"{AT}/compare?a=1&b=1").text


def test_an_older_revision_is_restored_on_top(client: Client, book: Book, post: Any) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    answer = post(f"{AT}/restore", revision="1")
    assert answer.headers["location"] == "/recipes/oats?restored=3"
    assert book.get("recipe", "oats").text == OATS
    assert "Restored as revision 3." in client.get("/recipes/oats?restored=3").text


def test_what_is_thrown_away_can_be_taken_back(client: Client, book: Book, post: Any) -> None:
    answer = post(f"{AT}/delete", based_on="1")
    assert book.names("recipe") == ()
    page = client.get(answer.headers["location"]).text
    assert f'action="{AT}/undelete"' in page
    assert client.get("/recipes/oats").status_code == 404
    assert post(f"{AT}/undelete").status_code == 303
    assert book.get("recipe", "oats").text == OATS


def test_undo_takes_back_the_last_change_and_only_that(book: Book, post: Any) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    assert post(f"{AT}/undo", based_on="1").status_code in (409, 422)  # an old page's button
    assert post(f"{AT}/undo", based_on="2").headers["location"] == "/recipes/oats?undone=3"
    assert book.get("recipe", "oats").text == OATS


def test_the_second_of_two_edits_is_shown_both_and_can_put_them_together(
    client: Client, book: Book, post: Any
) -> None:
    theirs = OATS.replace("80 g", "90 g")
    book.save("recipe", "oats", theirs, 1, by="Ada")
    mine = OATS.replace("plain", "with a pinch of salt")
    answer = post(f"{AT}/text", text=mine, based_on="1")
    assert answer.status_code == 409
    assert book.get("recipe", "oats").text == theirs  # nothing was overwritten
    page = unescape(answer.text)
    assert "Two edits met" in page
    assert "by Ada" in page
    assert mine in page
    together = theirs.replace("plain", "with a pinch of salt")
    assert together in page
    assert post(f"{AT}/text", text=together, based_on="2").status_code == 303
    assert book.get("recipe", "oats").text == together


def test_edits_of_one_line_are_left_to_the_person(book: Book, post: Any) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    answer = post(f"{AT}/text", text=OATS.replace("80 g", "100 g"), based_on="1")
    assert answer.status_code == 409
    assert "1 place must be decided" in answer.text


def test_the_editor_too_is_told_of_another_edit(book: Book, post: Any) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    form = {"title": "Oats", "serves": "1", "line-0-food": "rolled-oats",
            "line-0-amount": "70 g", "based_on": "1", "do": "save"}  # fmt: skip
    answer = post.form("/recipes/oats/edit", form)
    assert answer.status_code == 409
    assert "Two edits met" in answer.text


def test_a_text_that_cannot_be_read_is_told_with_its_line_and_kept_in_the_form(
    book: Book, post: Any
) -> None:
    odd = OATS.replace("rolled-oats", "rolled-oats\nfoo")
    answer = post(f"{AT}/text", text=odd, based_on="1")
    assert answer.status_code == 422
    assert "oats:5" in answer.text
    assert unescape(answer.text).count("rolled-oats\nfoo") == 1
    assert book.get("recipe", "oats").revision == 1


def test_a_text_keeps_its_first_blank_lines_and_line_ends(book: Book, post: Any) -> None:
    text = "\n\n" + OATS
    post(f"{AT}/text", text=text.replace("\n", "\r\n"), based_on="1")  # as browsers send it
    assert book.get("recipe", "oats").text == text


def test_the_file_is_the_document(client: Client) -> None:
    answer = client.get(f"{AT}/download")
    assert answer.content.decode() == OATS
    assert 'filename="oats.toml"' in answer.headers["content-disposition"]


def test_odd_forms_are_refused_kindly(client: Client, post: Any) -> None:
    assert post(f"{AT}/restore").status_code == 422
    assert post(f"{AT}/restore", revision="99").status_code == 404
    assert post(f"{AT}/delete", based_on="x").status_code == 422
    assert client.get(f"{AT}/at/99").status_code == 404
    assert client.get("/book/spell/oats/history").status_code == 404


# ---------------------------------------------------------------- the book as a whole


def zipped(files: dict[str, bytes | str]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in files.items():
            made.writestr(name, data)
    return out.getvalue()


def brought(client: Client, post: Any, data: bytes) -> Any:
    return client.post(
        "/book/all.zip", data={"_csrf_token": post.token}, files={"file": ("book.zip", data)}
    )


def test_the_whole_book_goes_out_and_comes_in_again_without_a_loss(
    client: Client, book: Book, post: Any, tmp_path: Path
) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    out = client.get("/book/all.zip").content
    with open_book(tmp_path / "other.fellfare") as other:
        with TestClient(make_app(other, Settings(hosts=("testserver.local",)))) as elsewhere:
            token = re.search(r'name="_csrf_token" value="([^"]+)"', elsewhere.get("/").text)
            assert token is not None
            answer = elsewhere.post(
                "/book/all.zip", data={"_csrf_token": token[1]}, files={"file": ("b.zip", out)}
            )
        assert "1 new" in answer.text
        assert other.history("recipe", "oats") == book.history("recipe", "oats")


def test_the_last_change_of_all_is_taken_back(client: Client, book: Book, post: Any) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    assert "oats" in client.get("/book").text
    answer = post("/book/undo")
    assert "taken back" in client.get(answer.headers["location"]).text
    assert book.get("recipe", "oats").text == OATS


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"no zip", "no zip"),
        (zipped({"../../evil.toml": OATS}), "leads out"),
        (zipped({"/etc/evil.toml": OATS}), "leads out"),
        (zipped({"recipes\\evil.toml": OATS}), "leads out"),
        (zipped({"recipes/odd.toml": "title ="}), "TOML"),
        (zipped({"recipes/bomb.toml": b"0" * 201_000_000}), "would come out"),
    ],
    ids=["no zip", "up", "root", "backslash", "no recipe", "bomb"],
)
def test_a_zip_that_is_none_or_leads_astray_is_refused_whole(
    client: Client, book: Book, post: Any, data: bytes, code: str
) -> None:
    stamp = book.stamp()
    answer = brought(client, post, data)
    assert answer.status_code == 422
    assert code in unescape(answer.text)
    assert book.stamp() == stamp


def test_a_zip_is_told_of_by_its_own_places(client: Client, post: Any) -> None:
    said = unescape(brought(client, post, zipped({"recipes/odd.toml": "title ="})).text)
    assert "recipes/odd.toml" in said
    assert "fellfare-" not in said  # the folder in which it was unpacked


def test_what_was_deleted_leads_to_the_book(client: Client, book: Book) -> None:
    book.delete("recipe", "oats")
    answer = client.get("/recipes/oats")
    assert answer.status_code == 404
    assert 'href="/book"' in answer.text
    assert "still in the form" not in answer.text


@pytest.mark.parametrize("title", ["CON", "nul", "Lpt1"])
def test_a_title_that_is_no_file_s_name_is_kept_under_another(title: str, book: Book) -> None:
    name = free_name(book, "recipe", title)
    assert name == f"recipe-{title.casefold()}"
    assert book.save("recipe", name, OATS, None).name == name


@pytest.mark.parametrize(("choice", "amount"), [("mine", "100 g"), ("theirs", "90 g")])
def test_a_place_that_both_changed_is_settled_by_one_press(
    book: Book, post: Any, choice: str, amount: str
) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    mine = OATS.replace("80 g", "100 g").replace("plain", "with salt")
    assert post(f"{AT}/text", text=mine, based_on="1").status_code == 409
    fields = {"mine": mine, "base": "1", "theirs": "2"}
    assert post.form(f"{AT}/choose", fields).status_code == 422  # nothing was chosen
    assert post.form(f"{AT}/choose", fields | {"choice-0": choice}).status_code == 303
    kept = book.get("recipe", "oats").text
    assert f'amount = "{amount}"' in kept
    assert 'about = "with salt"' in kept


def test_a_third_edit_meanwhile_is_told_again(book: Book, post: Any) -> None:
    book.save("recipe", "oats", OATS.replace("80 g", "90 g"), 1)
    book.save("recipe", "oats", OATS.replace("80 g", "95 g"), 2)
    fields = {"mine": OATS.replace("80 g", "70 g"), "base": "1", "theirs": "2",
              "choice-0": "mine"}  # fmt: skip
    assert post.form(f"{AT}/choose", fields).status_code == 409
