"""Every test of the book runs on both engines: SQLite, and a PostgreSQL cluster of our own.

The cluster lies in a temporary folder, listens on the loopback only and is stopped at the
end.  Where the server's programs are missing, CI fails and a person's machine skips.
"""

from __future__ import annotations

import getpass
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from shutil import disk_usage

import pytest

from fellfare.book import Book, Shelf, open_book, open_shelf
from fellfare.book.tables import METADATA
from fellfare.mistake import Mistake

psycopg = pytest.importorskip("psycopg") if not os.environ.get("CI") else __import__("psycopg")


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


def _program(name: str) -> Path:
    found = shutil.which(name)
    places = [Path(found)] if found else []
    places += sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), reverse=True)
    for place in places:
        if place.exists():
            return place.resolve()
    if os.environ.get("CI"):
        pytest.fail(f"{name} is missing: install postgresql")
    pytest.skip(f"{name} is not installed: the tests on PostgreSQL are left out")


def _user() -> str:
    """Whom the server runs as: it refuses root."""
    if os.geteuid() != 0:
        return getpass.getuser()
    known = {one.pw_name for one in pwd.getpwall()}
    return "postgres" if "postgres" in known else "nobody"


@pytest.fixture(scope="session")
def cluster() -> Iterator[str]:
    """Start of the address of a server of our own."""
    initdb, pg_ctl = _program("initdb"), _program("pg_ctl")
    user = _user()
    as_user = ["runuser", "-u", user, "--"] if os.geteuid() == 0 else []
    folder = Path(tempfile.mkdtemp(prefix="fellfare-pg-"))
    if as_user:
        shutil.chown(folder, user)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]

    def run(*words: str | Path) -> None:
        done = subprocess.run(
            [*as_user, *map(str, words)], cwd=folder, capture_output=True, text=True, check=False
        )
        if done.returncode:
            pytest.fail(f"{words[0]}: {done.stdout[-800:]}{done.stderr[-800:]}")

    data = folder / "data"
    run(initdb, "-D", data, "-U", "fellfare", "-A", "trust", "-E", "UTF8", "--locale=C", "-N")
    options = (
        f"-c listen_addresses=127.0.0.1 -c port={port} -c unix_socket_directories={folder} "
        "-c fsync=off -c max_connections=60 -c shared_buffers=32MB"
    )
    log = folder / "log"
    run(pg_ctl, "-D", data, "-l", log, "-w", "-t", "60", "-o", options, "start")
    try:
        yield f"postgresql+psycopg://fellfare@127.0.0.1:{port}"
    finally:
        run(pg_ctl, "-D", data, "-w", "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)


_NUMBERS = count(1)
#: Emptied after each test, in place of a database for each: that would take most of the time.
_TABLES = ", ".join(table.name for table in METADATA.sorted_tables)


def _execute(cluster: str, statement: str, database: str = "postgres") -> None:
    plain = cluster.replace("+psycopg", "") + f"/{database}"
    with psycopg.connect(plain, autocommit=True) as connection:
        connection.execute(statement)


@pytest.fixture(scope="session")
def shared(cluster: str) -> str:
    """A database with the tables in it."""
    _execute(cluster, "CREATE DATABASE shared")
    open_book(f"{cluster}/shared").close()
    return f"{cluster}/shared"


@pytest.fixture
def empty_postgresql(cluster: str) -> str:
    """The address of a database with nothing in it, to do with as one likes."""
    name = f"empty_{next(_NUMBERS)}"
    _execute(cluster, f"CREATE DATABASE {name}")
    return f"{cluster}/{name}"


@pytest.fixture
def file() -> Iterator[str]:
    """Where a new SQLite book may lie: in memory where there is such a folder, for the disk
    is shared with everybody else who tests."""
    memory = Path("/dev/shm")
    room = memory if os.access(memory, os.W_OK) and disk_usage(memory).free > 50e6 else None
    with tempfile.TemporaryDirectory(prefix="fellfare-", dir=room) as folder:
        yield f"{folder}/book.fellfare"


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest) -> Iterator[str]:
    """Where a new book may lie, on either engine."""
    if request.param == "sqlite":
        yield request.getfixturevalue("file")
        return
    shared = request.getfixturevalue("shared")
    yield shared
    cluster, _, name = shared.rpartition("/")
    _execute(cluster, f"TRUNCATE {_TABLES} RESTART IDENTITY", name)


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
