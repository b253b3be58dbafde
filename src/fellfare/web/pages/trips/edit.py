"""Make a trip or change it: fields for the common things, the whole text for the rest."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final
from urllib.parse import quote

from litestar import Response, get, post
from litestar.datastructures import UploadFile
from litestar.params import FromPath, MultipartBody
from litestar.response import Redirect, Template

from fellfare.files.gpx import read_gpx, way_of
from fellfare.mistake import Mistake
from fellfare.trip.wishes import USUAL_EATING
from fellfare.walk.track import Place
from fellfare.web.documents import trip_of
from fellfare.web.drawing import page
from fellfare.web.fields import Faults, put
from fellfare.web.here import FromHere, Here
from fellfare.web.names import free_name
from fellfare.web.pages.trips.fields import PARTS
from fellfare.web.pages.trips.form import (
    TripForm,
    form_from,
    form_of,
    name_of,
    with_row,
    without_row,
)
from fellfare.web.pages.trips.writing import place_faults, written
from fellfare.web.saving import save_or_show_both
from fellfare.web.settings import MOST_FORM_BYTES, MOST_UPLOAD_BYTES
from fellfare.web.work.planned import plan_of, planned, track_of
from fellfare.web.work.stash import at_hand, put_aside

Sent = MultipartBody[dict[str, Any]]
_MOST: Final = MOST_UPLOAD_BYTES + MOST_FORM_BYTES

#: What a new trip begins with: one person and one kitchen, and nothing that nobody has told.
_BEGIN: Final = {"walker": 1, "kitchen": 1, "stage": 2}


@get("/trips/new", sync_to_thread=True, include_in_schema=False)
def blank(here: FromHere) -> Template:
    """An empty form."""
    form = TripForm(rows={part.table: [] for part in PARTS if part.many}, us=_us(here))
    for table, many in _BEGIN.items():
        form.rows[table] = [None] * many
    return _shown(here, form, None, {})


@post("/trips/new", sync_to_thread=True, include_in_schema=False, request_max_body_size=_MOST)
def begin(here: FromHere, data: Sent) -> Response[Any]:
    """A button of the form of a new trip."""
    return _pressed(here, data, None)


@get("/trips/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def edit(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """The form of a trip of the book; one that cannot be read is mended as text."""
    document = here.book.get("trip", name)
    try:
        trip_of(document.text, name)
    except Mistake:
        return Redirect(f"/book/trip/{quote(name, safe='')}/text", status_code=303)
    return _shown(here, form_of(document.text, _us(here)), name, {}, based_on=document.revision)


@post("/trips/{name:str}/edit", sync_to_thread=True, include_in_schema=False,
      request_max_body_size=_MOST)  # fmt: skip
def change(here: FromHere, name: FromPath[str], data: Sent) -> Response[Any]:
    """A button of the form of a trip."""
    return _pressed(here, data, name)


def _us(here: Here) -> bool:
    """Whether this reader writes miles, pounds and degrees Fahrenheit."""
    return here.units == "us"


def _pressed(here: Here, data: Mapping[str, Any], name: str | None) -> Response[Any]:
    form = form_from(data)
    told = str(data.get("based_on", ""))
    based_on = int(told) if told.isascii() and told.isdigit() and len(told) < 10 else None
    faults: Faults = {}
    kept = _received(data, faults)
    what, _, rest = str(data.get("do", "save")).partition("-")
    if what == "add":
        row = len(form.rows.get(rest, []))
        focus = f"{rest}-{row}-{_first_key(rest)}"
        form = with_row(form, rest)
        return _shown(here, form, name, faults, based_on=based_on, kept=kept, focus=focus)
    if what == "drop":
        table, _, number = rest.partition("-")
        row = int(number) if number.isascii() and number.isdigit() and len(number) < 4 else 999
        form = without_row(form, table, row)
        focus = f"add-{table}"
        return _shown(here, form, name, faults, based_on=based_on, kept=kept, focus=focus)
    return _save(here, form, name, based_on, kept, faults)


def _received(data: Mapping[str, Any], faults: Faults) -> str:
    """The token of the track that was sent, now or with an earlier try; '' = none."""
    sent = data.get("track")
    if isinstance(sent, UploadFile) and sent.filename:
        try:
            return put_aside(track_text(sent.file.read(MOST_UPLOAD_BYTES + 1)))
        except Mistake as mistake:
            put(faults, "track", mistake)
            return ""
    token = str(data.get("track-kept", ""))[:100]
    if token and at_hand(token) is None:
        what = "the file is not at hand any more"
        put(faults, "track", Mistake("no-file", what, "choose it again"))
        return ""
    return token


def _first_key(table: str) -> str:
    part = next((part for part in PARTS if part.table == table), None)
    return part.fields[0].key if part else ""


def _save(
    here: Here, form: TripForm, name: str | None, based_on: int | None, token: str, faults: Faults
) -> Response[Any]:
    before = here.book.get("trip", name, revision=based_on).text if name and based_on else ""
    text, told, kept = written(form, before)
    for field, mistakes in told.items():
        for one in mistakes:
            put(faults, field, one)
    keep_as = name or free_name(here.book, "trip", form.value("title"))
    track = (at_hand(token) or "") if token else ""
    if track:
        text = _with_track(text, keep_as)
    if not faults:
        try:
            trip = trip_of(text, keep_as)
            ground = track
            if not ground:
                found = track_of(here.book, trip, keep_as)
                ground = "" if found is None else found.text
            plan_of(keep_as, text, trip, ground)
        except Mistake as mistake:
            place_faults(mistake, kept, faults)
    if faults:
        return _shown(here, form, name, faults, based_on=based_on, status=422, kept=token)
    if track:
        _keep_track(here, keep_as, track)
    return save_or_show_both(here, "trip", keep_as, text, based_on)


def track_text(data: bytes) -> str:
    """The text of a GPX file that was sent up, once it has been read.

    Raises
    ------
    Mistake
        ``file-too-large``, ``not-utf8``, and those of :func:`fellfare.files.gpx.read_gpx`.
    """
    if len(data) > MOST_UPLOAD_BYTES:
        raise Mistake("file-too-large", f"holds more than {MOST_UPLOAD_BYTES / 1e6:g} MB",
                      "thin the track, or give one file for each walk")  # fmt: skip
    way_of(read_gpx(data, most_bytes=MOST_UPLOAD_BYTES), None)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Mistake("not-utf8", f"byte {data[error.start]:#04x} on line {line} is no UTF-8 text",
                      "save the file as UTF-8") from None  # fmt: skip


def _with_track(text: str, name: str) -> str:
    import tomlkit

    document: Any = tomlkit.parse(text)
    if "walk" not in document:
        document.add("walk", tomlkit.table())
    document["walk"]["gpx"] = f"{name}.gpx"
    if "stage" in document:
        document.remove("stage")
    return tomlkit.dumps(document)


def _keep_track(here: Here, name: str, track: str) -> None:
    try:
        based_on = here.book.get("track", name).revision
    except Mistake:
        based_on = None
    here.book.save("track", name, track, based_on, by=here.by)


def _shown(
    here: Here,
    form: TripForm,
    name: str | None,
    faults: Faults,
    *,
    based_on: int | None = None,
    focus: str = "",
    status: int = 200,
    kept: str = "",
) -> Template:
    return page(
        here, "trips/edit.html", "trips", status=status, form=form, parts_of=PARTS, name=name,
        faults=faults, based_on=based_on, name_of=name_of, focus=focus, kept=kept,
        places=_places(here, name), offers=_offers(here, form),
    )  # fmt: skip


def _offers(here: Here, form: TripForm) -> dict[str, list[str]]:
    """Names that a field offers while one types."""

    def named(table: str) -> list[str]:
        rows = range(len(form.rows.get(table, [])))
        return [name for row in rows if (name := form.value(f"{table}-{row}-name"))]

    times = named("eating") or [one.name for one in USUAL_EATING]
    stages = range(len(form.rows.get("stage", [])))
    camps = [camp for row in stages if (camp := form.value(f"stage-{row}-camp"))]
    return {
        "people": named("walker"),
        "recipes": list(here.book.names("recipe")),
        "times": times,
        "places": list(dict.fromkeys(camps)),
    }


def _places(here: Here, name: str | None) -> tuple[Place, ...] | None:
    """The named places of the trip's track; None where it has no track."""
    if name is None or name not in here.book.names("track"):
        return None
    try:
        return planned(here.book, here.book.get("trip", name)).ground.places
    except Mistake:
        return ()


EDITING: Final[list[Any]] = [blank, begin, edit, change]
