"""``docs/book.md`` tells all of it, and its example does what it says."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from fellfare.book import KINDS, ROLES, open_book
from fellfare.book.accounts import accounts, limits, passwords, sessions
from fellfare.book.folder import PLACES
from fellfare.book.names import MOST_NAME_LETTERS
from fellfare.cli.book import command

GUIDE = (Path(__file__).parents[2] / "docs" / "book.md").read_text("utf-8")


def test_every_command_option_kind_and_role_stands_in_the_guide() -> None:
    assert isinstance(command, click.Group)
    words = [f"`{kind}`" for kind in KINDS] + [f"`{role}`" for role in ROLES]
    words += [folder for folder, _ in PLACES.values() if folder]
    for name, each in command.commands.items():
        words.append(name)
        words += [one for option in each.params for one in option.opts if one.startswith("--")]
    assert [word for word in words if word not in GUIDE] == []


def test_the_figures_of_the_guide_are_those_of_the_house() -> None:
    told = " ".join(GUIDE.split())
    for words in (
        f"1 to {MOST_NAME_LETTERS} letters",
        f"at least {passwords.LEAST} letters",
        f"ends after {sessions.SESSION_DAYS} days, or {sessions.IDLE_DAYS} without use",
        f"within {limits.WINDOW_MIN} minutes",
    ):
        assert words in told
    assert (accounts.INVITED_DAYS, limits.MOST_BY_NAME, limits.MOST_BY_ADDRESS) == (14, 10, 30)
    for words in ("fourteen days", "ten attempts", "thirty from one address"):
        assert words in told


def test_the_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (example,) = re.findall(r"```python\n(.*?)```", GUIDE, re.DOTALL)
    names: dict[str, object] = {}
    exec(compile(example, "docs/book.md", "exec"), names)
    with open_book("book.fellfare") as book:
        assert book.get("recipe", "soup").text == 'title = "Broth"\n\nserves = 2\n'
