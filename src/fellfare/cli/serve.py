"""``fellfare serve``: the book in the browser, on this machine only."""

from __future__ import annotations

import os
import socket
import stat
from contextlib import closing
from pathlib import Path
from secrets import token_hex
from typing import Final

import click

from fellfare.mistake import Mistake

#: Asked for first; any free one when another program has it.
USUAL_PORT: Final = 8642
HOST: Final = "127.0.0.1"


@click.command()
@click.option(
    "--port",
    type=click.IntRange(0, 65_535),
    metavar="N",
    help=f"Port to listen on; 0: any free one.  [{USUAL_PORT}, or any free one]",
)
@click.option("--browser/--no-browser", default=True, help="Open the page in the browser.")
@click.option("--book", "place", metavar="FILE", help="Another book than your usual one.")
def command(port: int | None, browser: bool, place: str | None) -> None:
    """Show your book in the browser.

    Only programs of this machine can reach it.  Stop it with Ctrl+C.
    """
    # Both bring half a second of imports along: only here, where they are needed.
    import uvicorn

    from fellfare.book import open_book, usual_place
    from fellfare.web import Settings, make_app

    listening = listen(port)
    number = int(listening.getsockname()[1])
    address = f"http://{HOST}:{number}/"
    where = place or usual_place()
    with closing(listening), closing(open_book(where)) as book:
        app = make_app(book, Settings(port=number, secret=_secret(where)))
        click.echo(f"Your book is at {address}  (stop: Ctrl+C)")
        click.echo(f"  kept in {_shown(where)}")
        if browser:
            _open_when_ready(address)
        config = uvicorn.Config(app, log_level="warning", server_header=False, access_log=False)
        uvicorn.Server(config).run(sockets=[listening])


def listen(port: int | None) -> socket.socket:
    """A socket on the port, or on any free one when none was asked for and the usual is taken."""
    for number in (USUAL_PORT, 0) if port is None else (port,):
        # The protocol is named, for only then does asyncio send each answer at once; otherwise
        # every one waits some 40 ms for the browser's acknowledgement.
        one = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            one.bind((HOST, number))
        except OSError:
            one.close()
            continue
        one.listen(128)
        one.set_inheritable(True)
        return one
    raise Mistake(
        "port-taken",
        f"port {port} cannot be listened on: another program has it, or it is not yours to take",
        "give another one, or leave --port out",
        "--port",
    )


def _secret(where: str) -> str:
    """The key of the form tokens: kept beside the book, so that open forms outlive a restart."""
    if "://" in where:
        return os.environ.get("FELLFARE_SECRET", "") or token_hex(32)
    path = Path(where).with_suffix(".key")
    try:
        kept = path.read_text("ascii").strip()
    except (OSError, UnicodeDecodeError):
        kept = ""
    if len(kept) >= 32:
        return kept
    made = token_hex(32)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch(mode=stat.S_IRUSR | stat.S_IWUSR)
        path.write_text(made, "ascii")
    except OSError:
        pass  # then it lasts for this run
    return made


def _shown(where: str) -> str:
    """A place without the password that the address of a database may hold."""
    return where.partition("://")[0] + " database" if "://" in where else where


def _open_when_ready(address: str) -> None:
    import threading
    import webbrowser

    # The socket listens already: the browser waits the moment that the server still needs.
    threading.Timer(0.3, webbrowser.open, (address,)).start()
