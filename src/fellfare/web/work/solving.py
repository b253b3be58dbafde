"""What a worker does with a job: a menu, the menu nearest to one, a front; or why there is none."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from fellfare.book import Book
from fellfare.files.menu_toml import menu_text
from fellfare.menu.answer import Plate, Progress
from fellfare.menu.asked import Asked
from fellfare.menu.carried import carried
from fellfare.menu.front import By
from fellfare.menu.front_of_trip import front_of_trip
from fellfare.menu.impossible.why import why_impossible
from fellfare.menu.of_trip import menu_of_trip
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Question
from fellfare.menu.staying import stay_near
from fellfare.menu.trip_menu import TripMenu, trip_menu
from fellfare.menu.trying import Trying, Watch
from fellfare.menu.written import written
from fellfare.mistake import Mistake
from fellfare.web.documents import menu_of
from fellfare.web.foods_at_hand import FoodsAtHand
from fellfare.web.recipes_at_hand import RecipesAtHand
from fellfare.web.work.asked import AskedHere, asked_of
from fellfare.web.work.menus_of import next_menu
from fellfare.web.work.packs import packs_text
from fellfare.web.work.planned import planned
from fellfare.web.work.results import (
    FRONT,
    NEAR,
    FrontFound,
    NoMenu,
    Point,
    Proof,
    Result,
    Wanted,
    Way,
)
from fellfare.web.work.shown import key_of, one_round
from fellfare.web.work.wishes import wishes_of, with_wishes

#: Time in which it is looked for what must give [s].
WHY_SECONDS: Final = 20.0
#: Ways out that are offered.
MOST_WAYS: Final = 3

#: Hears how far it is; False = stop.
Report = Callable[[dict[str, object]], bool]


class Listening:
    """Passes the progress on, no more than a few times a second."""

    def __init__(self, report: Report) -> None:
        self._report = report
        self._began = self._said = time.monotonic()
        self.stopped = False
        #: Best of the round before, while a new one has none yet [g].
        self._best: float | None = None

    def __call__(self, progress: Progress) -> bool:
        now = time.monotonic()
        self._best = progress.best_g or self._best
        if now - self._said > 0.3 and not self.stopped:
            self._said = now
            told: dict[str, object] = {
                "stage": progress.stage,
                "best_g": progress.best_g,
                "earlier_g": None if progress.best_g else self._best,
                "bound_g": progress.bound_g if abs(progress.bound_g) < 1e12 else None,
                "gap": progress.gap if progress.gap < 1e6 else None,
                "seconds": round(now - self._began, 1),
            }
            self.stopped = not self._report(told)
        return self.stopped


def do_job(book: Book, kind: str, wanted: Wanted, report: Report) -> Result:
    """Work it out; a menu that was found is kept in the book.

    Raises
    ------
    Mistake
        When the trip, the menu or the recipes cannot be used as they stand.
    """
    watch = Listening(report)
    foods = FoodsAtHand(book)
    made = planned(book, book.get("trip", wanted.trip))
    here = asked_of(made, foods, RecipesAtHand(book, foods), packs_text(book, wanted.trip))
    asked = here.asked
    if wanted.softened is None:
        base, _ = with_wishes(asked.base, wishes_of(book, wanted.menu))
        asked = replace(asked, base=base)
    tries = Trying(gap=wanted.gap, seconds=wanted.seconds, clock=time.monotonic)
    if kind == FRONT:
        return Result(front=_front(asked, wanted, tries, watch))
    if wanted.softened is not None:
        return _way_out(book, here, asked, wanted, tries, watch)
    if kind == NEAR:
        return _near(book, here, asked, wanted, tries, watch)
    menu = menu_of_trip(asked, tries, watch, why_seconds=0, stopped=lambda: watch.stopped)
    if not menu.plates:
        question = asked.question(asked.first_need_kcal, usual=False)
        return Result(none=_why(question, menu, tries, watch))
    return Result(proof=_kept(book, here, wanted, menu))


def _way_out(
    book: Book, here: AskedHere, asked: Asked, wanted: Wanted, tries: Trying, watch: Listening
) -> Result:
    """A menu where some wishes have given; for the need of the plan, in one round."""
    assert wanted.softened is not None
    question = replace(wanted.softened, dishes=asked.base.dishes, legs=asked.base.legs)
    menu = plan_menu(question, tries, watch)
    need = asked.first_need_kcal
    whole = carried(asked, menu.plates, need)
    brought = whole.need_kcal(asked)
    done = one_round(menu, question, need, brought)
    told = trip_menu(asked, done, whole)
    if not told.plates:
        return Result(none=_why(question, told, tries, watch))
    return Result(proof=_kept(book, here, wanted, told))


def _near(
    book: Book, here: AskedHere, asked: Asked, wanted: Wanted, tries: Trying, watch: Listening
) -> Result:
    old = menu_of(book.get("menu", wanted.menu, wanted.based_on).text, wanted.menu)
    made = stay_near(asked, old.plates, old.steps_per_serving, tries, watch)
    menu = trip_menu(asked, made.done, made.whole)
    if not menu.plates:
        return Result(none=_why(made.done.question, menu, tries, watch))
    menu = replace(menu, changes=made.changes, change_sentences=made.sentences)
    return Result(proof=_kept(book, here, wanted, menu))


def _why(question: Question, menu: TripMenu, tries: Trying, watch: Listening) -> NoMenu:
    if watch.stopped:
        return NoMenu(verdict="stopped")
    seconds = min(tries.seconds, WHY_SECONDS)
    why = why_impossible(question, replace(tries, seconds=seconds), _watching(watch))
    return NoMenu(
        verdict=why.verdict if why.verdict == "impossible" else menu.verdict,
        clashes=why.clashes,
        empty=why.empty,
        ways=tuple(
            Way(gives=way.gives, question=_light(way.question))
            for way in why.ways_out[:MOST_WAYS]
        ),
    )  # fmt: skip


def _light(question: Question) -> Question:
    """Without what comes from the trip again: dishes and legs."""
    return replace(question, dishes=(), legs=())


def _watching(watch: Listening) -> Watch:
    return watch


def _kept(book: Book, here: AskedHere, wanted: Wanted, menu: TripMenu) -> Proof:
    last = menu.rounds[-1] if menu.rounds else None
    text = menu_text(written(menu))
    name, revision = keep(book, wanted, text)
    return Proof(
        menu=name,
        revision=revision,
        key=key_of(here, text),
        verdict=menu.verdict,
        mass_g=menu.mass_g or 0.0,
        bound_mass_g=menu.bound_mass_g,
        gap=menu.gap if menu.gap < 1e6 else None,
        rounds=len(menu.rounds),
        settled=menu.settled,
        residual_kcal=0.0 if last is None else last.residual_kcal,
        seconds=menu.seconds,
        changes=menu.changes,
        sentences=menu.change_sentences,
        given_up=wanted.given_up,
    )


def keep(book: Book, wanted: Wanted, text: str) -> tuple[str, int]:
    """Save a menu; where somebody saved another meanwhile, as one more menu of the trip."""
    try:
        kept = book.save("menu", wanted.menu, text, wanted.based_on)
    except Mistake as mistake:
        if mistake.code != "book-changed-meanwhile":
            raise
        kept = book.save("menu", next_menu(wanted.trip, book.names("menu")), text, None)
    return kept.name, kept.revision


def _front(asked: Asked, wanted: Wanted, tries: Trying, watch: Listening) -> FrontFound:
    by: By = "cost" if wanted.by == "cost" else "variety"
    drawn = front_of_trip(asked, by, tries, watch, stopped=lambda: watch.stopped)
    return FrontFound(
        by=drawn.by,
        times=drawn.times,
        points=tuple(
            Point(
                different=one.different,
                cost=one.cost,
                mass_g=one.menu.mass_g or 0.0,
                bound_g=one.menu.bound_mass_g,
                step_g=one.step_g,
                plates=plain_plates(asked, one.menu.plates),
            )
            for one in drawn.points
        ),
        sentences=(*drawn.sentences, *((drawn.left_out,) if drawn.left_out else ())),
        ended=drawn.ended,
    )


def plain_plates(asked: Asked, plates: tuple[Plate, ...]) -> tuple[Plate, ...]:
    """Plates under the trip's own names of eating times, as a document has them."""
    return tuple(
        replace(plate, time=asked.places[plate.day, plate.time].eating) for plate in plates
    )
