"""A file gets in whole, or is refused with its place; lines are counted as TOML counts."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec import Struct

from fellfare.files.reading import MOST_BYTES, line_of, place, read_bytes, read_document, read_text
from fellfare.files.recipe_toml import read_recipe, recipe_of_text
from fellfare.mistake import Mistake


class Shape(Struct, frozen=True, forbid_unknown_fields=True):
    """Any document."""

    title: str
    size: int = 1


def refusal(path: Path) -> Mistake:
    with pytest.raises(Mistake) as caught:
        read_document(path, Shape)
    assert caught.value.mend
    return caught.value


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    mistake = refusal(tmp_path / "none.toml")
    assert (mistake.code, mistake.where) == ("file-missing", str(tmp_path / "none.toml"))


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    mistake = refusal(tmp_path)
    assert mistake.code == "file-unreadable"
    assert "directory" in mistake.what.casefold()


def test_a_name_too_long_for_any_disk_is_told(tmp_path: Path) -> None:
    assert refusal(tmp_path / ("x" * 400)).code == "file-unreadable"


def test_a_link_to_itself_is_told(tmp_path: Path) -> None:
    loop = tmp_path / "loop.toml"
    loop.symlink_to(loop)
    assert refusal(loop).code == "file-unreadable"


def test_fifty_megabytes_are_refused_before_they_are_read(tmp_path: Path) -> None:
    path = tmp_path / "big.toml"
    with path.open("wb") as file:
        file.truncate(50_000_000)  # a sparse file: no byte of it is written
    mistake = refusal(path)
    assert mistake.code == "file-too-large"
    assert "2 MB" in mistake.what


def test_the_largest_document_is_read(tmp_path: Path) -> None:
    path = tmp_path / "full"
    path.write_bytes(b"#" * MOST_BYTES)
    assert len(read_bytes(path)) == MOST_BYTES


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b'title = "caf\xe9"\n', 1),  # ISO 8859-1
        (b'title = "x"\n# \xff\n', 2),
        ('title = "x"\n'.encode("utf-16"), 1),
    ],
)
def test_what_is_no_utf8_is_told_with_its_line(tmp_path: Path, data: bytes, line: int) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(data)
    mistake = refusal(path)
    assert (mistake.code, mistake.where) == ("not-utf8", f"{path}:{line}")
    assert "UTF-8" in mistake.mend


def test_a_byte_order_mark_is_dropped(tmp_path: Path) -> None:
    path = tmp_path / "x.txt"
    path.write_bytes(b"\xef\xbb\xbfDal")
    assert read_text(path) == "Dal"


def test_a_picture_is_no_document(tmp_path: Path) -> None:
    path = tmp_path / "x.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00")  # the PNG signature, RFC 2083
    assert refusal(path).code == "not-utf8"


TEXT = """\
title = "x"
about = "a\u2028b\x85c"
# [[line]] in a comment is none
[label]
per_g = 100
[[line]]
food = "a"

[[ line ]]
  food = "b"
amount="9 g"
[[step]]
"""


@pytest.mark.parametrize(
    ("field", "line"),
    [
        ("title", 1),
        ("about", 2),
        ("label", 4),
        ("label.per_g", 5),
        ("label.salt_g", 4),  # not written: its table
        ("line[0]", 6),
        ("line[0].food", 7),
        ("line[0].amount", 6),
        ("line[1].food", 10),
        ("line[1].amount", 11),
        ("line[2]", None),
        ("step[0].act", 12),
        ("nothing", None),
        ("", None),
    ],
)
def test_the_line_of_a_field_is_found(field: str, line: int | None) -> None:
    assert line_of(TEXT, field) == line


def test_a_place_without_a_line_still_names_the_field() -> None:
    assert place(Path("a.toml"), TEXT, "line[9].food") == "a.toml > line[9].food"
    assert place(Path("a.toml"), TEXT, "line[1].food") == "a.toml:10 > line[1].food"


def test_a_text_is_read_as_its_file_is(tmp_path: Path) -> None:
    path = tmp_path / "soup.toml"
    text = 'title = "Soup"\n[[line]]\nfood = "rolled-oats"\namount = "80 g"\n'
    path.write_text(text, "utf-8")
    of_file, of_text = read_recipe(path), recipe_of_text(text, Path("nowhere"))
    assert of_text.recipe == of_file.recipe
    assert of_text.text == of_file.text
    assert recipe_of_text("\ufeff" + text, Path("nowhere")).recipe == of_file.recipe


@pytest.mark.parametrize(
    "text", ['title = "Soup', "title = 3\n", 'title = "x"\n[[line]]\nfood = "a"\namount = "many"\n']
)
def test_a_text_is_refused_as_its_file_is(tmp_path: Path, text: str) -> None:
    path = tmp_path / "soup.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(Mistake) as of_file:
        read_recipe(path)
    with pytest.raises(Mistake) as of_text:
        recipe_of_text(text, path)
    assert of_text.value.args == of_file.value.args


def test_half_a_character_is_no_text() -> None:
    with pytest.raises(Mistake, match="not-utf8") as caught:
        recipe_of_text('title = "x"\nabout = "\ud800"\n', Path("soup"))
    assert caught.value.where == "soup:2"
