"""Who does the jobs?  One thread of each server process, outside of any request.

It is woken whenever a job is asked for or looked at, takes one job after another of all clubs
(no other process can take the same one), and goes to rest when there is none.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from secrets import token_hex
from threading import Event, Lock, Thread
from typing import Any, Final
from weakref import WeakKeyDictionary

from fellfare.book import Book, Shelf
from fellfare.book.jobs import Job, Jobs, work
from fellfare.web.work.results import KINDS, packed, wanted_of

#: It says that it is alive this often [s]; the book gives a job away after 120 s of silence.
ALIVE_S: Final = 20.0

_log = logging.getLogger("fellfare.web")
_threads: WeakKeyDictionary[Shelf, Thread] = WeakKeyDictionary()
_lock = Lock()


def wake(book: Book) -> None:
    """See to it that somebody looks at the jobs of this shelf."""
    with _lock:
        thread = _threads.get(book.shelf)
        if thread is None or not thread.is_alive():
            thread = Thread(target=_run, args=(book.shelf,), name="fellfare-worker", daemon=True)
            _threads[book.shelf] = thread
            thread.start()


def at_rest(book: Book, seconds: float) -> bool:
    """Wait until the worker of this shelf has nothing more to do; whether it came to that."""
    with _lock:
        thread = _threads.get(book.shelf)
    if thread is not None:
        thread.join(seconds)
    return thread is None or not thread.is_alive()


def _run(shelf: Shelf) -> None:
    worker = token_hex(8)
    try:
        while (job := Jobs(shelf, None).claim(worker, KINDS)) is not None:
            do_claimed(shelf, job, worker)
    except Exception as error:  # the thread ends; the next look at a job wakes another
        _log.error("worker: %s", type(error).__name__)


def do_claimed(shelf: Shelf, job: Job, worker: str) -> None:
    """One job to its end; a fault of ours is told without its words."""
    book = Book(shelf, job.club_id, by=job.asked_by, role="cook")
    jobs = Jobs(shelf, job.club_id)
    over = Event()

    def do(claimed: Job, report: Any) -> str:
        from fellfare.web.work.solving import do_job  # the solver is slow to import

        last: dict[str, object] = {}

        def told(progress: Mapping[str, object]) -> bool:
            last.update(progress)
            return bool(report(dict(last)))

        def alive() -> None:
            while not over.wait(ALIVE_S):
                jobs.report(claimed.id, worker)

        Thread(target=alive, name="fellfare-alive", daemon=True).start()
        return packed(do_job(book, claimed.kind, wanted_of(claimed.asked), told))

    try:
        work(jobs, job, worker, do)
    except Exception as error:
        _log.error("job: %s", type(error).__name__)
    finally:
        over.set()
