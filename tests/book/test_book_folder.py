"""The book as a folder and back: nothing lost, nothing half-written, nothing thrown away."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fellfare.book import KINDS, Book, open_book
from fellfare.book.history_file import read_history
from fellfare.files.demo_documents import demo_documents, write_demo
from fellfare.mistake import Mistake, Mistakes

Refused = Callable[[Callable[[], object]], str]


def everything(book: Book) -> dict[str, Any]:
    """All that a book holds, deleted documents too."""
    names = {
        (kind, name)
        for kind in KINDS
        for deleted in (False, True)
        for name in book.names(kind, deleted)
    }
    held: dict[str, Any] = {f"{kind}/{name}": book.history(kind, name) for kind, name in names}
    for kind, name in names - {(k, n) for k in KINDS for n in book.names(k, True)}:
        held[f"ticks {kind}/{name}"] = book.ticks(kind, name, "shopping")
    return held


@pytest.fixture
def lived_in(book: Book) -> Book:
    """A book in which all sorts of things have happened."""
    book.save("recipe", "soup", "a\r\nb", None, by="Tansy")
    book.save("recipe", "soup", "a\nc", 1, by="Corrie")
    book.rename("recipe", "soup", "Brühe & mehr")
    book.undo_of("recipe", "brühe & mehr")
    book.save("recipe", "stew", "x", None)
    book.delete("recipe", "stew")
    book.save("trip", "round", "t = 1\n", None)
    book.set_tick("trip", "round", "shopping", "bulgur", by="Tansy")
    book.save("track", "walk", "<gpx/>", None)
    book.save("food", "bar", "\ufeffid = 'bar'", None)
    for kind in ("menu", "log", "settings", "composition", "season", "provision"):
        book.save(kind, kind, f"{kind} = 1", None)
        book.restore(kind, kind, 1)
    return book


def test_out_and_in_again_loses_nothing(lived_in: Book, tmp_path: Path) -> None:
    assert lived_in.export_folder(tmp_path / "out") == 10
    with open_book(tmp_path / "second") as second:
        taken = second.import_folder(tmp_path / "out")
        assert {fate for _, _, fate in taken.fates} == {"new"}
        assert taken.left_out == ()
        assert everything(second) == everything(lived_in)
        second.export_folder(tmp_path / "again")
        assert second.undo_of("recipe", "soup").text == "a\r\nb"  # undo goes on where it was
    for path in (tmp_path / "out").rglob("*.*"):
        again = tmp_path / "again" / path.relative_to(tmp_path / "out")
        # All but the first line of the history, which says when it was written.
        skip = 1 if path.name == "history.jsonl" else 0
        assert path.read_bytes().split(b"\n")[skip:] == again.read_bytes().split(b"\n")[skip:]


def test_the_folder_is_one_of_ordinary_documents(lived_in: Book, tmp_path: Path) -> None:
    lived_in.export_folder(tmp_path / "out")
    names = {p.relative_to(tmp_path / "out").as_posix() for p in (tmp_path / "out").rglob("*.*")}
    assert names == {
        "round.toml", "provision.toml", "walk.gpx", "recipes/soup.toml", "foods/bar.toml",
        "menus/menu.toml",
        "compositions/composition.toml", "seasons/season.toml",
        "logs/log.toml", "settings/settings.toml", "history.jsonl",
    }  # fmt: skip
    assert (tmp_path / "out/recipes/soup.toml").read_bytes() == b"a\nc"
    assert (tmp_path / "out/foods/bar.toml").read_bytes() == "\ufeffid = 'bar'".encode()


def test_the_same_folder_twice_changes_nothing(lived_in: Book, tmp_path: Path) -> None:
    before = everything(lived_in)
    lived_in.export_folder(tmp_path / "out")
    for _ in range(2):
        taken = lived_in.import_folder(tmp_path / "out")
        assert {fate for _, _, fate in taken.fates} == {"same"}
        assert everything(lived_in) == before


def test_an_older_export_takes_nothing_back(book: Book, tmp_path: Path) -> None:
    book.save("recipe", "soup", "1", None)
    book.export_folder(tmp_path / "out")
    book.save("recipe", "soup", "2", 1)
    assert book.import_folder(tmp_path / "out").fates == (("recipe", "soup", "same"),)
    assert book.get("recipe", "soup").text == "2"


def test_what_was_written_into_the_folder_comes_in(book: Book, tmp_path: Path) -> None:
    book.save("recipe", "soup", "1", None)
    book.export_folder(tmp_path / "out")
    (tmp_path / "out/recipes/soup.toml").write_text("by hand")
    (tmp_path / "out/recipes/stew.toml").write_text("new")
    fates = book.import_folder(tmp_path / "out", by="Tansy").fates
    assert fates == (("recipe", "soup", "revised"), ("recipe", "stew", "new"))
    assert [one.text for one in book.history("recipe", "soup")] == ["by hand", "1"]
    assert book.get("recipe", "stew").saved_by == "Tansy"


def test_a_history_that_went_on_elsewhere_goes_on_here(book: Book, tmp_path: Path) -> None:
    book.save("recipe", "soup", "1", None)
    book.export_folder(tmp_path / "out")
    with open_book(tmp_path / "laptop") as laptop:
        laptop.import_folder(tmp_path / "out")
        laptop.save("recipe", "soup", "2", 1, by="Corrie")
        laptop.export_folder(tmp_path / "back")
        assert book.import_folder(tmp_path / "back").fates == (("recipe", "soup", "continued"),)
        assert book.history("recipe", "soup") == laptop.history("recipe", "soup")


def test_two_histories_that_parted_are_joined_and_neither_is_lost(
    book: Book, tmp_path: Path
) -> None:
    book.save("recipe", "soup", "1", None)
    book.export_folder(tmp_path / "out")
    with open_book(tmp_path / "laptop") as laptop:
        laptop.import_folder(tmp_path / "out")
        laptop.save("recipe", "soup", "theirs", 1)
        laptop.export_folder(tmp_path / "back")
    book.save("recipe", "soup", "mine", 1)
    assert book.import_folder(tmp_path / "back").fates == (("recipe", "soup", "joined"),)
    assert [one.text for one in book.history("recipe", "soup")] == ["theirs", "mine", "1"]
    assert book.import_folder(tmp_path / "back").fates == (("recipe", "soup", "same"),)


def test_the_demo_folder_comes_in_and_goes_out_as_it_is(book: Book, tmp_path: Path) -> None:
    write_demo(tmp_path / "demo")
    (tmp_path / "demo/papers").mkdir()
    (tmp_path / "demo/papers/cards.pdf").write_bytes(b"%PDF")
    (tmp_path / "demo/notes.txt").write_text("x")
    (tmp_path / "demo/prices.toml").write_text("bulgur = 3")
    (tmp_path / "demo/.hidden.toml").write_text("x")
    (tmp_path / "demo/link.toml").symlink_to("trip.toml")
    taken = book.import_folder(tmp_path / "demo")
    assert taken.left_out == (
        (".hidden.toml", "hidden"),
        ("link.toml", "no plain file"),
        ("notes.txt", "another ending"),
        ("papers/cards.pdf", "no place for documents"),
        ("prices.toml", "not a trip"),
    )
    book.export_folder(tmp_path / "out")
    for name, text in demo_documents():
        assert (tmp_path / "out" / name).read_bytes() == text.encode()
    assert len(taken.fates) == len(list(demo_documents()))


@pytest.mark.parametrize("trip", ["trip", "round"])
def test_the_menu_and_log_beside_a_trip_come_in_under_its_name(
    book: Book, tmp_path: Path, trip: str
) -> None:
    (tmp_path / f"{trip}.toml").write_text("walk = 1")
    (tmp_path / "menu.toml").write_text('title = "m"')
    (tmp_path / "log.toml").write_text('title = "l"')
    taken = book.import_folder(tmp_path)
    assert taken.left_out == ()
    assert {(kind, name) for kind, name, _ in taken.fates} == {
        ("trip", trip), ("menu", trip), ("log", trip),
    }  # fmt: skip
    book.export_folder(tmp_path / "out")
    assert (tmp_path / "out/menus" / f"{trip}.toml").read_text() == 'title = "m"'


def test_a_menu_of_nobody_knows_which_trip_is_left_alone(book: Book, tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text("walk = 1")
    (tmp_path / "menu.toml").write_text('title = "m"')
    assert book.import_folder(tmp_path).left_out == (("menu.toml", "not a trip"),)


def test_a_menu_in_its_place_comes_before_one_beside_the_trip(book: Book, tmp_path: Path) -> None:
    (tmp_path / "trip.toml").write_text("walk = 1")
    (tmp_path / "menu.toml").write_text('title = "beside"')
    (tmp_path / "menus").mkdir()
    (tmp_path / "menus/trip.toml").write_text('title = "in its place"')
    taken = book.import_folder(tmp_path)
    assert taken.left_out == (("menu.toml", "not a trip"),)
    book.export_folder(tmp_path / "out")
    assert (tmp_path / "out/menus/trip.toml").read_text() == 'title = "in its place"'


def test_documents_that_would_be_one_file_are_not_written(
    book: Book, tmp_path: Path, refused: Refused
) -> None:
    book.save("provision", "round", "1", None)
    book.save("trip", "round", "walk = 1", None)
    book.export_folder(tmp_path / "out")
    assert (tmp_path / "out/round.provision.toml").read_text() == "1"
    with open_book(tmp_path / "second") as second:
        (tmp_path / "out/history.jsonl").unlink()
        second.import_folder(tmp_path / "out")
        assert (second.names("provision"), second.names("trip")) == (("round",), ("round",))
    book.save("trip", "round.provision", "2", None)
    assert refused(lambda: book.export_folder(tmp_path / "more")) == "book-names-clash"
    assert not (tmp_path / "more").exists()


def test_one_bad_document_and_nothing_comes_in(book: Book, tmp_path: Path) -> None:
    folder = tmp_path / "in" / "recipes"
    folder.mkdir(parents=True)
    (folder / "good.toml").write_text("title = 1")
    (folder / "latin.toml").write_bytes(b"a\nb\xe4")
    (folder / "null.toml").write_bytes(b"a\0b")
    (folder / "large.toml").write_bytes(b"x" * 2_000_001)
    (folder / "untitled.toml").write_text("x = 1")
    (folder / "a|b.toml").write_text("title = 1")

    def check(kind: str, name: str, text: str) -> None:
        if "title" not in text:
            raise Mistake("wrong-shape", "no title", "give one", "line 1")

    with pytest.raises(Mistakes) as caught:
        book.import_folder(tmp_path / "in", check=check)
    assert [one.code for one in caught.value.each] == [
        "book-bad-name", "file-too-large", "not-utf8", "book-text-unkeepable", "wrong-shape",
    ]  # fmt: skip
    assert all(str(folder) in one.where for one in caught.value.each)
    assert book.stamp() == 0


def test_two_names_that_are_one_are_refused(book: Book, tmp_path: Path, refused: Refused) -> None:
    (tmp_path / "recipes").mkdir()
    (tmp_path / "recipes/Soup.toml").write_text("1")
    (tmp_path / "recipes/soup.toml").write_text("2")
    if len(list((tmp_path / "recipes").iterdir())) == 1:
        pytest.skip("this file system knows no capitals")
    assert refused(lambda: book.import_folder(tmp_path)) == "book-name-twice"
    assert book.stamp() == 0


def test_an_empty_or_missing_folder_is_told(book: Book, tmp_path: Path, refused: Refused) -> None:
    assert refused(lambda: book.import_folder(tmp_path)) == "book-folder-empty"
    assert refused(lambda: book.import_folder(tmp_path / "none")) == "file-missing"


# -- nothing half-written, nothing thrown away ----------------------------------------------


def test_an_export_writes_over_nothing_of_somebody_else(
    book: Book, tmp_path: Path, refused: Refused
) -> None:
    book.save("recipe", "soup", "1", None)
    (tmp_path / "mine").mkdir()
    assert book.export_folder(tmp_path / "mine") == 1  # an empty folder may be used
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos/moor.jpg").write_text("x")
    assert refused(lambda: book.export_folder(tmp_path / "photos")) == "file-exists"
    both = {"replace": True}
    assert refused(lambda: book.export_folder(tmp_path / "photos", **both)) == "book-folder-changed"
    assert (tmp_path / "photos/moor.jpg").exists()
    assert refused(lambda: book.export_folder(tmp_path / "mine")) == "file-exists"
    book.save("recipe", "soup", "2", 1)
    book.export_folder(tmp_path / "mine", replace=True)
    assert (tmp_path / "mine/recipes/soup.toml").read_text() == "2"
    (tmp_path / "mine/recipes/soup.toml").write_text("by hand")
    assert refused(lambda: book.export_folder(tmp_path / "mine", **both)) == "book-folder-changed"
    (tmp_path / "mine/recipes/soup.toml").write_text("2")
    (tmp_path / "mine/note.txt").write_text("x")
    assert refused(lambda: book.export_folder(tmp_path / "mine", **both)) == "book-folder-changed"
    (tmp_path / "file").write_text("x")
    assert refused(lambda: book.export_folder(tmp_path / "file", **both)) == "file-exists"
    assert refused(lambda: book.export_folder(tmp_path / "file" / "x")) == "file-unwritable"
    assert [path.name for path in tmp_path.glob(".fellfare-*")] == []


def test_an_export_that_breaks_leaves_the_older_one_whole(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.save("recipe", "soup", "1", None)
    book.export_folder(tmp_path / "out")
    book.save("recipe", "stew", "2", None)

    def full(self: Path, target: Path) -> Path:
        if self.name == "made":
            raise OSError(28, "No space left on device")
        return rename(self, target)

    rename = Path.rename
    monkeypatch.setattr(Path, "rename", full)
    with pytest.raises(Mistake, match="No space left"):
        book.export_folder(tmp_path / "out", replace=True)
    files = sorted(path.name for path in (tmp_path / "out").rglob("*.*"))
    assert files == ["history.jsonl", "soup.toml"]
    assert sorted(path.name for path in tmp_path.iterdir() if path.name[0] == ".") == []


# -- a history file that somebody has had their hands in -------------------------------------

HEAD = '{"line":"fellfare-history","version":1,"written_at":"2031-05-01T00:00:00Z"}'


def line(**changed: Any) -> str:
    plain = {"line": "revision", "kind": "recipe", "name": "soup", "revision": 1, "act": "save",
             "text": "x", "saved_at": "2031-05-01T00:00:00Z"}  # fmt: skip
    kept = {key: value for key, value in (plain | changed).items() if value is not None}
    return json.dumps(kept)


def tick(**changed: Any) -> str:
    plain = {"line": "tick", "kind": "recipe", "name": "soup", "list_name": "a", "item": "b",
             "ticked_at": "2031-05-01T00:00:00Z"}  # fmt: skip
    return json.dumps(plain | changed)


@pytest.mark.parametrize(
    ("lines", "where"),
    [
        ([], 1),
        (["{"], 1),
        ([line()], 1),
        ([HEAD.replace("1,", "2,", 1)], 1),
        ([HEAD, line(), HEAD], 3),
        ([HEAD, line(revision=2)], 2),
        ([HEAD, line(), line(revision=3)], 3),
        ([HEAD, line(name="../soup")], 2),
        ([HEAD, line(name="cre\u0300me")], 2),
        ([HEAD, line(kind="soup")], 2),
        ([HEAD, line(act="cook")], 2),
        ([HEAD, line(text=None)], 2),
        ([HEAD, line(text_of=1)], 2),
        ([HEAD, line(text=None, text_of=1)], 2),
        ([HEAD, line(), line(revision=2, text=None, text_of=5)], 3),
        ([HEAD, line(back_to=1)], 2),
        ([HEAD, line(text="a\0b")], 2),
        ([HEAD, line(saved_at="2031-05-01T00:00:00")], 2),
        ([HEAD, line(saved_by="a\nb")], 2),
        ([HEAD, line(), line(name="stew"), line(revision=2)], 4),
        ([HEAD, tick()], 2),
        ([HEAD, line(), tick(item="")], 3),
        ([HEAD, "[" * 100_000], 2),
    ],
)  # fmt: skip
def test_a_history_that_no_book_wrote_is_refused_with_its_line(
    tmp_path: Path, lines: list[str], where: int
) -> None:
    path = tmp_path / "history.jsonl"
    path.write_text("".join(f"{each}\n" for each in lines))
    with pytest.raises(Mistake, match="book-history-unread") as caught:
        read_history(path)
    assert caught.value.where == f"{path}:{where}"


def test_a_bad_history_lets_nothing_in(book: Book, tmp_path: Path, refused: Refused) -> None:
    (tmp_path / "recipes").mkdir()
    (tmp_path / "recipes/soup.toml").write_text("x")
    (tmp_path / "history.jsonl").write_text("{")
    assert refused(lambda: book.import_folder(tmp_path)) == "book-history-unread"
    assert book.stamp() == 0


def test_a_history_without_its_files_brings_the_documents(book: Book, tmp_path: Path) -> None:
    (tmp_path / "history.jsonl").write_text(f"{HEAD}\n{line()}\n{tick()}\n")
    assert book.import_folder(tmp_path).fates == (("recipe", "soup", "new"),)
    assert book.get("recipe", "soup").text == "x"
    assert book.ticks("recipe", "soup", "a") == {"b"}
