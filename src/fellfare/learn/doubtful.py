"""Which notes of a log are likelier slips than news?  They are asked about, not learnt from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import Final

from fellfare.learn.log import TripLog, Weighed
from fellfare.mistake import Mistake

#: Body mass against that of the trip document, either way, as a share: beyond it somebody else
#: stood on the scale, or it shows pounds (a judgement).
MOST_OFF_PLAN: Final = 0.25
#: What water alone may take, and what a day without any food would (shares of body mass; a day
#: of 5 000 kcal is 0.7 kg of 70): judgements on the wide side.
WATER_LOST: Final = 0.03
LOST_A_DAY: Final = 0.01
MOST_LOST: Final = 0.25
#: What swelling, salt and glycogen may add, and food day by day.
WATER_GAINED: Final = 0.05
GAINED_A_DAY: Final = 0.002
MOST_GAINED: Final = 0.15
#: Hours over those of the plan, either way, beyond which another day was walked (a judgement).
MOST_HOURS: Final = 3.0


def doubtful(
    log: TripLog,
    mass_kg: Mapping[str, float],
    hours: Mapping[str, Sequence[float]],
    dishes: Iterable[str] | None,
) -> tuple[Mistake, ...]:
    """Everything that has to be looked at again; the log fits its trip already.

    Parameters
    ----------
    log
        Held against its trip (:func:`fellfare.learn.log.checked`).
    mass_kg
        Body mass of every walker by the trip document. [kg]
    hours
        Planned hours on the move of every walker, day by day; 0 = not known. [h]
    dishes
        All that could be marked; None = not known.
    """
    found = []
    for at, row in enumerate(log.weighed):
        found += _weighing(at, row, mass_kg[row.walker], len(hours[row.walker]))
    for at, walked in enumerate(log.walked):
        planned = hours[walked.walker][walked.day - 1]
        if planned > 0 and not planned / MOST_HOURS <= walked.hours <= planned * MOST_HOURS:
            found.append(
                Mistake(
                    "log-hours-doubtful",
                    f"{walked.walker}, day {walked.day}: {walked.hours:g} h on the move where "
                    f"the plan takes {planned:.1f} h",
                    "was that day walked as planned? A day cut short or lost to weather says "
                    "nothing of the pace: leave it out",
                    f"walked[{at}].hours",
                )
            )
    if dishes is not None:
        known = sorted(set(dishes))
        for at, liked in enumerate(log.liked):
            if liked.dish not in known:
                near = get_close_matches(liked.dish, known, n=3)
                found.append(
                    Mistake(
                        "log-dish-unknown",
                        f"{liked.dish!r} is no dish of the menu and no recipe of the trip",
                        ("perhaps: " + ", ".join(near)) if near
                        else "name a recipe's file without its ending",
                        f"liked[{at}].dish",
                    )
                )  # fmt: skip
    return tuple(found)


def _weighing(at: int, row: Weighed, planned_kg: float, days: int) -> list[Mistake]:
    if abs(row.before_kg / planned_kg - 1.0) > MOST_OFF_PLAN:
        return [
            Mistake(
                "log-weighing-doubtful",
                f"{row.walker} weighed {row.before_kg:g} kg, and by the trip document "
                f"{planned_kg:g} kg",
                "is it kilograms, and the right walker? Mend it here, or mass_kg in the trip",
                f"weighed[{at}].before_kg",
            )
        ]
    lost = 1.0 - row.after_kg / row.before_kg
    most_lost = min(WATER_LOST + LOST_A_DAY * days, MOST_LOST)
    most_gained = min(WATER_GAINED + GAINED_A_DAY * days, MOST_GAINED)
    if -most_gained <= lost <= most_lost:
        return []
    return [
        Mistake(
            "log-weighing-doubtful",
            f"{row.before_kg:g} kg before and {row.after_kg:g} kg after: in {days} day"
            f"{'s' * (days != 1)} nobody {'loses' if lost > 0 else 'gains'} "
            f"{100 * abs(lost):.0f} % of body mass (at most about "
            f"{100 * (most_lost if lost > 0 else most_gained):.0f} %)",
            "correct the figure; if the scale did show it, leave the row out, and see a doctor",
            f"weighed[{at}].after_kg",
        )
    ]
