"""What a worker does with a run of the composer; what it hands in, and the dishes of that."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Iterable
from hashlib import blake2b
from threading import Lock
from typing import Final

import msgspec
from msgspec import Struct

from fellfare.book import Book
from fellfare.book.jobs import Job
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.composing.differing import most_different
from fellfare.recipe.composing.hindering import Hindered
from fellfare.recipe.composing.laying import Laid, lay
from fellfare.recipe.composing.question import Composition
from fellfare.recipe.composing.sweeping import Dish, Progress, compose, dish_of
from fellfare.web.documents import composition_of
from fellfare.web.foods_at_hand import FoodsAtHand
from fellfare.web.work.worker import COMPOSE, wake

#: Hears how far it is; False = stop.
Report = Callable[[dict[str, object]], bool]

#: Seconds after which it hands over what it has, by the button.
SECONDS: Final = {"short": 10.0, "usual": 60.0, "long": 300.0}
#: So many dishes that differ most are shown, so many of the front on one page of it, and so many
#: as dots of its picture (evenly out of all).
CHOSEN: Final = 12
PER_PAGE: Final = 50
MOST_DOTS: Final = 400
#: So many of a front are held; a longer one says so.
MOST_HELD: Final = 50_000
MOST_KEPT: Final = 12

_lock = Lock()


class Asked(Struct, frozen=True, kw_only=True):
    """What is asked of the worker."""

    name: str
    revision: int
    seconds: float


class Found(Struct, frozen=True, kw_only=True):
    """What it hands in: numbers of combinations, from which their dishes follow."""

    key: str
    front: tuple[int, ...]
    chosen: tuple[int, ...]
    combinations: int
    seen: int
    fitting: int
    #: Dishes on the whole front; more than are in ``front`` where it is long.
    front_size: int
    stopped: bool
    coarser: float
    #: Where nothing keeps every limit: what is in the way.
    hindered: Hindered | None = None


class Shown(Struct, frozen=True, kw_only=True, eq=False):
    """The same with its dishes, as far as one page shows them."""

    found: Found
    asked: Composition
    #: The dishes of one page of the front, and the place of the first of them (from 1).
    front: tuple[Dish, ...]
    first: int
    #: Which page it is (from 1), and of how many.
    page: int
    pages: int
    #: Dishes of the picture: the whole front, or evenly out of a long one.
    dotted: tuple[Dish, ...]
    chosen: tuple[Dish, ...]


def about(name: str) -> str:
    """What jobs of a composition are about."""
    return f"composition {name}"[:200]


def key_of(text: str, foods: FoodsAtHand) -> str:
    """The same for the same document and the same own foods."""
    made = blake2b(text.encode("utf-8", "surrogatepass"), digest_size=16)
    made.update(msgspec.json.encode(foods.own()))
    return made.hexdigest()


def ask(book: Book, name: str, revision: int, seconds: float, by: str) -> Job:
    """A job of this book; the worker is woken."""
    plain = msgspec.to_builtins(Asked(name=name, revision=revision, seconds=seconds))
    job = book.jobs.add(COMPOSE, plain, about=about(name), by=by)
    wake(book, COMPOSE)
    return job


def do_job(book: Book, job: Job, report: Report) -> str:
    """Sweep, within its time; the result as text.

    Raises
    ------
    Mistake
        What is wrong with the document.
    """
    asked = msgspec.convert(job.asked, Asked)
    foods = FoodsAtHand(book)
    text = book.get("composition", asked.name, asked.revision).text
    question = composition_of(text, asked.name).asked
    began = said = time.monotonic()
    going = True

    def watch(progress: Progress) -> bool:
        nonlocal said, going
        now = time.monotonic()
        if now - said > 0.3:
            said = now
            going = bool(report({"seen": progress.seen, "of": progress.of,
                                 "fitting": progress.fitting, "front": progress.front,
                                 "seconds": round(now - began, 1)}))  # fmt: skip
        return not going or now - began > asked.seconds

    done = compose(question, foods.pantry(), watch)
    chosen = most_different((*done.dishes, *done.kinds), CHOSEN)
    found = Found(
        key=key_of(text, foods),
        front=tuple(dish.number for dish in done.dishes[:MOST_HELD]),
        chosen=tuple(dish.number for dish in chosen),
        combinations=done.combinations,
        seen=done.seen,
        fitting=done.fitting,
        front_size=len(done.dishes),
        stopped=done.stopped,
        coarser=done.coarser,
        hindered=done.hindered,
    )
    return msgspec.json.encode(found).decode()


def read_found(text: str) -> Found | None:
    """None when it is none of ours, or of an older kind."""
    try:
        return msgspec.json.decode(text, type=Found)
    except (msgspec.ValidationError, msgspec.DecodeError):
        return None


_laid: OrderedDict[str, Laid] = OrderedDict()
_shown: OrderedDict[bytes, Shown] = OrderedDict()


def laid_of(key: str, asked: Composition, pantry: Pantry) -> Laid:
    """The parts laid out, once for each state of document and own foods.

    Raises
    ------
    Mistake
        As :func:`fellfare.recipe.composing.laying.lay`.
    """
    with _lock:
        if key in _laid:
            _laid.move_to_end(key)
            return _laid[key]
    made = lay(asked, pantry)
    with _lock:
        _laid[key] = made
        while len(_laid) > MOST_KEPT:
            _laid.popitem(last=False)
    return made


def shown_of(found: Found, asked: Composition, pantry: Pantry, page: int = 1) -> Shown:
    """The dishes of a result, from their numbers: one page of the front, kept within its ends."""
    pages = max(1, -(-len(found.front) // PER_PAGE))
    page = min(max(page, 1), pages)
    mark = blake2b(msgspec.json.encode((found, page)), digest_size=16).digest()
    with _lock:
        if mark in _shown:
            _shown.move_to_end(mark)
            return _shown[mark]
    laid = laid_of(found.key, asked, pantry)

    def dishes(numbers: Iterable[int]) -> tuple[Dish, ...]:
        return tuple(dish_of(laid, number) for number in numbers)

    first = (page - 1) * PER_PAGE
    step = max(1, -(-len(found.front) // MOST_DOTS))
    made = Shown(
        found=found,
        asked=asked,
        front=dishes(found.front[first : first + PER_PAGE]),
        first=first + 1,
        page=page,
        pages=pages,
        dotted=dishes(found.front[::step]),
        chosen=dishes(found.chosen),
    )
    with _lock:
        _shown[mark] = made
        while len(_shown) > MOST_KEPT:
            _shown.popitem(last=False)
    return made
