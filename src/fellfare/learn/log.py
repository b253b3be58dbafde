"""What was written down on the walk and after it; every list may be empty."""

from __future__ import annotations

from math import isfinite
from typing import Final, Literal, get_args

from msgspec import Struct

from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Way

#: How a day's food was felt to be.
Felt = Literal["too much", "enough", "hungry", "very hungry"]


class Left(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One item of one walker: what was carried for it, and what of it came home."""

    walker: str
    day: int
    eating: str
    home_g: float
    dish: str = ""
    #: None = as planned.
    carried_g: float | None = None


class Item(Struct, frozen=True, kw_only=True):
    """One item as it was planned and carried."""

    walker: str
    day: int
    eating: str
    dish: str
    mass_g: float
    energy_kcal: float


class Eaten(Struct, frozen=True, kw_only=True):
    """One item with what came home of it; both masses are known."""

    walker: str
    day: int
    eating: str
    dish: str
    carried_g: float
    home_g: float
    energy_kcal: float

    @property
    def eaten_kcal(self) -> float:
        """What was eaten of it."""
        return self.energy_kcal * (1.0 - self.home_g / self.carried_g)


class Day(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """How one walker found one day's food."""

    walker: str
    day: int
    felt: Felt


class Liked(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """A mark for a dish: 1 never again, 5 gladly every week."""

    walker: str
    dish: str
    mark: float


class Weighed(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """Body mass before and after, on the same scale, in the morning."""

    walker: str
    before_kg: float
    after_kg: float
    #: Error of the difference [kg]: 0.9 for one weighing each side, 0.3 for the mean of
    #: several mornings (water and glycogen move it more than any scale).
    error_kg: float = 0.9


class Walked(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """Hours on the move, pauses left out, on one day."""

    walker: str
    day: int
    hours: float


class Boiled(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One weighed boil; ``kitchen`` is its place in the trip document, from 1."""

    kitchen: int
    water_g: float
    from_c: float
    fuel_g: float
    to_c: float | None = None
    scale_step_g: float = 1.0


class Soaked(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One soak test: fit to eat after so long in such water."""

    food: str
    water_c: float
    done_minutes: float
    not_yet_minutes: float | None = None
    way: Way = "cold-soak"


class TripLog(Struct, frozen=True, kw_only=True):
    """Everything that was written down of one trip."""

    title: str = ""
    #: What is not listed under ``left`` was eaten up; False = nothing is known of it.
    rest_eaten: bool = True
    left: tuple[Left, ...] = ()
    days: tuple[Day, ...] = ()
    liked: tuple[Liked, ...] = ()
    weighed: tuple[Weighed, ...] = ()
    walked: tuple[Walked, ...] = ()
    boiled: tuple[Boiled, ...] = ()
    soaked: tuple[Soaked, ...] = ()


#: table, key, least, most, what to write.
_RANGES: Final = (
    ("left", "carried_g", 0.1, 20_000.0, "grams that were carried"),
    ("left", "home_g", 0.0, 20_000.0, "grams that came home, 0 when all was eaten"),
    ("liked", "mark", 1.0, 5.0, "1 (never again) to 5 (gladly)"),
    ("weighed", "before_kg", 10.0, 300.0, "kilograms"),
    ("weighed", "after_kg", 10.0, 300.0, "kilograms"),
    ("weighed", "error_kg", 0.1, 5.0, "0.9 for one weighing each side, 0.3 for several"),
    ("walked", "hours", 0.1, 24.0, "hours on the move"),
    ("boiled", "kitchen", 1.0, 100.0, "the kitchen's place in the trip document, from 1"),
)


def checked(log: TripLog, walkers: tuple[str, ...], days: int) -> TripLog:
    """The log itself, held against the trip it belongs to.

    Raises
    ------
    Mistake
        ``log-walker-unknown``, ``log-day-unknown``, ``log-figure``, ``log-more-home``,
        ``log-felt``; several at once as :class:`~fellfare.mistake.Mistakes`.
    """
    found: list[Mistake] = []
    for table, rows in (
        ("left", log.left), ("day", log.days), ("liked", log.liked), ("weighed", log.weighed),
        ("walked", log.walked),
    ):  # fmt: skip
        for at, row in enumerate(rows):
            name = getattr(row, "walker", "")
            if name not in walkers:
                found.append(
                    Mistake(
                        "log-walker-unknown",
                        f"no walker of the trip is called {name!r}",
                        "one of: " + ", ".join(walkers),
                        f"{table}[{at}].walker",
                    )
                )
            day = getattr(row, "day", 1)
            if not 1 <= day <= days:
                found.append(
                    Mistake(
                        "log-day-unknown",
                        f"day {day} of a trip of {days}",
                        f"count the days from 1 to {days}",
                        f"{table}[{at}].day",
                    )
                )
    for table, key, least, most, what in _RANGES:
        for at, row in enumerate(getattr(log, table)):
            given = getattr(row, key)
            if given is None:
                continue
            value = float(given)
            if not (isfinite(value) and least <= value <= most):
                found.append(
                    Mistake("log-figure", f"{key} = {value:g}", f"give {what}",
                            f"{table}[{at}].{key}")
                )  # fmt: skip
    for at, row in enumerate(log.left):
        if row.carried_g is not None and row.home_g > row.carried_g:
            found.append(
                Mistake(
                    "log-more-home",
                    f"{row.home_g:g} g came home of {row.carried_g:g} g",
                    "give the two the right way round, both as packed",
                    f"left[{at}].home_g",
                )
            )
    for at, felt in enumerate(log.days):
        if felt.felt not in get_args(Felt):
            found.append(
                Mistake("log-felt", f"felt = {felt.felt!r}", "one of: " + ", ".join(get_args(Felt)),
                        f"day[{at}].felt")
            )  # fmt: skip
    if found:
        raise found[0] if len(found) == 1 else Mistakes(tuple(found))
    return log
