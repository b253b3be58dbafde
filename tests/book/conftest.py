"""Every test of the book runs on both engines, see ``tests/conftest.py``."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest

from fellfare.book import Book, Shelf, open_book, open_shelf
from fellfare.mistake import Mistake


class Clock:
    """A clock that goes on by a second whenever somebody looks; or is set forward."""

    def __init__(self) -> None:
        self.time = datetime(2031, 5, 1, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.time += timedelta(seconds=1)
        return self.time

    def wait(self, **by: float) -> None:
        self.time += timedelta(**by)


@pytest.fixture(autouse=True)
def no_flush_of_the_whole_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """An export flushes every disk once; thirty of them would hold up everybody else."""
    monkeypatch.setattr(os, "sync", lambda: None, raising=False)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(params=["file", "empty_postgresql"])
def own_address(request: pytest.FixtureRequest) -> str:
    """The same for a test that breaks the tables themselves."""
    address = request.getfixturevalue(request.param)
    assert isinstance(address, str)
    return address


@pytest.fixture
def book(address: str, clock: Clock) -> Iterator[Book]:
    with open_book(address, clock=clock) as opened:
        yield opened


@pytest.fixture
def shelf(address: str, clock: Clock) -> Iterator[Shelf]:
    with open_shelf(address, clock=clock) as opened:
        yield opened


@pytest.fixture
def refused() -> Callable[[Callable[[], object]], str]:
    """The code of the mistake that a call raises."""

    def go(call: Callable[[], object]) -> str:
        with pytest.raises(Mistake) as caught:
            call()
        return caught.value.code

    return go
