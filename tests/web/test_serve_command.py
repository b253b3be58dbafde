"""``fellfare serve``: one command, and the book is in the browser of this machine only."""

from __future__ import annotations

import re
import signal
import socket
import stat
import subprocess
import sys
from pathlib import Path

import httpx
from click.testing import CliRunner

from fellfare.cli.serve import command, listen
from fellfare.mistake import Mistake


def test_it_says_where_the_book_is_answers_there_and_stops(tmp_path: Path) -> None:
    place = tmp_path / "mine.fellfare"
    words = ["serve", "--no-browser", "--port", "0", "--book", str(place)]
    with subprocess.Popen(
        [sys.executable, "-m", "fellfare", *words], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        told = server.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", told)
        assert address is not None, told
        answer = httpx.get(address[0], timeout=20)
        assert answer.status_code == 200
        assert "What will you eat out there?" in answer.text
        assert "server" not in answer.headers
        forged = httpx.get(address[0], headers={"host": "evil.example"}, timeout=20)
        assert forged.status_code == 400
        server.send_signal(signal.SIGINT)
        server.wait(20)
    key = tmp_path / "mine.key"
    assert len(key.read_text()) == 64
    assert stat.S_IMODE(key.stat().st_mode) == stat.S_IRUSR | stat.S_IWUSR


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = str(other.getsockname()[1])
        done = CliRunner().invoke(
            command, ["--port", port, "--no-browser", "--book", str(tmp_path / "b.fellfare")]
        )
    assert isinstance(done.exception, Mistake)
    assert done.exception.code == "port-taken"


def test_only_this_machine_can_reach_it() -> None:
    with listen(0) as listening:
        assert listening.getsockname()[0] == "127.0.0.1"
        # Named, so that asyncio sends every answer at once (see the command).
        assert listening.proto == socket.IPPROTO_TCP
