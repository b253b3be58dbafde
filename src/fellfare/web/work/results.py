"""What a job hands in, and how a page finds it again."""

from __future__ import annotations

from typing import Any, Final

import msgspec
from msgspec import Struct

from fellfare.book import Book
from fellfare.book.jobs import Job
from fellfare.menu.answer import Give, Plate, Verdict
from fellfare.menu.changing import Change
from fellfare.menu.pool import Question
from fellfare.mistake import Mistake
from fellfare.web.work.wishes import Ticked

#: Kinds of job.
MENU: Final = "menu"
NEAR: Final = "near"
FRONT: Final = "front"
KINDS: Final = (MENU, NEAR, FRONT)


class Wanted(Struct, frozen=True, kw_only=True):
    """What is asked of a worker."""

    trip: str
    #: The menu document that is made or changed, and the revision that was before one's eyes.
    menu: str
    based_on: int | None = None
    seconds: float = 30.0
    gap: float = 0.02
    #: 'variety' or 'cost'.
    by: str = "variety"
    #: A question whose wishes have given, and what gave, in words.
    softened: Question | None = None
    given_up: tuple[str, ...] = ()
    #: What was fixed or left out by hand with this search, to be undone with it.
    ticked: tuple[Ticked, ...] = ()


class Proof(Struct, frozen=True, kw_only=True):
    """What is known of a menu at one revision of its document."""

    menu: str
    revision: int
    #: Of the text on that trip with those recipes, see :func:`fellfare.web.work.shown.key_of`.
    key: str
    verdict: Verdict
    mass_g: float
    bound_mass_g: float
    gap: float | None
    rounds: int
    settled: bool
    residual_kcal: float
    seconds: float
    changes: tuple[Change, ...] = ()
    sentences: tuple[str, ...] = ()
    given_up: tuple[str, ...] = ()

    @property
    def keeps_all(self) -> bool:
        """Every rule of the trip, to within the kilocalorie to which a need is settled."""
        return self.settled and not self.given_up


class Way(Struct, frozen=True, kw_only=True):
    """A set of wishes that give, and the question that then can be answered."""

    gives: tuple[Give, ...]
    question: Question


class NoMenu(Struct, frozen=True, kw_only=True):
    """Why there is none."""

    #: 'impossible' is proven, 'stopped' says nothing.
    verdict: str
    clashes: tuple[tuple[str, ...], ...] = ()
    empty: tuple[Give, ...] = ()
    ways: tuple[Way, ...] = ()


class Point(Struct, frozen=True, kw_only=True):
    """One menu of a front."""

    different: int
    cost: float | None
    mass_g: float
    bound_g: float
    step_g: float | None
    plates: tuple[Plate, ...]


class FrontFound(Struct, frozen=True, kw_only=True):
    """A front, lightest first."""

    by: str
    times: tuple[str, ...]
    points: tuple[Point, ...]
    sentences: tuple[str, ...]
    ended: str


class Result(Struct, frozen=True, kw_only=True):
    """One of the three."""

    proof: Proof | None = None
    none: NoMenu | None = None
    front: FrontFound | None = None


def packed(result: Result) -> str:
    """For the book."""
    return msgspec.json.encode(result).decode("utf-8")


def read_result(text: str) -> Result | None:
    """None when it is none of ours, or of an older kind."""
    try:
        return msgspec.json.decode(text, type=Result)
    except (msgspec.ValidationError, msgspec.DecodeError):
        return None


def wanted_of(asked: dict[str, Any]) -> Wanted:
    """What a job was asked."""
    return msgspec.convert(asked, Wanted)


def about(trip: str) -> str:
    """What jobs of a trip's menus are about."""
    return f"menus of {trip}"


def job_of(book: Book, number: int) -> Job:
    """A search of this book.

    Raises
    ------
    Mistake
        ``job-not-found``; also where the number is no search but other work.
    """
    if 0 < number < 2**31:
        job = book.jobs.get(number)
        if job.kind in KINDS:
            return job
    raise Mistake(
        "job-not-found",
        f"there is no search {str(number)[:20]}",
        "it may have been done long ago and cleared away: ask again",
    )


def proof_of(book: Book, trip: str, menu: str, key: str) -> Proof | None:
    """The proof of this very text on the trip as it stands, while its job is remembered."""
    for job in book.jobs.all(about=about(trip)):
        if job.kind == FRONT or not job.result or job.state == "failed":
            continue
        found = read_result(job.result)
        if found is None or found.proof is None:
            continue
        if (found.proof.menu, found.proof.key) == (menu, key):
            return found.proof
    return None
