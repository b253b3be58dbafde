"""What a trip is provided with, and what its log teaches, as data."""

from __future__ import annotations

from typing import Any, Final

from litestar import get
from litestar.params import FromPath

from fellfare.files.lessons_json import lessons_data
from fellfare.files.provision_json import provision_data
from fellfare.files.robust_json import robust_data
from fellfare.web.api.refusals import Absent, Refused
from fellfare.web.here import FromHere
from fellfare.web.pages.after.opened import learnt, next_of, open_log
from fellfare.web.pages.kitchen.provided import provided
from fellfare.web.pages.kitchen.wrong import tried


@get("/api/menus/{name:str}/provision", sync_to_thread=True, tags=["provision"],
     responses=Absent | Refused, summary="What a menu asks of shop, kitchen and pack")  # fmt: skip
def provision_of_menu(here: FromHere, name: FromPath[str]) -> dict[str, Any]:
    """Everything that ``fellfare provision --json`` prints, without papers."""
    there = provided(here, name)
    return provision_data(there.one, there.findings) | {"menu": f"the menu {name}", "papers": []}


@get("/api/menus/{name:str}/robust", sync_to_thread=True, tags=["provision"],
     responses=Absent | Refused, summary="What is left when something goes wrong")  # fmt: skip
def robust_of_menu(here: FromHere, name: FromPath[str]) -> dict[str, Any]:
    """Everything that ``fellfare robust --json`` prints."""
    there = provided(here, name)
    found = tried(there)
    return robust_data(there.one, found.blows, found.helps, found.swings, found.unknown)


@get("/api/logs/{name:str}/lessons", sync_to_thread=True, tags=["provision"],
     responses=Absent | Refused, summary="What a log teaches")  # fmt: skip
def lessons_of_log(here: FromHere, name: FromPath[str]) -> dict[str, Any]:
    """Everything that ``fellfare learn --json`` prints."""
    here.book.get("log", name)
    opened = open_log(here, name)
    found = learnt(here, opened, opened.log)
    return lessons_data(found, next_of(opened, found)) | {"written": None}


PROVISION_API: Final[list[Any]] = [provision_of_menu, robust_of_menu, lessons_of_log]
