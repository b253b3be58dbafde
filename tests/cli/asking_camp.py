"""Asks ``fellfare camp`` through the real command line."""

from __future__ import annotations

import json
import sys
from typing import Any

import pytest

from fellfare.cli import main


class Asked:
    """Runs the real command line."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.capsys, self.patch = capsys, monkeypatch

    def __call__(self, *words: str) -> tuple[int, str, str]:
        self.patch.setattr(sys, "argv", ["fellfare", "camp", *words])
        with pytest.raises(SystemExit) as left:
            main()
        printed = self.capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    def data(self, *words: str, status: int = 0) -> Any:
        code, out, err = self(*words, "--json")
        assert (code, err) == (status, "")
        return json.loads(out)
