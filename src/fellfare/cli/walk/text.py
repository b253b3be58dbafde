"""The walk as text of at most 80 columns; it draws, it does not reckon."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from fellfare.cli.layout import fit, heading, number, paragraph, shown_width, table
from fellfare.cli.walk.plot import band_bar, height_plot, load_line_text
from fellfare.cli.walk.rationing import ration_lines
from fellfare.cli.walk.saying import GLUE, said
from fellfare.cli.walk.water import water_lines
from fellfare.safety.trip.planned import hold_minutes_of
from fellfare.trip.minding import clock_text
from fellfare.trip.plan import PlanDay, TripPlan, WalkerPlan
from fellfare.trip.spread import Spread, walking_by_model
from fellfare.trip.timetable import Moment, timetable_of
from fellfare.walk.pace.rules import RULE_NAMES
from fellfare.walk.ration import BesideRule

_FIRE: Final = {
    None: "not asked", "none": "free", "no-open-fire": "stoves", "gas-only": "gas only",
    "no-flame": "no flame",
}  # fmt: skip
_BAR: Final = 22


def walk_text(plan: TripPlan, chosen: Sequence[str], jar: Sequence[str] = ()) -> str:
    """Everything on the sheet of a walk; needs of the ``chosen`` walkers."""
    walkers = [one for one in plan.walkers if one.walker in chosen]
    lines = [*_head(plan), *_heights(plan), *_days(plan), *_eating(plan), *_by_clock(plan), *jar]
    most = max((day.high_kcal for one in walkers for day in one.need.days), default=1.0)
    for one in walkers:
        lines += _need(plan, one, most)
    lines += _carries(plan) + _camps(plan) + _fuel(plan) + water_lines(plan) + ration_lines(plan)
    lines += _beside(plan)
    lines += _known(plan)
    return "\n".join(lines)


def _head(plan: TripPlan) -> list[str]:
    trip = plan.trip
    km = sum(day.stage.distance_m for day in plan.days) / 1000
    up = sum(day.stage.ascent_m for day in plan.days)
    down = sum(day.stage.descent_m for day in plan.days)
    walkers, days = len(plan.walkers), len(plan.days)
    parts = [
        f"{walkers} walker{'s' * (walkers != 1)}", f"{days} day{'s' * (days != 1)}",
        f"{km:.1f} km", f"{number(up)} m up, {number(down)} m down",
    ]  # fmt: skip
    if trip.start_date is not None:
        parts.append(f"from {trip.start_date.day} {trip.start_date:%B %Y}")
    title = paragraph(trip.title, "", "")
    return [*title, "═" * max(map(shown_width, title)), *paragraph(" · ".join(parts), "  ")]


def _heights(plan: TripPlan) -> list[str]:
    drawn = height_plot(plan)
    return heading("Heights [m]") + drawn if drawn else []


def _metres(value: float | None) -> str:
    return "?" if value is None else number(value)


def _degrees(value: float | None) -> str:
    return "?" if value is None else f"{value:.0f}".replace("-0", "0").replace("-", "−")


def _days(plan: TripPlan) -> list[str]:
    rows = [["day", "to", "km", "up", "plain", "down", "camp m", "h", "there at (80 %)"]]
    track = any(day.naive_ascent_m is not None for day in plan.days)
    for day in plan.days:
        stage, band = day.stage, day.arrival
        begin = day.hours.set_out_hour
        early, late = (clock_text(begin + h)[:5] for h in (band.early_hours, band.late_hours))
        arrives = f"{clock_text(begin + band.likely_hours)[:5]} ({early}–{late})"
        rest = stage.rest_day
        last = day.day == len(plan.days)
        rows.append(
            [
                f"{day.day}",
                stage.camp or ("rest day" if rest else "the end" if last else stage.name),
                "rest" if rest else f"{stage.distance_m / 1000:.1f}",
                number(stage.ascent_m),
                _metres(day.naive_ascent_m),
                number(stage.descent_m),
                "–" if last and stage.camp_m is None else _metres(stage.camp_m),
                "" if rest else f"{day.hours.moving_hours:.1f}",
                "" if rest else arrives,
            ]
        )
    lines = heading("Days")
    widths = [-3, 30, -5, -6, -6, -6, -6, -5, -19]
    if not track:  # without a record there is no plain sum
        rows, widths = [row[:4] + row[5:] for row in rows], widths[:4] + widths[5:]
    lines += table(rows, widths)
    note = (
        "'h' is time on the move; arrival counts pauses, which take "
        f"{100 * (1 - plan.trip.way.moving_share):.0f} % of the time under way."
    )
    if len(plan.walkers) > 1:
        note += "  Hours are those of the slowest."
    if track:
        note += "  'plain' is the plain sum of all rises of the record: too much."
    return [*lines, *said(note)]


def _eating(plan: TripPlan) -> list[str]:
    counts = [f"{count} × {name}" for name, count in plan.times()]
    bought = [
        f"{meal.name} on day {day.day}" for day in plan.days for meal in day.meals if meal.bought
    ]
    text = "Out of the pack: " + ", ".join(counts) + "."
    if bought:
        text += "  At a stop: " + ", ".join(bought) + "."
    return said(text)


def _by_clock(plan: TripPlan) -> list[str]:
    lines = heading("By the clock")
    for day in plan.days:
        hold = hold_minutes_of(day.stage.day_c)
        told = [
            f"{clock_text(one.hour)[:5]} {_moment(one, day.day)}".replace(" ", GLUE)
            for one in timetable_of(plan, day, hold_minutes=hold)
        ]
        text = f"{GLUE}· ".join(told) or "nothing is eaten or walked"
        lines += said(text, "      ", f"{day.day:>3}   ")
    if plan.trip.kitchens and not all(all(day.can_heat) for day in plan.days):
        lines += said(
            "'wet jars' is the earliest hour, for those who eat cold: wetted before it, dinner "
            "stands wet for longer than is advised until its last bite (20 min of eating reckoned)."
        )
    return lines


def _moment(one: Moment, day: int) -> str:
    return {
        "leave": "leave",
        "eat": one.name,
        "last-water": f"last water, {one.name.removeprefix(f'day {day}, ')}",
        "arrive": one.name or "there",
        "eat-by": "eat by",
        "ready": "ready",
        "cook": "light the stove",
        "wet": f"wet jars, water of {one.name}" if one.name else "wet jars",
    }[one.what]


def _need(plan: TripPlan, one: WalkerPlan, most: float) -> list[str]:
    rows = [["day", "need", "80 % band", "", "food", "food g", "load kg"]]
    for need, target, food_g in zip(one.need.days, one.carried_kcal, one.food_g, strict=True):
        steps = [step for step in one.load if step.day == need.day]
        load = f"{steps[0].start_kg:.1f}→{steps[-1].end_kg:.1f}" if steps else "–"
        rows.append(
            [
                f"{need.day}",
                number(need.kcal),
                f"{number(need.low_kcal)}–{number(need.high_kcal)}",
                band_bar(need.low_kcal, need.kcal, need.high_kcal, most, _BAR),
                number(target),
                number(food_g),
                load,
            ]
        )
    rows.append(
        [
            "all",
            number(one.need.kcal),
            f"{number(one.need.low_kcal)}–{number(one.need.high_kcal)}",
            "",
            number(sum(one.carried_kcal)),
            number(sum(one.food_g)),
            "",
        ]
    )
    # A name of any length keeps the heading within its line.
    lines = heading(f"{fit(one.walker, 36).rstrip()}: need, and food out of the pack, in kcal")
    lines += table(rows, [-3, -6, 15, _BAR, -6, -6, -11])
    mornings = _mornings(one)
    if mornings:
        walker = next(w for w in plan.trip.walkers if w.name == one.walker)
        shares = 100 * max(mornings) / walker.mass_kg
        lines += said(
            f"Load in the mornings {load_line_text(mornings, max(mornings))}  most "
            f"{max(mornings):.1f} kg, {shares:.0f} % of the body."
        )
    gap, rules = one.deficit.total_kcal, plan.trip.rules
    words = f"Planned: {100 * rules.coverage:.0f} % of the need"
    words += ", and no more than appetite takes that day" if rules.follow_appetite else ""
    words += (
        f".  In all {number(gap)} kcal short, about {one.deficit.lost_mass_kg:.1f} kg of body."
        if gap >= 0
        else f".  In all {number(-gap)} kcal more than the need."
    )
    if one.spare_g:
        words += f"  {number(one.spare_g)} g of spare food on the back all the way on top."
    return [*lines, *said(words)]


def _mornings(one: WalkerPlan) -> list[float]:
    return [step.start_kg for step in one.load if step.from_m == 0]


def _carries(plan: TripPlan) -> list[str]:
    lines = heading(f"Food to take up, at {plan.trip.rules.kcal_per_g:g} kcal/g")
    for carry in plan.carries:
        each = zip(plan.walkers[:12], carry.food_g, strict=False)
        kg = ", ".join(f"{one.walker} {grams / 1000:.1f}" for one, grams in each)
        shares = f" ({kg})" if len(plan.walkers) > 1 else ""
        times = ", ".join(f"{count} × {name}" for name, count in carry.times)
        lines += said(
            f"{carry.from_name} (day {carry.from_day}) to {carry.to_name} (day {carry.to_day}): "
            f"{sum(carry.food_g) / 1000:.1f} kg{shares} for {times or 'nothing'}.",
            "    ",
            "  ",
        )
    return lines


def _camps(plan: TripPlan) -> list[str]:
    if not plan.camps:
        return []
    rows = [["night", "camp", "m", "night °C", "boils", "cook ×", "gas from", "fire", "water"]]
    for camp, day in zip(plan.camps, plan.days, strict=False):
        gas = max((facts.last_third_c for _, facts in camp.gas), default=None)
        rows.append(
            [
                f"{camp.day}",
                camp.name,
                _metres(camp.height_m),
                _degrees(camp.night_c),
                _degrees(camp.boiling.boils_c if camp.boiling else None),
                "?" if camp.cooking_factor is None else f"{camp.cooking_factor:.1f}",
                "–" if gas is None else f"{_degrees(gas)}",
                _FIRE[day.fire],
                "snow" if camp.snow else _at_camp(day),
            ]
        )
    gas_carried = any(camp.gas for camp in plan.camps)
    widths = [-5, 30, -6, -8, -5, -6, -8, 9, 6]
    if not gas_carried:
        rows, widths = [row[:6] + row[7:] for row in rows], widths[:6] + widths[7:]
    lines = heading("Camps")
    lines += table(rows, widths)
    note = "'boils' is water, in °C; 'cook ×' so many times the minutes of sea level."
    if gas_carried:
        note += (
            "  'gas from': coldest canister [°C] that still gives gas with two thirds of it used."
        )
    return [*lines, *said(note)]


def _at_camp(day: PlanDay) -> str:
    return {None: "?", True: "yes", False: "DRY"}[day.water.water_at_camp]


def _fuel(plan: TripPlan) -> list[str]:
    if not plan.fuel:
        return []
    lines = heading("Fuel")
    for leg in plan.fuel:
        kitchen = plan.trip.kitchens[leg.kitchen]
        cans = leg.canisters
        take = f"take {leg.filled_g:.0f} g"
        if cans is not None:
            take = f"take {cans.count} × {cans.size.net_g:.0f} g"
        lines += said(
            f"{', '.join(kitchen.walkers)}, {leg.from_name} to {leg.to_name}: {leg.boils} times "
            f"hot water, {leg.water_ml / 1000:.1f} L, {leg.fuel_g:.0f} g {leg.fuel_id} "
            f"({leg.low_g:.0f}–{leg.high_g:.0f}); with {100 * leg.reserve:.0f} % in reserve "
            f"{take}.",
            "    ",
            "  ",
        )
    return lines


def _beside(plan: TripPlan) -> list[str]:
    spread = plan.spread
    lines = heading("Beside other rules")
    if spread.pace:
        rules = ", ".join(f"{_dated(one.rule)} {one.hours:.0f}" for one in spread.pace)
        ours = sum(day.hours.moving_hours for day in plan.days)
        by = _dated(RULE_NAMES[plan.trip.way.pace_rule])
        lines += said(
            f"Hours on the move: {ours:.0f} planned by {by} with load, ground and own pace; bare, "
            f"by rule: {rules}.",
            "    ",
            "  ",
        )
    for walker, one in zip(plan.trip.walkers[:1], plan.walkers, strict=False):
        models = walking_by_model(walker, plan.laid.legs, one.need, plan.trip.way.pace_rule)
        if not models:
            continue
        each = [model.walking_kcal for model in models]
        each_text = ", ".join(f"{_dated(m.model)} {number(m.walking_kcal)}" for m in models)
        lines += said(
            f"Walking energy of {one.walker}, {number(min(each))} to {number(max(each))} kcal by "
            f"model: {each_text}.",
            "    ",
            "  ",
        )
    if spread.g_per_person_day is not None and spread.kcal_per_person_day is not None:
        within = [r.rule for r in spread.rations if _within(r)]
        lines += said(
            f"Carried {spread.g_per_person_day:.0f} g and {number(spread.kcal_per_person_day)} "
            "kcal a person-day; of the trade's tables this is "
            + (f"within: {'; '.join(within)}." if within else f"nearest to: {_nearest(spread)}."),
            "    ",
            "  ",
        )
    return lines


def _within(rule: BesideRule) -> bool:
    told = [off for off in (rule.mass_off_g, rule.energy_off_kcal) if off is not None]
    return bool(told) and all(off == 0 for off in told)


def _nearest(spread: Spread) -> str:
    """The table that is least off, each figure over the plan's own."""
    own_g, own_kcal = spread.g_per_person_day or 1.0, spread.kcal_per_person_day or 1.0

    def off(rule: BesideRule) -> float:
        shares = [
            abs(off) / own
            for off, own in ((rule.mass_off_g, own_g), (rule.energy_off_kcal, own_kcal))
            if off is not None
        ]
        return max(shares, default=float("inf"))

    rule = min(spread.rations, key=off)
    told = []
    if rule.mass_off_g:
        told.append(f"{abs(rule.mass_off_g):.0f} g {_side(rule.mass_off_g)}")
    if rule.energy_off_kcal:
        told.append(f"{number(abs(rule.energy_off_kcal))} kcal {_side(rule.energy_off_kcal)}")
    return f"{rule.rule} ({', '.join(told)})"


def _side(off: float) -> str:
    return "above" if off > 0 else "below"


def _dated(name: str) -> str:
    """'Naismith 1892' as 'Naismith (1892)': a year before a figure reads as one."""
    return re.sub(r" (\d{4})\b", r" (\1)", name)


def _known(plan: TripPlan) -> list[str]:
    return [
        *heading("How well this is known"),
        *paragraph(
            "Need is a band, not a point: 80 % of such walkers are within it, and most of it is a "
            "bias of the person that does not average out.  It is no medical or nutrition advice."
        ),
        *paragraph(
            f"Food and need settled in {plan.food_rounds} rounds to {plan.residual_g:.1e} g, hours "
            f"in {plan.hour_rounds}."
        ),
        "",
    ]
