"""docs/camp.md: every command on it runs, every question and option of its own is there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from tests.cli.asking_camp import Asked

from fellfare.cli.camp import QUESTIONS

PAGE = (Path(__file__).parents[2] / "docs/camp.md").read_text("utf-8")
COMMANDS = re.findall(r"^    fellfare camp (.*)$", PAGE, re.M)


@pytest.mark.parametrize("words", COMMANDS)
def test_every_command_on_the_page_runs(ask: Asked, words: str) -> None:
    code, out, _ = ask(*shlex.split(words))
    assert code in (0, 1)
    assert "How well this is known" in out


def test_every_question_stands_on_the_page() -> None:
    assert {words.split()[0] for words in COMMANDS} == set(QUESTIONS)
