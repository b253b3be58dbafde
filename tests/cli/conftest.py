"""What the tests of the commands share."""

from __future__ import annotations

import pytest
from tests.cli.asking_camp import Asked


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Asked:
    """One question of ``fellfare camp``, asked as often as one likes."""
    return Asked(capsys, monkeypatch)
