"""How long does the meal stand wet and warm?  The clock starts at wetting.

Minutes in heat (from 57 °C) and in the cold (to 5 °C) do not count; everything
else after the first water does, also while another bag is still soaking.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan, nan
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Way
from fellfare.recipe.document import Act
from fellfare.safety.case import Case, Event, Part, once
from fellfare.safety.reading import (
    COLD_HOLD_C,
    HOT_ACTS,
    HOT_HOLD_C,
    dry_again_after,
    first_wetting,
    hazards,
    is_cold,
)

#: Acts that take no time worth counting unless the author writes some.
_BRIEF: Final[tuple[Act, ...]] = ("mix", "drain", "pack", "serve", "heat", "dry")
_WAY: Final[Mapping[Act, Way]] = {"soak": "cold-soak", "steep": "hot-pour"}
#: A boil this long, in fresh water, ends what grew in the soak of raw pulses [FDA-BAD-BUG-BOOK].
_PULSE_BOIL_MINUTES: Final = 10.0


class Hold(Struct, frozen=True, kw_only=True):
    """Time of the part that stands wet the longest."""

    #: Minutes between 5 and 57 °C, as far as they are told [min].
    minutes: float
    #: Steps of which nobody told the time.
    untold: tuple[Event, ...]
    #: Steps said to be in cold water, with nobody vouching for the cold around it.
    cold_by_word: tuple[Event, ...]
    parts: tuple[Part, ...]
    #: The author wrote ``hold_minutes``.
    written: bool


@once
def hold(case: Case) -> Hold | None:
    """The longest hold of the recipe; None when nothing is ever wetted."""
    wet = [(part, first) for part in case.parts if (first := first_wetting(case, part)) is not None]
    if not wet:
        return None
    spans = [_span(case, part, first) for part, first in wet]
    told = [minutes for minutes, _, _ in spans]
    longest = nan if any(isnan(minutes) for minutes in told) else max(told)
    events = {e.number: e for _, untold, _ in spans for e in untold}
    cold = {e.number: e for _, _, by_word in spans for e in by_word}
    return Hold(
        minutes=longest,
        untold=tuple(events[number] for number in sorted(events)),
        cold_by_word=tuple(cold[number] for number in sorted(cold)),
        parts=tuple(part for part, _ in wet),
        written=case.recipe.hold_minutes is not None,
    )


def _span(
    case: Case, part: Part, first: Event
) -> tuple[float, tuple[Event, ...], tuple[Event, ...]]:
    """(minutes that count, untold steps, steps cold by word) of one part."""
    counted = spared = 0.0
    untold: list[Event] = []
    by_word: list[Event] = []
    dry, cold = dry_again_after(case, part), _is_surely_cold(case, part)
    for event in case.events:
        if event.number < first.number or event.number <= dry:
            continue
        minutes = minutes_of(event)
        here = event.has(part)
        not_yet_a_meal = here and _is_pulse_soak(case, event)
        if not_yet_a_meal or (here and _is_hot(event)) or cold:
            spared += minutes or 0.0
        elif minutes is None:
            untold.append(event)
        elif here and _is_cold_by_word(case, event):
            spared += minutes
            by_word.append(event)
        else:
            counted += minutes
    written = case.recipe.hold_minutes
    if written is not None and not cold:
        rest = written - spared
        counted = rest if not rest <= counted else counted  # NaN is kept, and caught later
    return counted, tuple(untold), tuple(by_word)


def minutes_of(event: Event) -> float | None:
    """Minutes of a step: written, else the longest usual ones of its foods; None = untold."""
    step = event.step
    if step.minutes is not None:
        return step.minutes
    if step.act in _BRIEF:
        return 0.0
    way = _WAY.get(step.act)
    usual = [
        soak.most_minutes or soak.minutes
        for part in event.parts
        for soak in part.food.soaks
        if soak.way == way
    ]
    return max(usual) if usual else None


def _is_hot(event: Event) -> bool:
    step = event.step
    if step.at_c is not None and step.act != "soak":
        # Boiling water poured on cools: its temperature at the start says nothing.
        return step.at_c >= HOT_HOLD_C and step.act != "steep"
    return step.act in HOT_ACTS


def _is_surely_cold(case: Case, part: Part) -> bool:
    """The bag is kept cold, or even the warmest air is cold."""
    return is_cold(case, part) or (case.air_c is not None and case.air_c <= COLD_HOLD_C)


def _is_cold_by_word(case: Case, event: Event) -> bool:
    """The step is said to be cold, and no warm air gives it the lie."""
    at_c = event.step.at_c
    return at_c is not None and at_c <= COLD_HOLD_C and case.air_c is None


def _is_pulse_soak(case: Case, event: Event) -> bool:
    """A soak of raw pulses alone, poured away and followed by a real boil: no meal yet."""
    if event.step.act != "soak" or not event.parts:
        return False
    if not all({"lectin-pulse", "raw-pulse"} & set(hazards(p.food)) for p in event.parts):
        return False
    if not is_discarded(case, event):
        return False
    return all(
        any(
            later.number > event.number
            and later.has(part)
            and later.step.act == "boil"
            and (later.step.minutes or 0.0) >= _PULSE_BOIL_MINUTES
            for later in case.events
        )
        for part in event.parts
    )


def is_discarded(case: Case, event: Event) -> bool:
    """The water of the step is poured away: it says so, or the next step on its parts drains."""
    if event.step.discard_water:
        return True
    later = (
        e for e in case.events if e.number > event.number and any(e.has(p) for p in event.parts)
    )
    following = next(later, None)
    return following is not None and following.step.act == "drain"
