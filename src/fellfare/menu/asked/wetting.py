"""When is a dish wetted where it is eaten, how long does it soak there, in words for the eater?"""

from __future__ import annotations

from msgspec import Struct

from fellfare.camp.timetable import DAY_MIN, Wetting, clock
from fellfare.menu.asked.places import FREEZES_C, PlaceOfMeal, soak_minutes_at, wetting_at

#: A hold of more than two hours stands for a day on which the jar stays cold by itself [min].
_WARM_MIN = 120.0
#: By then everybody sleeps: 22:00 the evening before [min after midnight] (judgement).
_ASLEEP_MIN = -120.0


class Wetted(Struct, frozen=True, kw_only=True):
    """The soak of one dish at one eating time."""

    #: As the recipe says, for water of a room, and in the water there [min].
    written_minutes: float
    minutes: float
    #: From wetting to the last bite at most [min].
    hold_minutes: float
    #: 'Wet it between 16:50 and 17:09, with water carried from X'.
    when: str
    #: 'ready for dinner'.
    then: str

    @property
    def slower(self) -> float:
        """How many times as long as written."""
        return self.minutes / self.written_minutes if self.written_minutes > 0 else 1.0

    @property
    def limit(self) -> str:
        """'eat it all within 120 min of wetting'."""
        if self.hold_minutes > _WARM_MIN:
            hours = self.hold_minutes / 60.0
            return f"eat it all within {hours:g} h of wetting, if the jar stays at or under 5 °C"
        return f"eat it all within {self.hold_minutes:.0f} min of wetting"

    @property
    def text(self) -> str:
        """All of it."""
        soak = f"soaks {self.minutes:.0f} min in the water there"
        return f"{self.when}: {soak}, {self.then}; {self.limit}."


def wetted_at(written_minutes: float | None, place: PlaceOfMeal) -> Wetted | None:
    """The soak there; None = it needs none, or nobody told how long it takes."""
    if not written_minutes:
        return None
    wetting = wetting_at(written_minutes, place)
    minutes = soak_minutes_at(written_minutes, place.water_c)
    when, then = _when(wetting, place, minutes)
    return Wetted(
        written_minutes=written_minutes,
        minutes=minutes,
        hold_minutes=wetting.hold_minutes,
        when=when,
        then=then,
    )


def _when(wetting: Wetting, place: PlaceOfMeal, minutes: float) -> tuple[str, str]:
    early, late = wetting.earliest_min, wetting.latest_min
    if early is None or late is None:
        return "It cannot be soaked here", "or elsewhere"
    ready = f"ready for {place.eating}"
    if wetting.outcome != "ready":
        ready = f"ready up to {wetting.wait_minutes:.0f} min after you could eat"
    up = place.up_min
    freezes = place.night_c is not None and place.night_c <= FREEZES_C
    if place.in_camp and place.at_m <= 0.0 and up is not None:
        if freezes or early > _ASLEEP_MIN:  # in the night nobody is awake
            kept = _from_frost(place.night_c) if freezes else ""
            if late < up + 5.0:
                when = f"Wet it when you get up ({clock(up)}){kept}"
                return when, f"ready at {clock(up + minutes)}"
            return f"Wet it between {clock(max(early, up))} and {clock(late)}{kept}", ready
        return f"Wet it before you sleep, not before {clock(early % DAY_MIN)}", ready
    if early < 0.0:
        return f"Wet it the evening before, or by {clock(late)}", ready
    if wetting.outcome == "in-camp":
        return f"Wet it on arrival ({clock(early)} to {clock(late)})", ready
    return f"Wet it between {clock(early)} and {clock(late)}{_water(wetting, place, early)}", ready


def _from_frost(night_c: float | None) -> str:
    """What a night of frost asks of the water for the morning."""
    return f", with water kept from freezing (the night may go to {night_c:.0f} °C)"


def _water(wetting: Wetting, place: PlaceOfMeal, early: float) -> str:
    """Where its water comes from, when that is not the camp's own."""
    if place.water_here and place.there_min is not None and early >= place.there_min:
        return ""
    if wetting.wet_at:
        return f", at {' or '.join(wetting.wet_at)}"
    if wetting.carry_from:
        return f", with water carried from {wetting.carry_from[-1]}"
    return ""
