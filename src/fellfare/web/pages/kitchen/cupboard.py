"""What only you can say: packs of the shop, what is at home, the dryer, boxes, who carries."""

from __future__ import annotations

from typing import Any, Final
from urllib.parse import quote

from litestar import Response, get, post
from litestar.params import FromPath, URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.book import ChangedMeanwhile
from fellfare.mistake import Mistake
from fellfare.web.documents import own_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.pages.kitchen.provided import Provided, provided
from fellfare.web.pages.kitchen.read import shown
from fellfare.web.saving import save_or_show_both

Posted = URLEncodedBody[dict[str, Any]]

#: A first document: everything in it is commented out.
BEGINNING: Final = """\
# What is bought, at home and packed for {title}.  Take the # away where it fits you.
# currency = "EUR"
# first = "cost"          # the cheapest packs; "spare" = the least left over

# dry_at_home = ["lentils-precooked"]   # dried foods that you make yourself

# [at_home]               # what is in the cupboard is not bought again
# salt = "400 g"
# cinnamon = "3 tbsp"

# [dryer]
# trays = 5
# tray_m2 = 0.09

# [[pack]]                # one for each pack that the shop sells
# food = "couscous"
# size = "500 g"
# price = 1.19
"""


@get("/kitchen/{name:str}/cupboard", sync_to_thread=True, include_in_schema=False)
def cupboard(here: FromHere, name: FromPath[str]) -> Template:
    """The document, or a first one to begin with."""

    def given(there: Provided) -> dict[str, Any]:
        text = BEGINNING.format(title=there.made.trip.title.replace("\n", " "))
        own = there.own
        return {"text": text if own is None else own.text, "mistakes": (),
                "based_on": None if own is None else own.revision, "boxes_of": _boxes(there),
                "own_name": there.made.name if own is None else own.name}  # fmt: skip

    return shown(here, name, "kitchen/cupboard.html", "cupboard", given)


@post("/kitchen/{name:str}/cupboard", sync_to_thread=True, include_in_schema=False)
def keep_cupboard(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """Keep it, if it can be read and the trip knows its names."""
    text = str(data.get("text", "")).replace("\r\n", "\n")
    told = str(data.get("based_on", ""))
    based_on = int(told) if told.isascii() and told.isdigit() and len(told) < 10 else None
    there = provided(here, name)
    keep_as = there.made.name if there.own is None else there.own.name
    try:
        own_of(text, here.pantry, keep_as)
    except Mistake as mistake:
        return page(
            here, "kitchen/cupboard.html", "kitchen", status=422, there=there, one=there.one,
            name=name, tab="cupboard", trip=there.made.trip, text=text, based_on=based_on,
            mistakes=each_of(mistake), boxes_of=_boxes(there), own_name=keep_as,
        )  # fmt: skip
    return _kept(here, name, keep_as, text, based_on)


def _kept(here: Here, name: str, keep_as: str, text: str, based_on: int | None) -> Response[Any]:
    try:
        done = here.book.save("provision", keep_as, text, based_on, by=here.by)
    except ChangedMeanwhile:
        return save_or_show_both(here, "provision", keep_as, text, based_on)
    return Redirect(f"/kitchen/{quote(name, safe='')}?saved={done.revision}", status_code=303)


def _boxes(there: Provided) -> tuple[str, ...]:
    return tuple(stop.name for stop in there.made.trip.stops if stop.kind == "box")


CUPBOARD: Final[list[Any]] = [cupboard, keep_cupboard]
