"""``fellfare camp soak-test FOOD``."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import click

from fellfare.camp import (
    OwnSoak,
    SoakTest,
    SoakTime,
    SoakTried,
    own_soak,
    own_soak_minutes,
    read_soak_test,
)
from fellfare.camp.soaking.minutes import PUBLISHED_C
from fellfare.camp.soaking.peleg import peleg_time
from fellfare.camp.soaking.tried import SOURCE
from fellfare.cli.camp import options
from fellfare.cli.camp.answer import answer, degrees, known, standing, titled
from fellfare.cli.camp.jar import InJar, jar_findings, named_food, pantry_with
from fellfare.cli.camp.reading import (
    given,
    read_mass_g,
    read_minutes,
    read_share,
    read_temperature_c,
)
from fellfare.cli.layout import heading, paragraph, table
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Way

#: Waters for which the corrected time is shown [°C].
_WATERS_C: Final = (4.0, 8.0, 12.0, 16.0, 20.0, 25.0)
#: Shares of the final uptake for which a weighed test is read off.
_SHARES: Final = (0.8, 0.9, 0.95)


def read_weighing(text: str) -> tuple[float, float]:
    """'10 min 150 g' → (minutes, grams)."""
    found = re.fullmatch(r"(\d+(?:[.,]\d+)? ?(?:min\w*|h\w*)?)[ ,:]+(\d.*)", " ".join(text.split()))
    if not found:
        raise Mistake(
            "weighing-unclear",
            what=f"cannot read the weighing {text[:60]!r}",
            mend="write the minutes and the drained mass: '10 min 150 g'",
        )
    return read_minutes(found[1]), read_mass_g(found[2])


@click.command()
@click.argument("food_name", metavar="FOOD")
@click.option(
    "--water-temp", "water_c", required=True, metavar="TEMP", callback=given(read_temperature_c),
    help="Water while it soaked.",
)  # fmt: skip
@click.option(
    "--done", "done_min", metavar="MIN", callback=given(read_minutes),
    help="When it was fit to eat: 52.",
)  # fmt: skip
@click.option(
    "--not-yet", "not_yet_min", metavar="MIN", callback=given(read_minutes),
    help="Your last look at which it was still hard: 45.",
)  # fmt: skip
@click.option(
    "--dry", "dry_g", metavar="MASS", callback=given(read_mass_g),
    help="Instead of --done: the dry food that was soaked ...",
)  # fmt: skip
@click.option(
    "--weighed", multiple=True, metavar="'MIN MASS'", callback=given(read_weighing),
    help="... and its drained mass at two or more times: '10 min 150g'.",
)  # fmt: skip
@click.option(
    "--done-share", default="90%", show_default=True, metavar="SHARE", callback=given(read_share),
    help="Share of the final uptake that you call done, with --weighed.",
)  # fmt: skip
@options.way
@options.own_folders
@options.as_json
def command(
    food_name: str,
    water_c: float,
    done_min: float | None,
    not_yet_min: float | None,
    dry_g: float | None,
    weighed: tuple[tuple[float, float], ...],
    done_share: float,
    way: Way,
    own_folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """One soak test at home: what does it make of that food's soak time?

    \b
    fellfare camp soak-test bulgur --water-temp 11 --not-yet 45 --done 52
    fellfare camp soak-test bulgur --water-temp 11 --dry 80g \\
        --weighed '10 min 120g' --weighed '30 min 150g' --weighed '60 min 166g'
    """
    pantry, said = pantry_with(own_folders)
    food = named_food(food_name, pantry)
    curve = _curve(done_min, not_yet_min, dry_g, weighed, done_share)
    done = curve.minutes if curve is not None else done_min
    assert done is not None
    own = own_soak(
        food,
        SoakTried(done_minutes=done, not_yet_minutes=not_yet_min, water_c=water_c, way=way),
    )
    waters = () if way == "hot-pour" else tuple(sorted({*_WATERS_C, water_c}))
    rows = [(one, own_soak_minutes(own, food, one)) for one in waters]
    jar = (InJar(food=food, mass_g=None, soak=own_soak_minutes(own, food, water_c), own=own),)
    answer(
        _text(food, own, curve, dry_g, rows),
        {
            "food": food.id,
            "way": way,
            "water_c": water_c,
            "minutes": own.minutes,
            "low_min": own.low_minutes,
            "high_min": own.high_minutes,
            "pantry_min": own.pantry.minutes,
            "pantry_low_min": own.pantry.low_minutes,
            "pantry_high_min": own.pantry.high_minutes,
            "factor": own.factor,
            "uptake_ml_per_g": None if curve is None or not dry_g else curve.uptake_g / dry_g,
            "done_share": None if curve is None else curve.share,
            "worst_miss_g": None if curve is None else curve.worst_miss_g,
            "by_water": [
                {
                    "water_c": one,
                    "minutes": time.minutes,
                    "low_min": time.low_minutes,
                    "high_min": time.high_minutes,
                    "extrapolated": time.extrapolated,
                }
                for one, time in rows
            ],
            "tested": _phrase(food, own),
            "trust": "measured",
            "source": SOURCE,
        },
        (
            *(one for one in said if food.id in one.about),
            *own.findings,
            *jar_findings(jar, way, None),
        ),
        standing("water", "when-in-doubt"),
        as_json=as_json,
    )


def _curve(
    done_min: float | None,
    not_yet_min: float | None,
    dry_g: float | None,
    weighed: tuple[tuple[float, float], ...],
    done_share: float,
) -> SoakTest | None:
    """The weighed curve, or None when the minutes were given."""
    by_look = done_min is not None and dry_g is None and not weighed
    by_scale = done_min is None and not_yet_min is None and dry_g is not None and bool(weighed)
    if by_look:
        return None
    if not by_scale or dry_g is None:
        raise Mistake(
            "soak-test-missing",
            what="it is not clear how the test went",
            mend="give --done 52 (and --not-yet 45), or --dry 80g with two or more --weighed "
            "'10 min 120g'",
        )
    return read_soak_test(dry_g, weighed, done_share)


def _phrase(food: Food, own: OwnSoak) -> str:
    """For ``--tested``."""
    looked = own.tried.not_yet_minutes
    minutes = f"{own.minutes:.0f}" if looked is None else f"{looked:.0f}-{own.minutes:.0f}"
    return f"{food.id} {minutes} min at {own.tried.water_c:g} °C"


def _text(
    food: Food,
    own: OwnSoak,
    curve: SoakTest | None,
    dry_g: float | None,
    rows: list[tuple[float, SoakTime]],
) -> list[str]:
    tried, pantry = own.tried, own.pantry
    lines = titled(f"Your soak of {food.name}")
    looked = "" if tried.not_yet_minutes is None else f", still hard at {tried.not_yet_minutes:.0f}"
    lines += paragraph(
        f"Done after {own.minutes:.0f} min in water of {degrees(tried.water_c)}{looked}.  Plan "
        f"{own.high_minutes:.0f} min in such water; {own.low_minutes:.0f} to "
        f"{own.high_minutes:.0f} min is the band of one test."
    )
    if pantry.minutes is None or own.factor is None:
        lines += paragraph(
            f"The pantry knows no {tried.way.replace('-', ' ')} of it: yours is the only one."
        )
    else:
        lines += paragraph(
            f"The pantry says {pantry.minutes:.0f} min ({pantry.low_minutes:.0f} to "
            f"{pantry.high_minutes:.0f}) for such water: yours takes {own.factor:.2f} times that."
        )
    if curve is not None and dry_g:
        lines += heading("The weighings")
        lines += paragraph(
            f"It would take up {curve.uptake_g:.0f} g of water in the end "
            f"({curve.uptake_g / dry_g:.2f} ml/g); the curve misses a weighing by at most "
            f"{curve.worst_miss_g:.1f} g."
        )
        times = ", ".join(
            f"{100 * share:.0f} % in at "
            f"{peleg_time(share, curve.k1_min_per_g, curve.k2_per_g):.0f} min"
            for share in _SHARES
        )
        lines += paragraph(f"{times}.  Done is taken as {100 * curve.share:.0f} % (--done-share).")
    if rows:
        lines += heading("The same food in other water")
        table_rows = [["water", "usual", "from - to", ""]]
        table_rows += [
            [
                f"{c:g} °C",
                f"{time.minutes:.0f} min",
                f"{time.low_minutes:.0f} - {time.high_minutes:.0f} min",
                "tested" if c == tried.water_c else "extrapolated" if time.extrapolated else "",
            ]
            for c, time in rows
        ]
        lines += [f"  {line}" for line in table(table_rows, [-8, -9, -16, 14])]
        if any(time.extrapolated for _, time in rows):
            low, high = PUBLISHED_C
            lines += paragraph(
                f"'extrapolated': outside the published {low:.0f} to {high:.0f} °C, or far from "
                "the tested water.  A test in water as cold as the walk's is worth more."
            )
    lines += heading("Use it")
    how = "--water-temp 8" if tried.way == "cold-soak" else f"--way {tried.way}"
    also = "  (so with 'camp wet' and 'walk --jar', too)" if tried.way == "cold-soak" else ""
    lines += paragraph(f"fellfare camp soak {food.id} {how} --tested '{_phrase(food, own)}'{also}")
    lines += paragraph("In a food of your own ('fellfare recipe' then reckons with it):")
    lines += [
        "    [[soak]]",
        f'    way = "{tried.way}"',
        f"    minutes = {own.minutes:.0f}",
        f"    most_minutes = {own.high_minutes:.0f}",
        f"    at_c = {tried.water_c:g}",
    ]
    step = next((time for c, time in rows if c != tried.water_c), None)
    return lines + known(
        ("measured", SOURCE),
        *([] if curve is None else [(curve.trust, curve.source)]),
        *([] if step is None else [("common-practice", f"other water: {step.temperature_source}")]),
    )
