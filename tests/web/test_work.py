"""Long work: done once, outside of the request, stopped in time, told when it fails."""

from __future__ import annotations

import threading
import time
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from fellfare.book import Book, Shelf, open_book
from fellfare.book.jobs import Job, Jobs
from fellfare.menu.answer import Progress
from fellfare.menu.pool import Ban, Lock
from fellfare.mistake import Mistake
from fellfare.web.work import worker as workers
from fellfare.web.work.news import news_of
from fellfare.web.work.results import (
    MENU,
    NoMenu,
    Result,
    Wanted,
    packed,
    read_result,
    wanted_of,
)
from fellfare.web.work.solving import Listening, do_job
from fellfare.web.work.wishes import Wishes, set_ban, set_lock, wishes_of
from fellfare.web.work.worker import COMPOSE, at_rest, do_claimed, hand_back, wake


def ask(book: Book, **more: Any) -> int:
    import msgspec

    wanted = Wanted(trip="moor", menu="moor", seconds=5.0, **more)
    return book.jobs.add(MENU, msgspec.to_builtins(wanted), about="menus of moor").id


def test_several_workers_do_a_job_once(tiny: Any, book: Book, tmp_path: Path) -> None:
    tiny.lay_in(book)
    numbers = [ask(book) for _ in range(2)]
    done: list[int] = []

    def run(name: str, shelf: Shelf) -> None:
        while (job := Jobs(shelf, None).claim(name)) is not None:
            done.append(job.id)
            do_claimed(shelf, job, name)

    # Another door to the same file, as another process of the server would have it.
    with open_book(tmp_path / "book.fellfare") as other:
        threads = [
            threading.Thread(target=run, args=(f"worker-{n}", shelf))
            for n, shelf in enumerate((book.shelf, other.shelf, book.shelf))
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(30)
    assert sorted(done) == numbers
    assert [book.jobs.get(number).state for number in numbers] == ["done", "done"]
    # The same question has the same answer, and the same text is no new revision.
    assert book.get("menu", "moor").revision == 1


def test_a_worker_is_woken_and_rests_again(tiny: Any, book: Book) -> None:
    tiny.lay_in(book)
    number = ask(book)
    wake(book)
    wake(book)  # the same one
    assert at_rest(book, 30)
    job = book.jobs.get(number)
    assert job.state == "done"
    result = read_result(job.result)
    assert result is not None
    assert result.proof is not None
    assert result.proof.menu == "moor"


def test_a_job_whose_trip_is_gone_is_told_why(book: Book) -> None:
    number = ask(book)
    wake(book)
    assert at_rest(book, 30)
    job = book.jobs.get(number)
    assert job.state == "failed"
    assert "moor" in job.result


def test_a_fault_of_ours_is_told_without_its_words(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any) -> Any:
        raise RuntimeError("a secret")

    monkeypatch.setattr("fellfare.web.work.solving.do_job", broken)
    number = ask(book)
    job = Jobs(book.shelf, None).claim("one")
    assert job is not None
    do_claimed(book.shelf, job, "one")
    told = book.jobs.get(number)
    assert told.state == "failed"
    assert "secret" not in told.result


def test_a_stop_hands_over_what_there_is(tiny: Any, book: Book) -> None:
    tiny.lay_in(book)
    number = ask(book)
    job = Jobs(book.shelf, None).claim("one")
    assert job is not None
    book.jobs.ask_stop(number)
    do_claimed(book.shelf, job, "one")
    ended = book.jobs.get(number)
    assert ended.state in ("done", "stopped")  # so small a menu may be there before the stop
    assert read_result(ended.result) is not None


def test_the_search_hears_that_it_shall_stop(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    monkeypatch.setattr("fellfare.web.work.solving.time.monotonic", lambda: now[0])
    told: list[dict[str, object]] = []

    def report(progress: dict[str, object]) -> bool:
        told.append(progress)
        return False

    watch = Listening(report)
    progress = Progress(stage="bound", best_g=None, bound_g=float("-inf"), gap=float("inf"))
    assert watch(progress) is False  # too soon to say anything
    now[0] = 1.0
    assert watch(progress) is True
    assert watch(progress) is True
    assert told == [
        {
            "stage": "bound",
            "best_g": None,
            "earlier_g": None,
            "bound_g": None,
            "gap": None,
            "seconds": 1.0,
        }
    ]


def test_wishes_are_kept_beside_the_menu(tiny: Any, book: Book) -> None:
    tiny.lay_in(book)
    do_job(book, MENU, Wanted(trip="moor", menu="moor", seconds=5.0), lambda _: True)
    lock = Lock(day=1, time="dinner", dish="bulgur-pepper-walnut-sumac")
    ban = Ban(dish="oatcakes-cheddar")
    set_lock(book, "moor", lock, True)
    set_ban(book, "moor", ban, True)
    assert wishes_of(book, "moor") == Wishes((lock,), (ban,))
    set_lock(book, "moor", lock, False)
    assert wishes_of(book, "moor") == Wishes((), (ban,))
    assert wishes_of(book, "nowhere") == Wishes()


def test_results_come_back_as_they_were() -> None:
    result = Result(none=NoMenu(verdict="impossible", clashes=(("a", "b"),)))
    assert read_result(packed(result)) == result
    assert read_result("no result") is None
    assert read_result('{"proof": 3}') is None
    assert wanted_of({"trip": "a", "menu": "b"}).seconds == 30.0


def test_a_menu_needs_its_trip(book: Book) -> None:
    with pytest.raises(Mistake, match="book-no-such-document"):
        do_job(book, MENU, Wanted(trip="nowhere", menu="nowhere"), lambda _: True)
    assert workers.ALIVE_S < 120


class Slow:
    """A job that goes on until it hears that it shall stop."""

    def __init__(self) -> None:
        self.began, self.heard = threading.Event(), threading.Event()

    def __call__(self, book: Book, job: Job, report: Any) -> str:
        self.began.set()
        while report({"seconds": 0.1}):
            time.sleep(0.01)
        self.heard.set()
        return "half"


def test_a_server_that_stops_gives_back_what_it_has_begun(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow = Slow()
    monkeypatch.setitem(workers.WORK, MENU, ("menus", slow))
    number = ask(book)
    wake(book)
    assert slow.began.wait(10)
    assert hand_back(book.shelf) == 1
    assert slow.heard.wait(10)  # it hears that the job is no longer its own
    assert at_rest(book, 10)
    job = book.jobs.get(number)
    assert (job.state, job.tries) == ("waiting", 0)
    assert "begins anew" in news_of(job)
    # The next server, with the same book.
    monkeypatch.setitem(workers.WORK, MENU, ("menus", lambda *_: "whole"))
    with open_book(tmp_path / "book.fellfare") as again:
        wake(again)
        assert at_rest(again, 10)
        assert (again.jobs.get(number).state, again.jobs.get(number).result) == ("done", "whole")
    assert news_of(book.jobs.get(number)) == ""


def test_a_server_that_died_is_told_of(book: Book) -> None:
    number = ask(book)
    assert Jobs(book.shelf, None).claim("dead") is not None
    job = book.jobs.get(number)
    assert job.heard_at is not None
    assert news_of(job, job.heard_at + timedelta(seconds=20)) == ""
    assert "Nothing was heard of it for 90 s" in news_of(job, job.heard_at + timedelta(seconds=90))
    again = replace(job, tries=2)
    assert "second time" in news_of(again, job.heard_at)


def test_a_short_search_does_not_wait_for_the_composer(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow = Slow()
    monkeypatch.setitem(workers.WORK, COMPOSE, ("compose", slow))
    monkeypatch.setitem(workers.WORK, MENU, ("menus", lambda *_: "found"))
    sweep = book.jobs.add(COMPOSE, {}).id
    wake(book, COMPOSE)
    assert slow.began.wait(10)
    number = ask(book)
    wake(book)
    deadline = time.monotonic() + 10
    while book.jobs.get(number).state != "done" and time.monotonic() < deadline:
        time.sleep(0.01)
    assert book.jobs.get(number).state == "done"
    assert book.jobs.get(sweep).state == "running"
    book.jobs.ask_stop(sweep)
    assert at_rest(book, 10)
    assert (book.jobs.get(sweep).state, book.jobs.get(sweep).result) == ("stopped", "half")
