"""Menus as data: the list, one on its trip, and the search for one."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from litestar import get, post
from litestar.params import FromPath, JSONBody
from msgspec import Meta, Struct, to_builtins

from fellfare.book.jobs import Job
from fellfare.files.menu_json import menu_data, rounded_data
from fellfare.menu.telling import mass_of
from fellfare.mistake import Mistake
from fellfare.web.api.refusals import Absent, Refused, Stale
from fellfare.web.documents import menu_of
from fellfare.web.errors import mistake_data
from fellfare.web.here import FromHere
from fellfare.web.pages.menus.jobs import add
from fellfare.web.pages.menus.read import open_menu
from fellfare.web.work.menus_of import next_menu, trip_of_menu
from fellfare.web.work.planned import planned
from fellfare.web.work.results import FRONT, MENU, Wanted, job_of, proof_of, read_result
from fellfare.web.work.shown import key_of, shown
from fellfare.web.work.worker import wake


class ToSearch(Struct, kw_only=True):
    """Which search: a new menu, or the front of mass against variety."""

    kind: Literal["menu", "front"] = "menu"
    seconds: Annotated[float, Meta(ge=1, le=600)] = 30.0
    gap: Annotated[float, Meta(ge=0, le=0.5)] = 0.02


@get("/api/menus", sync_to_thread=True, tags=["menus"], summary="Every menu of the book")
def list_menus(here: FromHere) -> dict[str, Any]:
    """Names, trips and masses; one that cannot be read says why."""
    trips = here.book.names("trip")
    rows = []
    for document in here.book.all("menu"):
        row: dict[str, Any] = {
            "name": document.name,
            "revision": document.revision,
            "trip": trip_of_menu(document.name, trips),
            "title": None,
            "mass_g": None,
            "mistake": None,
        }
        try:
            menu = menu_of(document.text, document.name)
            row |= {"title": menu.title, "mass_g": mass_of(menu.plates)}
        except Mistake as mistake:
            row["mistake"] = mistake_data(mistake)
        rows.append(row)
    return {"menus": rounded_data(rows)}


@get("/api/menus/{name:str}", sync_to_thread=True, tags=["menus"], responses=Absent | Refused,
     summary="One menu on its trip as it stands")  # fmt: skip
def one_menu(here: FromHere, name: FromPath[str]) -> dict[str, Any]:
    """Everything that ``fellfare menu --json`` prints; ``proof`` is null where none is known.

    ``lost`` names what can no longer stand where it stood, ``broken`` the rules of the trip
    that the menu does not keep.
    """
    opened = open_menu(here, name)
    there = shown(opened.asked, opened.document.text, opened.written)
    key = key_of(opened.asked, opened.document.text)
    proof = proof_of(here.book, opened.made.name, name, key)
    data = menu_data(there.menu)
    if proof is not None:
        known = rounded_data(to_builtins(proof))
        data |= {one: known[one] for one in ("verdict", "bound_mass_g", "gap", "rounds", "settled")}
        data["proof"] = known
    else:
        data |= {"verdict": None, "bound_mass_g": None, "gap": None, "proof": None}
    data["lost"] = list(there.lost)
    kept = proof is not None and proof.keeps_all
    data["broken"] = [] if kept else rounded_data(to_builtins(there.broken))
    return data


@post("/api/trips/{name:str}/search", sync_to_thread=True, tags=["menus"], status_code=202,
      responses=Absent | Refused | Stale, summary="Ask for a menu, or a front")  # fmt: skip
def search_menu(here: FromHere, name: FromPath[str], data: JSONBody[ToSearch]) -> dict[str, Any]:
    """A worker takes it; look at ``/api/searches/NUMBER`` for how far it is.

    It needs the token of the cookie ``fellfare-form``, sent again as ``x-csrftoken``.
    """
    planned(here.book, here.book.get("trip", name))
    wanted = Wanted(
        trip=name,
        menu=next_menu(name, here.book.names("menu")),
        seconds=data.seconds,
        gap=data.gap,
    )
    return _told(add(here, MENU if data.kind == "menu" else FRONT, wanted))


@get("/api/searches/{number:int}", sync_to_thread=True, tags=["menus"], responses=Absent,
     summary="How far a search is, and what came of it")  # fmt: skip
def one_search(here: FromHere, number: FromPath[int]) -> dict[str, Any]:
    """``state``: waiting, running, done, failed or stopped (with the best that was found)."""
    job = job_of(here.book, number)
    if not job.ended:
        wake(here.book)
    return _told(job)


@post("/api/searches/{number:int}/stop", sync_to_thread=True, tags=["menus"], status_code=200,
      responses=Absent | Stale, summary="Stop a search")  # fmt: skip
def stop_search(here: FromHere, number: FromPath[int]) -> dict[str, Any]:
    """The best found is handed over.

    It needs the token of the cookie ``fellfare-form``, sent again as ``x-csrftoken``.
    """
    return _told(here.book.jobs.ask_stop(job_of(here.book, number).id))


def _told(job: Job) -> dict[str, Any]:
    result = read_result(job.result) if job.ended and job.state != "failed" else None
    plain: dict[str, Any] = {"proof": None, "none": None, "front": None}
    if result is not None:
        plain = rounded_data(to_builtins(result))
        for way in (plain["none"] or {}).get("ways", []):
            way.pop("question")  # of use to a worker only
    return {
        "number": job.id,
        "kind": job.kind,
        "state": job.state,
        "progress": rounded_data(job.progress),
        "why": job.result if job.state == "failed" else None,
        **plain,
    }


MENUS_API: Final[list[Any]] = [list_menus, one_menu, search_menu, one_search, stop_search]
