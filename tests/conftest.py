"""What holds for all tests: laws are tried with the same seed in CI, and no test is timed.

Books are tried on both engines: SQLite, and a PostgreSQL cluster of our own.  The cluster lies in
a temporary folder, listens on the loopback only and is stopped at the end.  Where the server's
programs are missing, CI fails and a person's machine skips.
"""

from __future__ import annotations

import getpass
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from functools import cache
from itertools import count
from pathlib import Path
from shutil import disk_usage
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("house", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "house")


# ---------------------------------------------------------------- the engines of a book


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
    _driver()
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


@cache
def _tables() -> str:
    """Emptied after each test: a database for each would take most of the time."""
    from fellfare.book.tables import METADATA

    return ", ".join(table.name for table in METADATA.sorted_tables)


def _execute(cluster: str, statement: str, database: str = "postgres") -> None:
    plain = cluster.replace("+psycopg", "") + f"/{database}"
    with _driver().connect(plain, autocommit=True) as connection:
        connection.execute(statement)


def _driver() -> Any:
    return pytest.importorskip("psycopg") if not os.environ.get("CI") else __import__("psycopg")


@pytest.fixture(scope="session")
def shared(cluster: str) -> str:
    """A database with the tables in it."""
    from fellfare.book import open_book

    _execute(cluster, "CREATE DATABASE shared")
    open_book(f"{cluster}/shared").close()
    return f"{cluster}/shared"


@pytest.fixture(scope="session")
def clubs_postgresql(cluster: str) -> str:
    """The address of a database for clubs whose server runs as long as the tests do."""
    _execute(cluster, "CREATE DATABASE clubs")
    return f"{cluster}/clubs"


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
    _execute(cluster, f"TRUNCATE {_tables()} RESTART IDENTITY", name)
