"""The menu of a trip, from asking to telling: one way for command, page and batch."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from msgspec.structs import replace

from fellfare.menu.asked import Asked
from fellfare.menu.impossible.why import why_impossible
from fellfare.menu.settling import settle_trip
from fellfare.menu.trip_menu import TripMenu, trip_menu
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Finding


def menu_of_trip(
    asked: Asked,
    tries: Trying,
    watch: Watch | None = None,
    *,
    findings: Iterable[Finding] = (),
    why_seconds: float = 20.0,
    stopped: Callable[[], bool] = lambda: False,
) -> TripMenu:
    """The settled menu of a trip; usual wishes for variety give way before those written.

    Parameters
    ----------
    asked
        From :func:`fellfare.menu.asked.question_of_trip`.
    tries, watch
        How long and how near; who hears of the progress.
    findings
        What was found on the way here.
    why_seconds
        Time in which it is looked for what must give, where there is no menu; 0 = none.
    stopped
        Whether the person said stop: then nothing more is begun.
    """
    done, whole = settle_trip(asked, tries, watch)
    said = tuple(findings)
    if not done.menu.plates and asked.usual and not stopped():
        again, rest = settle_trip(asked, tries, watch, usual=False)
        if again.menu.plates:
            done, whole = again, rest
            said = (*said, _gave_way(asked))
    why = None
    if not done.menu.plates and why_seconds > 0 and not stopped():
        plain = asked.question(done.asked_kcal, usual=False)
        why = why_impossible(plain, replace(tries, seconds=why_seconds), watch)
    return trip_menu(asked, done, whole, why=why, findings=said)


def _gave_way(asked: Asked) -> Finding:
    return Finding(
        severity="note",
        rule="usual-variety-dropped",
        text=f"No menu was found with {'; '.join(asked.usual)}: nobody asked for it, so it gave "
        "way.",
        source="common practice, no source",
    )
