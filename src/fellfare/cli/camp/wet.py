"""``fellfare camp wet``."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from fellfare.camp import Span, WaterPoint, Wetting, boil_at, clock, wetting_window
from fellfare.cli.camp import options
from fellfare.cli.camp.answer import answer, degrees, known, standing, titled
from fellfare.cli.camp.hold import hold_findings, hold_limits
from fellfare.cli.camp.jar import jar_findings, read_jar, slowest
from fellfare.cli.camp.reading import (
    given,
    read_clock_band,
    read_clock_min,
    read_minutes,
    read_minutes_band,
    read_named_band,
    read_temperature_c,
)
from fellfare.cli.layout import heading, paragraph, table
from fellfare.mistake import Finding, Mistake
from fellfare.safety.rules.wet import wet_hold

#: Why it is not simply ready on arrival, in words.
_WHY: Final = {
    "arrival-too-uncertain": "The band of arrival is too wide for one wetting time that is always "
    "ready and never too old.",
    "water-too-late": "No water is passed early enough on the way.",
}


@click.command()
@click.option(
    "--arrive", metavar="FROM-TO", callback=given(read_clock_band),
    help="When you reach camp: 17:30-18:30.",
)  # fmt: skip
@click.option(
    "--eat", "eat_min", metavar="TIME", callback=given(read_clock_min),
    help="Not before this; alone for a breakfast: 07:00.",
)  # fmt: skip
@click.option(
    "--soak", metavar="MIN-MIN", callback=given(read_minutes_band),
    help="Minutes that it soaks, shortest to longest: 40-75 ...",
)  # fmt: skip
@click.option("--jar", "foods", multiple=True, metavar="FOOD", help="... or what is in it, and ...")
@click.option(
    "--water-temp", "water_c", metavar="TEMP", callback=given(read_temperature_c),
    help="... the water's temperature.",
)  # fmt: skip
@options.tested
@click.option(
    "--water-at", "points", multiple=True, metavar="'NAME FROM-TO'",
    callback=given(read_named_band),
    help="Water on the way and when you pass: 'spring 14:40-15:10'.",
)  # fmt: skip
@click.option("--carry-water", is_flag=True, help="You have water for it with you all day.")
@click.option("--dry-camp", is_flag=True, help="There is no water in camp.")
@click.option(
    "--hold", "hold_min", metavar="MIN", callback=given(read_minutes),
    help="Longest time from wetting to the last bite; 2 h, above 32 °C 1 h, if left out.",
)  # fmt: skip
@options.air
@click.option(
    "--meal", "meal_min", default="20 min", show_default=True, metavar="MIN",
    callback=given(read_minutes), help="How long eating takes.",
)  # fmt: skip
@options.own_folders
@options.as_json
def command(
    arrive: Span | None,
    eat_min: float | None,
    soak: Span | None,
    foods: tuple[str, ...],
    water_c: float | None,
    tested: tuple[str, ...],
    points: tuple[tuple[str, Span], ...],
    carry_water: bool,
    dry_camp: bool,
    hold_min: float | None,
    air_c: float | None,
    meal_min: float,
    own_folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """When to wet the soak jar so that the meal is ready when you want to eat.

    \b
    fellfare camp wet --arrive 17:30-18:30 --soak 40-60 --air 18 \\
        --water-at 'spring 14:40-15:10' --water-at 'ford 16:20-16:50'
    """
    eat = _eating(arrive, eat_min)
    soak, soak_source, findings = _soak(soak, foods, tested, water_c, air_c, own_folders)
    doubt = hold_limits(air_c)[0]
    hold = doubt if hold_min is None else hold_min
    told = wetting_window(
        eat,
        soak,
        hold,
        tuple(WaterPoint(name=name, passed=passed) for name, passed in points),
        water_at_camp=not dry_camp,
        carrying_water=carry_water,
        meal_minutes=meal_min,
    )
    findings = (*findings, *hold_findings(hold, air_c), *_impossible(told))
    answer(
        _text(eat, soak, soak_source, points, told, air_c, meal_min, own_hold=hold_min is not None),
        {
            "outcome": told.outcome,
            "reason": told.reason,
            "earliest_min": told.earliest_min,
            "latest_min": told.latest_min,
            "earliest": None if told.earliest_min is None else clock(told.earliest_min),
            "latest": None if told.latest_min is None else clock(told.latest_min),
            "wait_min": told.wait_minutes,
            "wet_at": list(told.wet_at),
            "carry_from": list(told.carry_from),
            "text": told.text,
            "eat_early_min": eat.early,
            "eat_late_min": eat.late,
            "soak_low_min": soak.early,
            "soak_high_min": soak.late,
            "soak_source": soak_source,
            "hold_min": hold,
            "hold_source": "as given" if hold_min is not None else wet_hold.source,
            "meal_min": meal_min,
            "air_c": air_c,
        },
        findings,
        standing("water", "when-in-doubt"),
        as_json=as_json,
    )


def _eating(arrive: Span | None, eat_min: float | None) -> Span:
    """Eating starts on arrival, or at the time that was said when that is later."""
    if arrive is None and eat_min is None:
        raise Mistake(
            "eating-time-missing",
            what="it is not said when you arrive or eat",
            mend="add --arrive 17:30-18:30, or --eat 07:00 for a breakfast",
        )
    if arrive is None:
        assert eat_min is not None
        return Span(early=eat_min, late=eat_min)
    if eat_min is None:
        return arrive
    return Span(early=max(arrive.early, eat_min), late=max(arrive.late, eat_min))


def _soak(
    soak: Span | None,
    foods: tuple[str, ...],
    tested: tuple[str, ...],
    water_c: float | None,
    air_c: float | None,
    own_folders: tuple[Path, ...],
) -> tuple[Span, str, tuple[Finding, ...]]:
    """The band of the soak, its source, and what the rules say of the foods."""
    if (soak is None) == (not foods):
        raise Mistake(
            "soak-missing",
            what="the soak must be said once, as minutes or as foods",
            mend="give --soak 40-75, or --jar bulgur --water-temp 8",
        )
    if soak is not None:
        if tested:
            raise Mistake(
                "soak-missing",
                what="--soak already says the minutes; a test has nothing to correct",
                mend="leave --tested out, or give --jar and --water-temp instead of --soak",
            )
        return soak, "minutes as given", ()
    if water_c is None:
        raise Mistake(
            "water-temperature-missing",
            what="the soak of a food depends on the water, and its temperature is not said",
            mend="add --water-temp 8",
        )
    jar, said = read_jar(foods, own_folders, water_c, "cold-soak", boil_at(0).boils_c, tested)
    longest = slowest(jar)
    if longest is None:
        names = "; ".join(one.food.name for one in jar if one.soak.minutes is None)
        raise Mistake(
            "soak-unknown",
            what=f"no cold-soak time is known for {names}",
            mend="give the minutes yourself with --soak, or leave that food out",
            where="--jar",
        )
    time = longest.soak
    assert time.high_minutes is not None
    low = max(one.soak.low_minutes or 0.0 for one in jar)
    rules = tuple(one for one in jar_findings(jar, "cold-soak", air_c)
                  if one.rule != wet_hold.id)  # fmt: skip
    source = (
        f"{longest.food.name} in water of {water_c:.0f} °C ({time.trust.replace('-', ' ')}): "
        f"{time.minutes_source}; {time.temperature_source}"
    )
    return Span(early=low, late=time.high_minutes), source, (*said, *rules)


def _impossible(told: Wetting) -> tuple[Finding, ...]:
    if told.outcome != "impossible":
        return ()
    return (
        Finding(severity="error", rule=told.reason, text=told.text, source="arithmetic of times"),
    )


def _text(
    eat: Span,
    soak: Span,
    soak_source: str,
    points: tuple[tuple[str, Span], ...],
    told: Wetting,
    air_c: float | None,
    meal_min: float,
    *,
    own_hold: bool,
) -> list[str]:
    headlines = {
        "ready": "Ready on arrival",
        "wait": "Wet it on the way, wait in camp",
        "in-camp": "Wet it in camp",
        "impossible": "It cannot be done so",
    }
    lines = titled(headlines[told.outcome])
    lines += paragraph(told.text)
    if told.reason in _WHY:
        lines += paragraph(_WHY[told.reason])
    lines += heading("The times")
    rows = [
        ["eating starts", _band(eat)],
        ["soak", f"{soak.early:.0f} to {soak.late:.0f} min (planned with {soak.late:.0f})"],
        ["eating takes", f"{meal_min:.0f} min"],
        [
            "wet at most",
            f"{told.hold_minutes:.0f} min to the last bite"
            + (" (yours)" if own_hold else "")
            + ("" if air_c is None else f", air up to {degrees(air_c)}"),
        ],
    ]
    lines += [f"  {line}" for line in table(rows, [16, 60])]
    if points:
        lines += heading("Water")
        for name, passed in points:
            row = [name, _band(passed), _use(name, told)]
            lines += [f"  {line}" for line in table([row], [26, 26, 24])]
    hold_source = "the limit as given" if own_hold else wet_hold.source
    return lines + known(
        ("soak", soak_source), ("wet at most", hold_source), ("window", "arithmetic of times")
    )


def _use(name: str, told: Wetting) -> str:
    if name in told.wet_at:
        return "wet it here"
    if name in told.carry_from[-1:]:
        return "carry from here" if not told.wet_at else "or carry from here"
    if name in told.carry_from:
        return "or carry from here"
    return "not for this meal"


def _band(span: Span) -> str:
    if span.early == span.late:
        return clock(span.early)
    return f"{clock(span.early)} to {clock(span.late)}"
