"""The app for a server of several processes: ``uvicorn --factory fellfare.web.asgi:club_app``.

Told by variables of the environment, for there is no command line here: ``FELLFARE_BOOK`` (the
address of the database), ``FELLFARE_HOSTS`` (names under which it is asked, commas between),
``FELLFARE_SECRET`` (the key of the form tokens, the same for all processes).  It is served by
https, behind whatever ends the encryption.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Final

from litestar import Litestar

from fellfare.book import open_shelf, usual_place
from fellfare.mistake import Mistake
from fellfare.web.app import make_app
from fellfare.web.settings import Settings

#: A shorter key could be guessed.
LEAST_SECRET: Final = 32


def club_app(environ: Mapping[str, str] | None = None) -> Litestar:
    """The app on the books of clubs, with accounts.

    Raises
    ------
    Mistake
        ``club-hosts-missing``, ``club-secret-missing``, or as
        :func:`fellfare.book.open_shelf`.
    """
    told = os.environ if environ is None else environ
    hosts = tuple(
        host.strip() for host in told.get("FELLFARE_HOSTS", "").split(",") if host.strip()
    )
    if not hosts:
        raise Mistake(
            "club-hosts-missing",
            "nobody has said under which names the club's pages are asked",
            "set FELLFARE_HOSTS to the host names, commas between",
            "FELLFARE_HOSTS",
        )
    secret = told.get("FELLFARE_SECRET", "")
    if len(secret) < LEAST_SECRET:
        raise Mistake(
            "club-secret-missing",
            f"the key of the form tokens has {len(secret)} letters",
            f"set FELLFARE_SECRET to {LEAST_SECRET} random letters or more, the same for all",
            "FELLFARE_SECRET",
        )
    shelf = open_shelf(usual_place(told))
    return make_app(shelf, Settings(hosts=hosts, secret=secret, https=True))
