"""When is a jar for dinner wetted, day by day?"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from msgspec import Struct, to_builtins

from fellfare.camp.cooking import SEA_LEVEL_BOIL_C
from fellfare.camp.timetable import Span
from fellfare.cli.camp.jar import read_jar, slowest
from fellfare.cli.layout import heading
from fellfare.cli.walk.saying import said
from fellfare.mistake import Mistake
from fellfare.safety.trip.planned import hold_minutes_of
from fellfare.trip.dish_day import DishDay, DishSteps, dish_on
from fellfare.trip.fuelling import water_c_of
from fellfare.trip.minding import clock_text
from fellfare.trip.plan import PlanDay, TripPlan


class JarDay(Struct, frozen=True, kw_only=True):
    """The jar on one day."""

    day: int
    water_c: float
    soak: Span
    #: What it usually takes, the figure by which a menu plans a dish with these minutes.
    usual_min: float
    #: Planned with the usual time, as the longest does not go into the hold limit.
    usual_only: bool
    slowest: str
    hold_minutes: float
    dish: DishDay


def jar_days(
    plan: TripPlan, phrases: tuple[str, ...], tested: tuple[str, ...], folders: tuple[Path, ...]
) -> tuple[JarDay, ...]:
    """The jar at every dinner out of the pack, soaked in that day's water.

    Raises
    ------
    Mistake
        Those of :func:`~fellfare.cli.camp.jar.read_jar`; ``soak-unknown``; ``no-dinner``.
    """
    out = []
    for day in plan.days:
        if not any(m.name == "dinner" and m.hour is not None and not m.bought for m in day.meals):
            continue
        out.append(_on(plan, day, phrases, tested, folders))
    if not out:
        raise Mistake(
            "no-dinner",
            what="no dinner with an hour is eaten out of the pack on this walk",
            mend="leave --jar out, or give [[eating]] 'dinner' an hour",
            where="--jar",
        )
    return tuple(out)


def _on(
    plan: TripPlan,
    day: PlanDay,
    phrases: tuple[str, ...],
    tested: tuple[str, ...],
    folders: tuple[Path, ...],
) -> JarDay:
    water_c = water_c_of(plan.trip, day.stage)
    jar, _ = read_jar(phrases, folders, water_c, "cold-soak", SEA_LEVEL_BOIL_C, tested)
    longest = slowest(jar)
    if longest is None or longest.soak.high_minutes is None:
        names = "; ".join(one.food.name for one in jar if one.soak.minutes is None)
        raise Mistake(
            "soak-unknown",
            what=f"no cold-soak time is known for {names}",
            mend="try it at home and give the test: --tested 'FOOD 60 min at 15 °C'",
            where="--jar",
        )
    soak = Span(
        early=max(one.soak.low_minutes or 0.0 for one in jar), late=longest.soak.high_minutes
    )
    usual = max(one.soak.minutes or 0.0 for one in jar)
    hold = hold_minutes_of(day.stage.day_c)

    def planned(minutes: Span) -> DishDay:
        steps = DishSteps(way="cold-soak", minutes=minutes)
        return dish_on(plan, day, "dinner", steps, kitchen=None, hold_minutes=hold)

    dish, usual_only = planned(soak), False
    if dish.verdict == "impossible":
        second = planned(Span(early=min(soak.early, usual), late=usual))
        if second.verdict != "impossible":
            dish, usual_only = second, True
    return JarDay(
        day=day.day,
        water_c=water_c,
        soak=soak,
        usual_min=usual,
        usual_only=usual_only,
        slowest=longest.food.name,
        hold_minutes=hold,
        dish=dish,
    )


def jar_lines(days: tuple[JarDay, ...], phrases: tuple[str, ...]) -> list[str]:
    lines = heading("The jar for dinner")
    lines += said(", ".join(phrases))
    for one in days:
        told = (
            f"soaks {one.usual_min:.0f} min ({one.soak.early:.0f} to {one.soak.late:.0f}) at "
            f"{one.water_c:.0f} °C: "
        )
        if one.dish.verdict == "impossible":
            why = one.dish.reason[:1].upper() + one.dish.reason[1:]
            lines += said(f"{told}impossible here. {why}", "      ", f"{one.day:>3}   ")
            continue
        hours = {moment.what: moment for moment in one.dish.moments}
        wet = hours["wet"]
        where = f", water of {wet.name}" if wet.name else ""
        told += (
            f"wet it at {clock_text(wet.hour)[:5]}{where}; ready "
            f"{clock_text(hours['ready'].hour)[:5]}; eat by {clock_text(hours['eat-by'].hour)[:5]}"
        )
        if one.dish.wetting is not None and one.dish.wetting.wait_minutes > 0:
            told += f" (in camp up to {one.dish.wetting.wait_minutes:.0f} min of waiting)"
        if one.usual_only:
            told += (
                f".  So it is usually done; needing {one.soak.late:.0f} min it would be firm still "
                "when it must be eaten: try it at home"
            )
        lines += said(told + ".", "      ", f"{one.day:>3}   ")
    return [
        *lines,
        *said(
            "Planned with the longest soak where that goes, else with the usual one, by which a "
            "menu plans too; with 20 min of eating and the longest advised time from wetting to "
            "the last bite; for every arrival of the band."
        ),
    ]


def jar_data(days: tuple[JarDay, ...]) -> list[dict[str, Any]]:
    return [
        {
            "day": one.day,
            "water_c": one.water_c,
            "slowest": one.slowest,
            "soak_min": one.usual_min,
            "usual_only": one.usual_only,
            "soak_low_min": one.soak.early,
            "soak_high_min": one.soak.late,
            "hold_min": one.hold_minutes,
            "verdict": one.dish.verdict,
            "reason": one.dish.reason,
            "text": "" if one.dish.wetting is None else one.dish.wetting.text,
            "timetable": [to_builtins(moment) for moment in one.dish.moments],
        }
        for one in days
    ]
