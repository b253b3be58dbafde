"""The menu of a trip, from asking to telling: one way for command, page and batch."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from msgspec.structs import replace

from fellfare.menu.asked import Asked
from fellfare.menu.impossible.why import why_impossible
from fellfare.menu.settling import settle_trip
from fellfare.menu.staying import stay_near
from fellfare.menu.trip_menu import TripMenu, trip_menu
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Finding

#: Part of the time for a menu with usual wishes for variety.
WITH_USUAL: Final = 0.6
#: ... and of what is left then, for one with a milder form of them.
MILDER: Final = 0.5


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
    began = tries.clock() if tries.clock else 0.0
    # Where usual wishes may give way, time is kept for a search without them.
    first = replace(tries, seconds=tries.seconds * (WITH_USUAL if asked.usual else 1.0))
    done, whole = settle_trip(asked, first, watch)
    said = tuple(findings)
    mild = milder(asked)
    if not done.menu.plates and mild is not None and not stopped():
        spent = tries.clock() - began if tries.clock else 0.0
        left = replace(tries, seconds=max(MILDER * (tries.seconds - spent), 1.0))
        again, carried = settle_trip(mild, left, watch)
        if again.menu.plates:
            done, whole = again, carried
            said = (*said, _gave_way(asked, mild.usual))
            asked = mild
    if not done.menu.plates and asked.usual and not stopped():
        spent = tries.clock() - began if tries.clock else 0.0
        left = replace(tries, seconds=max(tries.seconds - spent, 1.0))
        done, whole = settle_trip(asked, left, watch, usual=False)
        if done.menu.plates:
            said = (*said, _gave_way(asked))
            kept = tuple(one for one in asked.findings if one.rule != "usual-variety")
            asked = replace(asked, findings=kept)
    why = None
    if not done.menu.plates and why_seconds > 0 and not stopped():
        plain = asked.question(done.asked_kcal, usual=False)
        seconds = min(tries.seconds, why_seconds)
        why = why_impossible(plain, replace(tries, seconds=seconds), watch)
        if why.plates:  # looking for what must give, one was found after all
            known = {one.id: one.dish.steps_per_serving for one in asked.dishes}
            found = tuple(
                replace(plate, time=asked.places[plate.day, plate.time].eating)
                for plate in why.plates
            )
            made = stay_near(asked, found, known, tries, watch)
            done, whole, why = made.done, made.whole, None
    return trip_menu(asked, done, whole, why=why, findings=said)


def milder(asked: Asked) -> Asked | None:
    """The trip with no more than one usual day between two of one dish; None = no milder wish."""
    usual = [one for one in asked.base.repeats if one.wish.startswith("usual: ")]
    far = [one for one in usual if one.key == "dish"]
    kept = tuple(
        replace(
            one,
            wish=f"usual: a day between two of one dish at {one.wish.rpartition(' at ')[2]}",
            within_days=min(2, one.within_days),
        )
        for one in far
    )
    if not kept or (len(kept) == len(usual) and all(one.within_days <= 2 for one in far)):
        return None
    others = tuple(one for one in asked.base.repeats if one not in usual)
    return replace(
        asked,
        base=replace(asked.base, repeats=(*others, *kept)),
        usual=tuple(f"at least {one.wish.removeprefix('usual: ')}" for one in kept),
        findings=tuple(one for one in asked.findings if one.rule != "usual-variety"),
    )


def _gave_way(asked: Asked, kept: tuple[str, ...] = ()) -> Finding:
    stays = f" What stays of it: {'; '.join(kept)}." if kept else ""
    return Finding(
        severity="note",
        rule="usual-variety-dropped",
        text=f"No menu was found with {'; '.join(asked.usual)}: nobody asked for it, so it gave "
        f"way.{stays}",
        source="common practice, no source",
    )
