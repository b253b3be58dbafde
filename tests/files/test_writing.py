"""A file is written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from fellfare.files.writing import write_text
from fellfare.mistake import Mistake


def refusal(path: Path, text: str = "new", *, replace: bool = False) -> Mistake:
    with pytest.raises(Mistake) as caught:
        write_text(path, text, replace=replace)
    assert caught.value.mend
    assert str(path) in caught.value.where
    return caught.value


def test_what_is_written_can_be_read(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "dish.toml"
    write_text(path, "½ cup\n")
    assert path.read_bytes() == "½ cup\n".encode()
    assert list(path.parent.iterdir()) == [path]  # and no half-written neighbour


def test_an_older_file_stays_unless_its_owner_says_so(tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    path.write_text("old", encoding="utf-8")
    mistake = refusal(path)
    assert mistake.code == "file-exists"
    assert "--replace" in mistake.mend
    assert path.read_text(encoding="utf-8") == "old"
    write_text(path, "new", replace=True)
    assert path.read_text(encoding="utf-8") == "new"


def test_a_private_file_stays_private(tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    path.write_text("old", encoding="utf-8")
    path.chmod(0o600)
    write_text(path, "new", replace=True)
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_link_that_leads_nowhere_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    path.symlink_to(tmp_path / "gone")
    assert refusal(path).code == "file-exists"


@pytest.mark.parametrize("replace", [False, True])
def test_a_name_too_long_for_any_disk_is_refused(tmp_path: Path, replace: bool) -> None:
    assert refusal(tmp_path / ("x" * 400), replace=replace).code == "file-unwritable"
    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_not_written_over(tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    assert refusal(folder).code == "file-exists"
    assert refusal(folder, replace=True).code == "file-unwritable"
    assert list(tmp_path.iterdir()) == [folder]


def test_nothing_can_be_written_below_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert refusal(tmp_path / "file" / "dish.toml").code == "file-unwritable"


def test_a_text_that_breaks_off_leaves_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(UnicodeEncodeError):
        write_text(tmp_path / "dish.toml", "half\ud800")
    assert list(tmp_path.iterdir()) == []
