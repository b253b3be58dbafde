"""A season of parties as data: one purchase, lots, and who has something of a lot."""

from __future__ import annotations

from typing import Any, Final

from litestar import get
from litestar.params import FromPath, FromQuery

from fellfare.files.season_json import recall_data, season_data
from fellfare.provision.season.lots import doubtful, ledger_of, recall
from fellfare.web.api.refusals import Absent, Refused
from fellfare.web.here import FromHere
from fellfare.web.pages.season.opened import Supplied, day_of, open_season, supplied
from fellfare.web.pages.season.read import purchase_for, returned


@get("/api/seasons/{name:str}", sync_to_thread=True, tags=["season"],
     responses=Absent | Refused, summary="Parties, one purchase, lots, what came back")  # fmt: skip
def season(here: FromHere, name: FromPath[str], on: FromQuery[str] = "") -> dict[str, Any]:
    """Everything that ``fellfare season --json`` prints, without papers.

    ``on`` is a day such as 2031-06-01; without it today.  ``missing`` are parties that are not
    counted, with the reason; ``menus`` tells how each menu stands.
    """
    opened = open_season(here, name)
    got = supplied(here, opened)
    today = day_of(on)
    file = opened.file
    purchase, _ = purchase_for(here, opened, got, today)
    ledger = ledger_of(got.parties, file.lots, here.pantry, file.packed)
    back, _, _ = returned(here, opened, got)
    data = season_data(file.title, today, got.parties, purchase, ledger, back)
    menus = {row.name: {"state": row.state, "why": list(row.why)} for row in opened.rows}
    return data | {"menus": menus, "missing": _missing(got)}


@get("/api/seasons/{name:str}/recall", sync_to_thread=True, tags=["season"],
     responses=Absent | Refused, summary="Who has something of a lot")  # fmt: skip
def recall_of(
    here: FromHere, name: FromPath[str], lot: FromQuery[str], on: FromQuery[str] = ""
) -> dict[str, Any]:
    """Lot, bags, boxes, parties, those now out first.

    ``doubtful`` has the same food of no lot that is written down; ``missing`` could not be
    followed.
    """
    opened = open_season(here, name)
    got = supplied(here, opened)
    today = day_of(on)
    ledger = ledger_of(got.parties, opened.file.lots, here.pantry, opened.file.packed)
    return {
        "lot": lot,
        "today": today.isoformat(),
        "recall": recall_data(recall(ledger, got.parties, lot, today)),
        "doubtful": recall_data(doubtful(ledger, got.parties, lot, today)),
        "missing": _missing(got),
    }


def _missing(got: Supplied) -> list[dict[str, str]]:
    return [{"party": party, "why": why} for party, why in got.missing]


SEASONS_API: Final[list[Any]] = [season, recall_of]
