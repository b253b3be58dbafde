"""Water of each day, and what if a source is dry, as text."""

from __future__ import annotations

from typing import Final

from fellfare.cli.layout import heading, table
from fellfare.cli.walk.saying import said
from fellfare.trip.drinking import Spring
from fellfare.trip.plan import TripPlan


def water_lines(plan: TripPlan) -> list[str]:
    rows = [["day", "walking L", "camp L", "most carried", "longest dry km", "sources"]]
    for day in plan.days:
        water = day.water
        told = water.most_carried_ml is not None
        rows.append(
            [
                f"{day.day}",
                _litres(water.walking_low_ml, water.walking_high_ml),
                _litres(water.camp_low_ml, water.camp_high_ml),
                _thousands(water.most_carried_ml),
                _thousands(water.longest_dry_m),
                (", ".join(_spring(one, day.day) for one in water.springs[:8]) or "none")
                if told
                else "not told",
            ]
        )
    lines = heading("Water, each walker") + table(rows, [-3, -9, -7, -12, -14, 30])
    return lines + _if_dry(plan) + _chances(plan) + _cook_there(plan)


#: So many sources are told of that may be dry.
_MOST_DRY: Final = 5


def _if_dry(plan: TripPlan) -> list[str]:
    """What a dry source would mean, and what one that is not counted on would save."""
    lines: list[str] = []
    for one in [case for case in plan.dry if case.counted][:_MOST_DRY]:
        beyond = one.if_dry_ml > plan.trip.way.bottles_ml
        lines += said(
            f"If {one.name}{_chance(one.chance_dry)} is dry: day {one.day} with "
            f"{one.if_dry_ml / 1000:.1f} L from {one.from_name}, not "
            f"{one.if_runs_ml / 1000:.1f} L"
            + (
                f", more than the bottles ({plan.trip.way.bottles_ml / 1000:g} L)."
                if beyond
                else "."
            ),
            "    ",
            "  ",
        )
    for one in [case for case in plan.dry if not case.counted][:_MOST_DRY]:
        lines += said(
            f"Not counted on: {one.name}{_chance(one.chance_dry)}. If it runs, day {one.day} needs "
            f"{one.if_runs_ml / 1000:.1f} L, not {one.if_dry_ml / 1000:.1f} L.",
            "    ",
            "  ",
        )
    return lines


def _chance(chance_dry: float | None) -> str:
    return "" if chance_dry is None else f" ({100 * chance_dry:.3g} % dry)"


def _chances(plan: TripPlan) -> list[str]:
    """The chance of each day that a source it counts on is dry, and that none runs."""
    each = [
        f"day {one.day}: "
        + ("at least " if one.one_dry is None else "")
        + f"{100 * one.one_dry_at_least:.2g} %"
        + (f" (no water at all: {100 * one.none_runs:.2g} %)" if one.none_runs else "")
        for one in plan.water_chances
        if one.one_dry_at_least > 0 or one.none_runs
    ]
    if not each or all(day.water.leaves is None for day in plan.days):
        return []
    return said(
        f"Chance that a source that is counted on is dry, {', '.join(each)}.  Taken as "
        "independent: in a dry year it is more.",
        "    ",
        "  ",
    )


def _cook_there(plan: TripPlan) -> list[str]:
    """Before a dry camp: dinner at the last water, as an option with its saving."""
    lines: list[str] = []
    for day in plan.days:
        water = day.water
        if water.cook_there_low_ml is None or water.cook_there_high_ml is None:
            continue
        spring = next(one for one in water.springs if one.name == water.last_water)
        lines += said(
            f"Day {day.day} has a dry camp. Dinner cooked and eaten at {spring.name} "
            f"(km {spring.at_m / 1000:.1f}) spares each back "
            f"{water.cook_there_low_ml / 1000:.1f}–{water.cook_there_high_ml / 1000:.1f} L from "
            "there on.",
            "    ",
            "  ",
        )
    return lines


def _litres(low_ml: float, high_ml: float) -> str:
    return f"{low_ml / 1000:.1f}–{high_ml / 1000:.1f}" if high_ml else "–"


def _spring(spring: Spring, day: int) -> str:
    """Its name; water of a table of stages is named by its place, which is shorter here."""
    here = spring.name.removeprefix(f"day {day}, ")
    return "at camp" if here.startswith("day ") and spring.at_m == 0 else here


def _thousands(value: float | None) -> str:
    return "?" if value is None else f"{value / 1000:.1f}"
