"""Who does the jobs?  A thread of each server process for each lane, outside of any request.

It is woken whenever a job is asked for or looked at, takes one job after another of all clubs
(no other process can take the same one), and goes to rest when there is none.  Menus and the
composer have a lane each, so that a short search does not stand behind a long sweep.  A server
that is stopped gives back what it has begun; one that dies loses it after two minutes.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from secrets import token_hex
from threading import Event, Lock, Thread
from typing import Any, Final
from weakref import WeakKeyDictionary

from fellfare.book import Book, Shelf
from fellfare.book.jobs import Job, Jobs, work
from fellfare.web.work.results import KINDS, packed, wanted_of

#: Kind of a run of the composer.
COMPOSE: Final = "compose"

#: It says that it is alive this often [s]; the book gives a job away after 120 s of silence.
ALIVE_S: Final = 20.0

#: Does a job of a book, tells how far it is, hears whether to go on; the result as text.
Do = Callable[[Book, Job, Callable[[Mapping[str, object]], bool]], str]


def _solve(book: Book, job: Job, report: Callable[[Mapping[str, object]], bool]) -> str:
    from fellfare.web.work.solving import do_job  # the solver is slow to import

    return packed(do_job(book, job.kind, wanted_of(job.asked), report))


def _compose(book: Book, job: Job, report: Callable[[Mapping[str, object]], bool]) -> str:
    from fellfare.web.work.composing import do_job

    return do_job(book, job, report)


#: Kind of job → (its lane, who does it).
WORK: Final[dict[str, tuple[str, Do]]] = {
    **dict.fromkeys(KINDS, ("menus", _solve)),
    COMPOSE: ("compose", _compose),
}

_log = logging.getLogger("fellfare.web")
_lock = Lock()


class _Hands:
    """What one process does for one shelf."""

    def __init__(self) -> None:
        self.threads: dict[str, Thread] = {}
        #: Job → the worker that does it.
        self.begun: dict[int, tuple[Jobs, str]] = {}
        self.closing = False


_hands: WeakKeyDictionary[Shelf, _Hands] = WeakKeyDictionary()


def wake(book: Book, kind: str = KINDS[0]) -> None:
    """See to it that somebody looks at the jobs of this kind, of all clubs of the shelf."""
    lane = WORK[kind][0]
    with _lock:
        hands = _hands.setdefault(book.shelf, _Hands())
        hands.closing = False
        thread = hands.threads.get(lane)
        if thread is None or not thread.is_alive():
            thread = Thread(
                target=_run, args=(book.shelf, hands, lane), name=f"fellfare-{lane}", daemon=True
            )
            hands.threads[lane] = thread
            thread.start()


def at_rest(book: Book, seconds: float) -> bool:
    """Wait until this process has nothing more to do for the shelf; whether it came to that."""
    with _lock:
        hands = _hands.get(book.shelf)
        threads = () if hands is None else tuple(hands.threads.values())
    for thread in threads:
        thread.join(seconds)
    return not any(thread.is_alive() for thread in threads)


def hand_back(shelf: Shelf) -> int:
    """The server stops: what it has begun waits again, for the next one; how many jobs."""
    with _lock:
        hands = _hands.get(shelf)
        if hands is None:
            return 0
        hands.closing = True
        begun = tuple(hands.begun.items())
    return sum(jobs.hand_back(number, worker) for number, (jobs, worker) in begun)


def _run(shelf: Shelf, hands: _Hands, lane: str) -> None:
    worker = token_hex(8)
    kinds = tuple(kind for kind, (its_lane, _) in WORK.items() if its_lane == lane)
    try:
        while not hands.closing and (job := Jobs(shelf, None).claim(worker, kinds)) is not None:
            jobs = Jobs(shelf, job.club_id)
            with _lock:
                hands.begun[job.id] = jobs, worker
            try:
                do_claimed(shelf, job, worker)
            finally:
                with _lock:
                    hands.begun.pop(job.id, None)
    except Exception as error:  # the thread ends; the next look at a job wakes another
        _log.error("worker: %s", type(error).__name__)


def do_claimed(shelf: Shelf, job: Job, worker: str) -> None:
    """One job to its end; a fault of ours is told without its words."""
    book = Book(shelf, job.club_id, by=job.asked_by, role="cook")
    jobs = Jobs(shelf, job.club_id)
    over = Event()

    def do(claimed: Job, report: Any) -> str:
        last: dict[str, object] = {}

        def told(progress: Mapping[str, object]) -> bool:
            last.update(progress)
            return bool(report(dict(last)))

        def alive() -> None:
            while not over.wait(ALIVE_S):
                jobs.report(claimed.id, worker)

        Thread(target=alive, name="fellfare-alive", daemon=True).start()
        return WORK[claimed.kind][1](book, claimed, told)

    try:
        work(jobs, job, worker, do)
    except Exception as error:
        _log.error("job: %s", type(error).__name__)
    finally:
        over.set()
