"""A club's members: sign in and out, join by invitation, one's own account, and who is in."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, Final
from urllib.parse import quote

import msgspec
from litestar import Request, Response, get, post
from litestar.datastructures import Cookie, State
from litestar.exceptions import NotFoundException
from litestar.params import FromQuery, URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.book import ROLES, Accounts, Member, SignedIn
from fellfare.mistake import Mistake
from fellfare.web.desks import SESSION_COOKIE
from fellfare.web.drawing import page
from fellfare.web.here import FromGuest, FromHere, Guest, Here, is_ours
from fellfare.web.pages.keeping import as_file

Posted = URLEncodedBody[dict[str, Any]]
Asked = Request[Any, Any, Any]

#: What each role may do, in words.
ROLE_WORDS: Final = {
    "reader": "reads everything",
    "cook": "reads and changes everything",
    "keeper": "also invites, gives roles and takes members out",
}


def _accounts(state: State) -> Accounts:
    accounts: Accounts | None = state.desks.accounts
    if accounts is None:
        raise NotFoundException  # one's own machine has no accounts
    return accounts


def _who(here: Here) -> Member:
    if here.member is None:
        raise NotFoundException
    return here.member


# ---------------------------------------------------------------- coming in


@get("/sign-in", sync_to_thread=True, include_in_schema=False)
def sign_in_page(guest: FromGuest, state: State, back: FromQuery[str] = "/") -> Template:
    """Club, name and password."""
    _accounts(state)
    return _sign_in_form(guest, {"back": back})


@post("/sign-in", sync_to_thread=True, include_in_schema=False)
def sign_in(request: Asked, guest: FromGuest, state: State, data: Posted) -> Response[Any]:
    """Begin a session."""
    accounts = _accounts(state)
    fields = _fields(data, "club", "name", "password", "back")
    address = request.client.host if request.client else ""
    try:
        signed = accounts.sign_in(fields["club"], fields["name"], fields["password"], address)
    except Mistake as mistake:
        return _sign_in_form(guest, fields, mistake)
    return _begun(signed, state, fields["back"])


@get("/join", sync_to_thread=True, include_in_schema=False)
def join_page(guest: FromGuest, state: State, invitation: FromQuery[str] = "") -> Template:
    """Name and password for a new member."""
    _accounts(state)
    return _join_form(guest, {"invitation": invitation})


@post("/join", sync_to_thread=True, include_in_schema=False)
def join(request: Asked, guest: FromGuest, state: State, data: Posted) -> Response[Any]:
    """Take up an invitation and begin the first session."""
    accounts = _accounts(state)
    fields = _fields(data, "invitation", "club", "name", "password")
    address = request.client.host if request.client else ""
    try:
        accounts.sign_up(fields["invitation"], fields["name"], fields["password"])
    except Mistake as mistake:
        return _join_form(guest, fields, mistake)
    try:
        signed = accounts.sign_in(fields["club"], fields["name"], fields["password"], address)
    except Mistake:  # the club was not named rightly: joined all the same
        return Redirect("/sign-in?joined=1", status_code=303)
    return _begun(signed, state, "/")


@post("/sign-out", sync_to_thread=True, include_in_schema=False)
def sign_out(request: Asked, state: State) -> Response[Any]:
    """End the session."""
    accounts = _accounts(state)
    token = request.cookies.get(SESSION_COOKIE)
    if token:
        accounts.sign_out(token)
    return _ended()


# ---------------------------------------------------------------- one's own account


@get("/account", sync_to_thread=True, include_in_schema=False)
def account(here: FromHere, state: State, done: FromQuery[str] = "") -> Template:
    """What is kept of oneself, and how to leave."""
    _accounts(state)
    return _account_page(here, done=done)


@post("/account/password", sync_to_thread=True, include_in_schema=False)
def change_password(here: FromHere, state: State, data: Posted) -> Response[Any]:
    """Another password; every other session ends."""
    fields = _fields(data, "old", "new")
    try:
        signed = _accounts(state).change_password(_who(here), fields["old"], fields["new"])
    except Mistake as mistake:
        field = "old" if mistake.code.startswith("sign-in") else "new"
        return _account_page(here, faults={field: [mistake]})
    return _begun(signed, state, "/account?done=password")


@post("/account/sessions", sync_to_thread=True, include_in_schema=False)
def sign_out_everywhere(here: FromHere, state: State) -> Response[Any]:
    """End every session, this one too."""
    _accounts(state).sign_out_everywhere(_who(here))
    return _ended()


@get("/account/data", sync_to_thread=True, include_in_schema=False)
def own_data(here: FromHere, state: State) -> Response[bytes]:
    """Everything that is kept of oneself, as a file."""
    data = _accounts(state).own_data(_who(here))
    text = msgspec.json.format(msgspec.json.encode(data), indent=1)
    return as_file(text, "my-data.json", "application/json")


@post("/account/leave", sync_to_thread=True, include_in_schema=False)
def leave(here: FromHere, state: State, data: Posted) -> Response[Any]:
    """Leave the club; what one saved stays in its book, without the name."""
    member = _who(here)
    if str(data.get("name", "")).strip() != member.name:
        mistake = Mistake("name-not-repeated", "that is not your name here",
                          f"write {member.name!r} to leave")  # fmt: skip
        return _account_page(here, faults={"name": [mistake]})
    try:
        _accounts(state).remove(member, member.id)
    except Mistake as mistake:
        return _account_page(here, faults={"name": [mistake]})
    return _ended()


# ---------------------------------------------------------------- who is in


@get("/members", sync_to_thread=True, include_in_schema=False)
def members(here: FromHere, state: State) -> Template:
    """Everybody in the club."""
    return _members_page(here, state)


@post("/members/invite", sync_to_thread=True, include_in_schema=False)
def invite(request: Asked, here: FromHere, state: State, data: Posted) -> Template:
    """A link with which one person can join; shown once."""
    who = _who(here)
    token = _accounts(state).invite(who.club_id, str(data.get("role", "")), who)
    link = f"{str(request.base_url).rstrip('/')}/join?invitation={quote(token, safe='')}"
    return _members_page(here, state, link=link)


@post("/members/role", sync_to_thread=True, include_in_schema=False)
def give_role(here: FromHere, state: State, data: Posted) -> Response[Any]:
    """Another role for somebody."""
    return _changed(
        here, state,
        lambda: _accounts(state).set_role(_who(here), _number(data), str(data.get("role", ""))),
    )  # fmt: skip


@post("/members/remove", sync_to_thread=True, include_in_schema=False)
def take_out(here: FromHere, state: State, data: Posted) -> Response[Any]:
    """Take somebody out of the club."""
    return _changed(here, state, lambda: _accounts(state).remove(_who(here), _number(data)))


# ---------------------------------------------------------------- pieces


def _fields(data: dict[str, Any], *names: str) -> dict[str, str]:
    return {name: str(data.get(name, ""))[:1100] for name in names}


def _number(data: dict[str, Any]) -> int:
    text = str(data.get("member", ""))
    return int(text) if text.isascii() and text.isdigit() and len(text) < 15 else -1


def _sign_in_form(guest: Guest, fields: dict[str, str], mistake: Mistake | None = None) -> Template:
    return page(
        guest, "club/sign_in.html", status=422 if mistake else 200, mistake=mistake,
        fields={"club": "", "name": "", "back": "/"} | fields,
    )  # fmt: skip


def _join_form(guest: Guest, fields: dict[str, str], mistake: Mistake | None = None) -> Template:
    faults: dict[str, list[Mistake]] = {}
    if mistake is not None:
        part = mistake.code.partition("-")[0]
        field = {"password": "password", "member": "name", "book": "name"}.get(part, "invitation")
        faults[field] = [mistake]
    return page(
        guest, "club/join.html", status=422 if mistake else 200, faults=faults,
        fields={"invitation": "", "club": "", "name": ""} | fields,
    )  # fmt: skip


def _account_page(
    here: Here, *, done: str = "", faults: dict[str, list[Mistake]] | None = None
) -> Template:
    return page(
        here, "club/account.html", status=422 if faults else 200, member=_who(here),
        done=done, faults=faults or {}, role_words=ROLE_WORDS,
    )  # fmt: skip


def _members_page(
    here: Here, state: State, *, link: str = "", mistake: Mistake | None = None
) -> Template:
    who = _who(here)
    return page(
        here, "club/members.html", status=422 if mistake else 200, member=who, link=link,
        mistakes=() if mistake is None else (mistake,), roles=ROLES, role_words=ROLE_WORDS,
        found=_accounts(state).members(who),
    )  # fmt: skip


def _changed(here: Here, state: State, change: Callable[[], object]) -> Response[Any]:
    try:
        change()
    except Mistake as mistake:
        return _members_page(here, state, mistake=mistake)
    return Redirect("/members", status_code=303)


def _begun(signed: SignedIn, state: State, back: str) -> Redirect:
    lasts = int((signed.expires_at - datetime.now(UTC)).total_seconds())
    cookie = Cookie(
        SESSION_COOKIE, value=signed.token, max_age=max(lasts, 0), httponly=True, samesite="lax",
        secure=state.https, path="/",
    )  # fmt: skip
    return Redirect(back if is_ours(back) else "/", status_code=303, cookies=[cookie])


def _ended() -> Redirect:
    gone = Cookie(SESSION_COOKIE, value="", max_age=0, httponly=True, samesite="lax", path="/")
    return Redirect("/sign-in", status_code=303, cookies=[gone])


CLUB: Final[list[Any]] = [
    sign_in_page, sign_in, join_page, join, sign_out, account, change_password,
    sign_out_everywhere, own_data, leave, members, invite, give_role, take_out,
]  # fmt: skip
