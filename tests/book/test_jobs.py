"""A job is done once, by one worker, and can be followed, stopped and taken over."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from fellfare.book import Book, Job, Jobs, open_book, work
from fellfare.book.jobs import MOST_OPEN, MOST_TRIES, SILENCE_S
from fellfare.mistake import Mistake

Refused = Callable[[Callable[[], object]], str]


def test_a_job_from_asking_to_answer(book: Book) -> None:
    asked = book.jobs.add("menu", {"trip": "round", "days": 9}, about="trip/round", by="Tansy")
    assert (asked.state, asked.asked, asked.tries) == ("waiting", {"trip": "round", "days": 9}, 0)
    taken = book.jobs.claim("w1")
    assert taken is not None
    assert (taken.id, taken.state, taken.tries) == (asked.id, "running", 1)
    assert book.jobs.claim("w2") is None
    assert book.jobs.report(taken.id, "w1", {"rounds": 2, "gap": 0.01})
    # Another page of another process sees how far it is.
    assert book.jobs.get(asked.id).progress == {"rounds": 2, "gap": 0.01}
    assert book.jobs.finish(taken.id, "w1", "the menu")
    ended = book.jobs.get(asked.id)
    assert (ended.state, ended.result, ended.ended) == ("done", "the menu", True)
    assert book.jobs.all(about="trip/round") == (ended,)
    assert book.jobs.all(about="trip/other") == ()


def test_the_oldest_comes_first_and_only_the_kinds_one_can_do(book: Book) -> None:
    first, second = book.jobs.add("front", {}), book.jobs.add("menu", {})
    third = book.jobs.add("menu", {})
    order = [book.jobs.claim("w", ("menu",)), book.jobs.claim("w"), book.jobs.claim("w")]
    assert [one and one.id for one in order] == [second.id, first.id, third.id]


def test_a_stop_is_heard_at_the_next_report(book: Book) -> None:
    job = book.jobs.add("menu", {})
    book.jobs.claim("w1")
    assert book.jobs.report(job.id, "w1")
    assert book.jobs.ask_stop(job.id).state == "running"
    assert not book.jobs.report(job.id, "w1", {"best_g": 640})
    book.jobs.finish(job.id, "w1", "the best so far", stopped=True)
    ended = book.jobs.get(job.id)
    assert (ended.state, ended.result, ended.progress) == (
        "stopped", "the best so far", {"best_g": 640}
    )  # fmt: skip
    assert book.jobs.ask_stop(job.id) == ended


def test_what_nobody_has_begun_is_stopped_at_once(book: Book) -> None:
    job = book.jobs.add("menu", {})
    assert book.jobs.ask_stop(job.id).state == "stopped"
    assert book.jobs.claim("w1") is None


def test_a_silent_worker_loses_its_job(book: Book, clock: Any) -> None:
    job = book.jobs.add("menu", {})
    book.jobs.claim("dead")
    clock.wait(seconds=SILENCE_S - 10)
    assert book.jobs.claim("w2") is None
    clock.wait(seconds=20)
    taken = book.jobs.claim("w2")
    assert taken is not None
    assert (taken.id, taken.tries) == (job.id, 2)
    # It was only slow: what it brings now is refused, the other goes on.
    assert not book.jobs.report(job.id, "dead", {"late": True})
    assert not book.jobs.finish(job.id, "dead", "late")
    assert book.jobs.finish(job.id, "w2", "in time")
    assert book.jobs.get(job.id).result == "in time"


def test_a_job_that_kills_its_workers_is_given_up(book: Book, clock: Any) -> None:
    job = book.jobs.add("menu", {})
    for number in range(MOST_TRIES):
        assert book.jobs.claim(f"w{number}") is not None
        clock.wait(seconds=SILENCE_S + 1)
    assert book.jobs.claim("next") is None
    assert book.jobs.get(job.id).state == "failed"


def test_of_many_workers_each_job_has_one(address: str) -> None:
    with open_book(address) as book:
        wanted = {book.jobs.add("menu", {"n": n}).id for n in range(12)}

    def take(which: int) -> list[int]:
        taken = []
        with open_book(address) as book:
            while (job := book.jobs.claim(f"w{which}")) is not None:
                taken.append(job.id)
        return taken

    with ThreadPoolExecutor(4) as pool:
        taken = [one for each in pool.map(take, range(4)) for one in each]
    assert len(taken) == 12
    assert set(taken) == wanted


def test_work_tells_a_mistake_and_hides_the_words_of_a_fault(book: Book) -> None:
    def mistaken(job: Job, report: Callable[[Mapping[str, Any]], bool]) -> str:
        raise Mistake("no-dishes", "there is nothing to eat", "add a recipe")

    def broken(job: Job, report: Callable[[Mapping[str, Any]], bool]) -> str:
        raise ZeroDivisionError("Tansy's mass")

    def stopped(job: Job, report: Callable[[Mapping[str, Any]], bool]) -> str:
        book.jobs.ask_stop(job.id)
        return "so far" if not report({"rounds": 1}) else "all"

    def run(do: Callable[[Job, Callable[[Mapping[str, Any]], bool]], str]) -> tuple[str, str]:
        book.jobs.add("menu", {})
        job = book.jobs.claim("w")
        assert job is not None
        state = work(book.jobs, job, "w", do)
        return state, book.jobs.get(job.id).result

    assert run(lambda job, report: "menu") == ("done", "menu")
    state, told = run(mistaken)
    assert state == "failed"
    assert "add a recipe" in told
    assert run(stopped) == ("stopped", "so far")
    with pytest.raises(ZeroDivisionError):
        run(broken)
    assert book.jobs.all()[0].result == "our fault (ZeroDivisionError)"


def test_too_much_is_refused(book: Book, refused: Refused) -> None:
    assert refused(lambda: book.jobs.add("menu", {"x": "y" * 5_000_001})) == "job-too-large"
    for _ in range(MOST_OPEN):
        book.jobs.add("menu", {})
    assert refused(lambda: book.jobs.add("menu", {})) == "job-too-many-open"
    assert refused(lambda: book.jobs.get(10**9)) == "job-not-found"


def test_old_jobs_are_forgotten_and_open_ones_are_not(book: Book, clock: Any) -> None:
    old, waiting = book.jobs.add("menu", {}), book.jobs.add("front", {})
    book.jobs.claim("w")
    book.jobs.finish(old.id, "w", "x")
    clock.wait(days=8)
    assert book.jobs.forget(7) == 1
    assert [job.id for job in book.jobs.all()] == [waiting.id]


def test_a_worker_of_all_clubs_only_claims(book: Book) -> None:
    book.jobs.add("menu", {})
    everywhere = Jobs(book.shelf, None)
    job = everywhere.claim("w")
    assert job is not None
    assert job.club_id == book.club_id
    with pytest.raises(TypeError):
        everywhere.all()
    with pytest.raises(TypeError):
        everywhere.report(job.id, "w")
