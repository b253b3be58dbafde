"""Names that no file system takes, or that lead somewhere else, are refused; the rest is kept."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fellfare.book import Book
from fellfare.book.names import MOST_NAME_BYTES, name_key, read_name
from fellfare.mistake import Mistake


@pytest.mark.parametrize(
    "name",
    [
        "", ".", "..", "../../etc/passwd", "a/b", "a\\b", "C:", "soup.", " soup", "soup ",
        ".hidden", "a\nb", "a\tb", "a\0b", "a\u202eb", "a\u2028b", "a\ud800b", "soup*", "so?up",
        "<script>", 'a"b', "a|b", "con", "NUL.toml", "com1", "LPT9.x", "aux", "x" * 121, "漢" * 80,
    ],
)  # fmt: skip
def test_a_name_that_is_no_file_name_is_refused(name: str) -> None:
    with pytest.raises(Mistake, match="book-bad-name"):
        read_name(name)


@pytest.mark.parametrize("name", ["../../etc/passwd", "a\0b", ""])
def test_such_a_name_opens_no_door_of_the_book(book: Book, name: str) -> None:
    book.save("recipe", "plain", "x", None)
    calls: list[Callable[[], object]] = [
        lambda: book.save("recipe", name, "x", None),
        lambda: book.get("recipe", name),
        lambda: book.rename("recipe", "plain", name),
    ]
    for call in calls:
        with pytest.raises(Mistake, match="book-bad-name"):
            call()
    assert book.names("recipe") == ("plain",)


def test_any_other_name_is_kept(book: Book) -> None:
    names = ("10 % less", "a.b", "bulgur", "con-air", "Äpfel & Nüsse", "漢字")
    for name in names:
        assert book.save("recipe", name, "x", None).name == name
    assert book.names("recipe") == names


def test_a_letter_written_in_two_ways_is_one_letter(book: Book) -> None:
    book.save("recipe", "cre\u0300me", "x", None)  # UAX 15: e with a combining grave
    assert book.names("recipe") == ("cr\u00e8me",)
    assert book.get("recipe", "CR\u00c8ME").text == "x"
    assert book.get("recipe", "cre\u0300me").text == "x"


@pytest.mark.parametrize("by", ["a\nb", "x" * 121])
def test_whoever_saves_has_a_name_in_one_line(book: Book, by: str) -> None:
    with pytest.raises(Mistake, match="book-bad-name"):
        book.save("recipe", "soup", "x", None, by=by)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.text(max_size=130))
def test_a_name_is_refused_or_is_one_file_in_its_folder(
    tmp_path_factory: pytest.TempPathFactory, name: str
) -> None:
    try:
        kept = read_name(name)
    except Mistake:
        return
    folder = tmp_path_factory.mktemp("names")
    (folder / f"{kept}.toml").write_text("x", encoding="utf-8")
    assert [path.name for path in folder.iterdir()] == [f"{kept}.toml"]
    assert read_name(kept) == kept


def test_a_key_is_never_longer_than_the_bytes_of_its_name() -> None:
    """So it fits its column (240): some letters become three when capitals are taken away."""
    longer = [
        char
        for char in map(chr, range(0x20, 0x30000))
        if not 0xD800 <= ord(char) <= 0xDFFF and len(name_key(char)) > len(char.encode("utf-8"))
    ]
    assert longer == []
    assert MOST_NAME_BYTES <= 240
